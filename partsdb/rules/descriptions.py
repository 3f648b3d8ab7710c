"""Reads a free description into attributes: kind of piece, sizes, threads, pressures, materials.

Every figure is read once: pressures first, then threads, then lengths; what is left over may be a
part number or a machine's model, and is never taken for a size.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property, lru_cache

from partsdb import tables
from partsdb.rules.measures import Measures, Size, Thread, measures_in, plain_measures
from partsdb.rules.pieces import Pieces, abbreviations, pieces_in
from partsdb.rules.pressure import PressureStatement, find_pressures

_FASTENERS = frozenset(("bolt", "nut", "screw"))
_NAMED_SIZE = re.compile(
    r"\b(DN|NW|dash|size|gr(?:öße|oesse|\.)?)\s*[-.:]?\s*(\d{1,4})(?![\w/.])", re.IGNORECASE
)
_NAMES = {"dn": "DN", "nw": "DN", "dash": "dash", "size": "size"}
_PACKS = re.compile(
    r"\b(?:pack(?:et)?s? of|pack|set of|box of|bag of|pk\.?/?|pkt\.?/?|ve\s?:?)\s*(\d{1,4})\b"
    r"|\b(\d{1,4})\s*(?:er[- ]?pack\w*|pcs?\b|pieces\b|stk\b|stück\b|per pack\b|/pack\b|off\b)",
    re.IGNORECASE,
)
# A phrase that says whose part the article claims to replace. "Replaced by" says the reverse.
_CLAIM_WORDS = (
    r"\b(?:replaces|replacement for|repl\.?(?! by)|ersetzt(?!\s+durch)|ersatz\s+(?:für|fuer|f\.)"
    r"|alt(?:ernative)?\.?\s+(?:to|for)|interchange(?:s|able)?(?:\s+with)?|suits"
    r"|equiv(?:alent)?\.?(?:\s+to)?|equal to|supersedes|in place of|instead of|anstelle von"
    r"|vgl\.|entspricht|oem\.?(?:[ -]?(?:no|nr|number)\b\.?)?|x-?ref\.?|cross[- ]?ref(?:erence)?\.?"
    r"|passend (?:für|zu)|statt)(?![^\W\d_])\s*:?\s*"
)
# What every phrase of a claim or a successor begins with: most descriptions have none of them.
_CLAIM_HINT = re.compile(
    r"repl|ersetzt|ersatz|alt|interchange|suits|equ|supers|in place|instead|anstelle|vgl"
    r"|entspricht|oem|ref|passend|statt|nachfolger"
)
_SUCCESSOR_HINT = re.compile(r"repl|supers|ersetzt|nachfolger")
# One number: no fraction and no figure with a unit behind it.
_CODE = (
    r"(?!\d+/\d+(?![\w/-]))(?![\d.,/]+\s*(?:mm|cm|m|in|psi|bar|MPa|ft|\")(?!\w))"
    r"[^\W_][\w./-]*\d[\w./-]*|\d(?![\w./-])"
)
_CODES = (
    rf"(?:[^\W\d_][\w&.'-]*\s+){{0,3}}?(?:{_CODE})"
    rf"(?:\s*(?:[,/&+]|\band\b|\bund\b|\bor\b|\boder\b)\s*(?:[^\W\d_]+\s+)?(?:{_CODE}))*"
)
_CLAIM = re.compile(rf"{_CLAIM_WORDS}({_CODES})", re.IGNORECASE)
_SUCCESSOR = re.compile(
    rf"\b(?:replaced by|supersee?ded by|repl\. by|ersetzt durch|nachfolger)\s*:?\s*(?:{_CODES})",
    re.IGNORECASE,
)
_MODEL = re.compile(r"(?<![\w./-])[A-Z]{1,4}-?\d{1,4}[A-Z]{0,2}(?![\w/-]|\.\d)")
# Figures keep their point and stroke ("1/4", "12.5"); words are cut there ("leather/UHMWPE").
_WORD = re.compile(r"\d+(?:[./]\d+)*[^\W_]*|[^\W_]+", re.UNICODE)
_STOP_WORDS = (
    "the an of for with and or in to by on x mm bar psi mpa inch per max für mit und oder von"
    " aus der die das zu je w incl inkl no nr m male female"
)
_STOP = frozenset(_STOP_WORDS.split())


@dataclass(frozen=True, slots=True)
class Fastener:
    """Diameter, pitch and length of a bolt, nut or screw in millimetres; 0 where not given."""

    diameter_mm: Fraction
    pitch_mm: Fraction
    length_mm: Fraction


@dataclass(frozen=True)
class Description:
    """What a description says; its measures and words are read when they are first asked for.

    `own` is the text in plain spelling without what the article is to replace; `nouns` is that
    with pressures and packs blanked out, and tells which piece it is; `claims` are the texts behind
    "replaces" and its like, up to the next stop; `pack_units` is None when no pack is named.
    """

    text: str
    own: str
    nouns: str
    pressures: tuple[PressureStatement, ...]
    claims: tuple[str, ...] = ()
    pack_units: int | None = None

    @cached_property
    def pieces(self) -> Pieces:
        """Return what kind of piece it is: many a part's role is known and nobody asks."""
        found = pieces_in(self.nouns)
        remember_role(self.text, found.role)
        return found

    @property
    def threads(self) -> tuple[Thread, ...]:
        """Return the threads in order of place."""
        return self._measured[1].threads

    @property
    def sizes(self) -> tuple[Size, ...]:
        """Return the sizes, those that a word names ("DN 8") first."""
        named, measures = self._measured
        return (*named, *measures.sizes)

    @cached_property
    def models(self) -> frozenset[str]:
        """Return the words that look like a machine's model, in capitals without hyphens."""
        rest = self._measured[1].rest
        return frozenset(match[0].replace("-", "").upper() for match in _MODEL.finditer(rest))

    @cached_property
    def words(self) -> tuple[str, ...]:
        """Return the words in plain spelling, for likeness alone."""
        return tuple(dict.fromkeys(words_of(self.own)))

    @property
    def fastener(self) -> Fastener | None:
        """Return the measures of a bolt, nut or screw, None for anything else."""
        if self.pieces.head not in _FASTENERS:
            return None
        measures = self._measured[1]
        return _fastener(measures.threads, measures.chains, measures.sizes)

    @cached_property
    def _measured(self) -> tuple[list[Size], Measures]:
        named, unnamed = _named_sizes(self.nouns)
        return named, measures_in(unnamed)

    @property
    def role(self) -> str:
        """Return the role of the piece, "" when unknown or none of ours."""
        return self.pieces.role


