"""Names of makers and suppliers: one key for the many ways in which a firm's name is written.

A key match is evidence, never proof: two firms may share a name.
"""

from __future__ import annotations

from partsdb.rules.words import plain_words

# Legal forms, as the words of which they are written; common knowledge, no source.
_LEGAL = frozenset(
    {
        *(
            "aktiengesellschaft",
            "ag",
            "ab",
            "aps",
            "as",
            "asa",
            "bhd",
            "bv",
            "bvba",
            "co",
            "cokg",
            "company",
            "corp",
        ),
        *("corporation", "cv", "doo", "eg", "ek", "ev", "gbr", "gesmbh", "gmbh", "gmbhcokg"),
        *("haftungsbeschraenkt", "inc", "incorporated", "kft", "kg", "kgaa", "kk", "limited"),
        *("limitada", "llc", "llp", "lp", "ltd", "ltda", "mbh", "nv", "ohg", "oy", "oyj", "plc"),
        *("pte", "pty", "pvt", "sa", "sarl", "sas", "sdn", "se", "sl", "slu", "snc", "spa", "sprl"),
        *("srl", "sro", "spzoo", "ug", "zrt"),
    }
)
# Forms written in several words, joined before the single ones are dropped.
_LEGAL_PHRASES = (
    ("gesellschaft", "mit", "beschraenkter", "haftung"),
    ("societa", "per", "azioni"),
    ("naamloze", "vennootschap"),
    ("besloten", "vennootschap"),
    ("kabushiki", "kaisha"),
    ("sp", "z", "o", "o"),
    ("sp", "z", "oo"),
    ("spol", "s", "r", "o"),
    ("spol", "s", "ro"),
    ("s", "r", "o"),
    ("s", "p", "a"),
    ("s", "a"),
    ("a", "s"),
    ("b", "v"),
    ("n", "v"),
)
_LINKS = frozenset({"and", "und", "et", "y", "e", "u"})


def name_key(name: str) -> str:
    """Return the key of a firm's name: case, accents, punctuation, spaces and legal form gone.

    The legal form is dropped only from the end, and never if nothing else would be left; "&",
    "and" and "und" between names count for nothing.
    """
    words = list(plain_words(name))
    if len(words) > 1 and words[0] == "the":
        words = words[1:]
    core = _without_legal_form(words) or words
    kept = [core[0], *(word for word in core[1:] if word not in _LINKS)] if core else []
    return "".join(kept).replace(".", "")


def _without_legal_form(words: list[str]) -> list[str]:
    rest = words
    while rest:
        phrase = next((p for p in _LEGAL_PHRASES if tuple(rest[-len(p) :]) == p), None)
        if phrase and len(phrase) < len(rest):
            rest = rest[: -len(phrase)]
        elif len(rest) > 1 and (rest[-1] in _LEGAL or rest[-1] in _LINKS):
            rest = rest[:-1]
        else:
            break
    return rest