@lru_cache(maxsize=65536)
def parse(text: str) -> Description:
    """Return the attributes that `text` states; what it does not state is left empty."""
    claims, own = _split_claims(_flat(text))
    pressures = tuple(find_pressures(own))
    unpressed = _blanked(own, ((each.start, each.end) for each in pressures))
    packs = _PACKS.search(unpressed)
    if packs:
        unpressed = _blanked(unpressed, [packs.span()])
    pack_units = int(packs[1] or packs[2]) if packs else None
    return Description(text, own, unpressed, pressures, claims, pack_units)


def pack_units_of(text: str) -> int | None:
    """Return how many pieces a description says are in a pack, None when it names no pack."""
    return parse(text).pack_units if _PACKS.search(text) else None


_roles: dict[str, str] = {}
_MOST_ROLES = 1_000_000


def role_of(text: str) -> str:
    """Return the role of the piece that a description names, "" when unknown or none of ours.

    A list of a hundred thousand lines is asked for it again when all else of them is forgotten.
    """
    known = _roles.get(text)
    return parse(text).role if known is None else known


def remember_role(text: str, role: str) -> None:
    """Keep what the role of a text was found to be, here or in another process."""
    if len(_roles) >= _MOST_ROLES:
        _roles.clear()
    _roles[text] = role


def claims_in(text: str) -> tuple[str, ...]:
    """Return what `parse` gives as claims, without reading the rest of the text."""
    return _split_claims(_flat(text))[0]


def _flat(text: str) -> str:
    return plain_measures(" ".join(text.split()))


def names_successor(text: str) -> str:
    """Return the phrase that names what replaced the article ("replaced by 24-1180A"), or ""."""
    if not _SUCCESSOR_HINT.search(text.casefold()):
        return ""
    match = _SUCCESSOR.search(text)
    return match[0] if match else ""


def _split_claims(flat: str) -> tuple[tuple[str, ...], str]:
    """Return the texts behind each claim phrase, and the description without them."""
    if not _CLAIM_HINT.search(flat.casefold()):
        return (), flat
    own = _SUCCESSOR.sub(" ", flat)
    claims = tuple(match[1].strip(" ,.") for match in _CLAIM.finditer(own))
    return claims, _CLAIM.sub(" ", own)


def _blanked(text: str, spans: Iterator[tuple[int, int]] | list[tuple[int, int]]) -> str:
    for start, end in spans:
        text = text[:start] + " " * (end - start) + text[end:]
    return text


def _named_sizes(text: str) -> tuple[list[Size], str]:
    """Return the sizes that a word names (DN 8, dash 012, size 08), and the text without them."""
    sizes = []
    for match in list(_NAMED_SIZE.finditer(text)):
        unit = _NAMES.get(match[1].lower().rstrip("."), "size")
        sizes.append(Size(unit, Fraction(int(match[2])), match[0]))
        text = _blanked(text, [match.span()])
    return sizes, text


def _fastener(
    threads: tuple[Thread, ...], chains: tuple[tuple[Size, ...], ...], sizes: tuple[Size, ...]
) -> Fastener | None:
    """Return diameter x pitch x length of "8mm x 1.25mm x 80mm", "1/4-20 x 5", "#12 x 1-1/4"."""
    if threads:
        length = sizes[-1].mm if sizes else Fraction(0)
        return Fastener(threads[0].size_mm, threads[0].pitch_mm, length)
    if not chains:
        return None
    figures = [size.mm for size in chains[-1]]
    if chains[-1][0].unit == "in":
        return Fastener(figures[0], Fraction(0), figures[1] if len(figures) > 1 else Fraction(0))
    figures += [Fraction(0)] * (3 - len(figures))
    return Fastener(figures[0], figures[1], figures[2])


def words_of(text: str) -> Iterator[str]:
    """Yield the words in lower case, written out and in English, without those that say nothing."""
    plain = _plain_words()
    for word in _WORD.findall(text.lower()):
        for part in plain.get(word, word).split():
            if part not in _STOP:
                yield part


@cache
def _plain_words() -> dict[str, str]:
    """Return what abbreviations and German words stand for."""
    plain_of = abbreviations() | german_words()
    return {word: plain.replace("-", " ") for word, plain in plain_of.items()}


@cache
def german_words() -> dict[str, str]:
    """Return what German words of descriptions are in English, both in lower case."""
    return {row["german"]: row["english"] for row in tables.rows("german_words")}
