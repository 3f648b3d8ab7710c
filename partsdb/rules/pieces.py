"""Which kind of piece a description speaks of: the head noun first, then everything it mentions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from partsdb import tables

CHARGE = "charge"
GENERIC_KIT = "kit"
FOREIGN = "goods of another trade"
_COMPOUND = 8
# Shorter words lie too near to other words ("ball", "bell").
_MISSPELT = 5
_LETTERS = "abcdefghijklmnopqrstuvwxyzäöüß"
_DIGIT = re.compile(r"[1-9]")
_TOKEN = re.compile(r"[^\W\d_](?:[\w'&]*\w)?\.?|\d[\w./]*|[,;:()/|+]", re.UNICODE)
# Words after which a description speaks of something else than the article itself.
_TURN_WORDS = (
    "for with incl including inc from fits suits to without w for: of on replaces replaced repl"
    " für mit inkl inklusive einschl ohne passend zu aus von ersetzt ersatz an auf fuer and und &"
    " suitable used by c/w in"
)
_TURNS = frozenset(_TURN_WORDS.split())
_KIT_WORDS = frozenset(("kit", "set", "satz", "kits", "sets"))
_VALVES = frozenset(("ball", "seat", "valve kit", "valve body", "check valve", "unloader"))
_SEALS = frozenset(("packing", "rod seal", "gland ring"))
FAMILIES = {
    role: family
    for family, roles in {
        "hose": ("hose", "whip hose"),
        "connector": ("fitting", "nipple", "swivel", "coupling"),
        "seal": ("packing", "packing kit", "rod seal", "gland ring", "o-ring"),
        "valve": ("valve kit", "valve body", "check valve", "unloader", "valve"),
        "outlet": ("nozzle", "tip holder", "lance"),
    }.items()
    for role in roles
}


@dataclass(frozen=True, slots=True)
class Pieces:
    """What a text speaks of. `head` is the article itself ("" = no known word).

    `role` is the head's role, "" for a thing that no position of ours uses; `roles` are all roles
    mentioned; `charge` says that the row is carriage, a surcharge or a discount.
    """

    head: str
    role: str
    roles: frozenset[str]
    charge: bool = False


@dataclass(frozen=True, slots=True)
class _Word:
    """One phrase found: where it ends, the piece and the role that it names."""

    start: int
    end: int
    piece: str
    role: str


def pieces_in(text: str) -> Pieces:
    """Return what kind of piece `text` describes; words decide, never figures."""
    return _pieces_of(_DIGIT.sub("0", text))


@lru_cache(maxsize=65536)
def _pieces_of(text: str) -> Pieces:
    """Return the pieces of a text whose figures are all noughts: texts of one make share them."""
    tokens = _tokens(text)
    words = list(_words(tokens))
    roles = frozenset(word.role for word in words if word.role)
    head = _head(tokens, words, is_shouted=text.isupper())
    if head is None:
        return Pieces("", "", roles)
    is_charge = head.piece == CHARGE and not roles
    return Pieces(head.piece, head.role, roles, is_charge)


def same_family(one: str, other: str) -> bool:
    """Say whether two roles are so near that descriptions mix them up (hose, whip hose)."""
    return one == other or FAMILIES.get(one, one) == FAMILIES.get(other, other)


@cache
def abbreviations() -> dict[str, str]:
    """Return what the trade's abbreviations stand for, lower case."""
    return {row["abbreviation"]: row["stands_for"] for row in tables.rows("abbreviations")}


@cache
def _phrases() -> dict[str, tuple[str, str]]:
    rows = (row for row in tables.rows("piece_words") if row["match"] == "phrase")
    return {_spaced(row["word"]): (row["piece"], row["role"]) for row in rows}


@cache
def _longest_from() -> dict[str, int]:
    """Return how many words the longest phrase has that begins with a word, or its plural."""
    longest: dict[str, int] = {}
    for phrase in _phrases():
        words = phrase.split()
        for first in (words[0], words[0] + "s"):
            longest[first] = max(longest.get(first, 0), len(words))
    return longest


@cache
def _endings() -> tuple[tuple[str, tuple[str, str]], ...]:
    """Return the German words that end a compound, the longest first."""
    rows = [row for row in tables.rows("piece_words") if row["match"] == "ending"]
    rows.sort(key=lambda row: (-len(row["word"]), row["word"]))
    return tuple((row["word"], (row["piece"], row["role"])) for row in rows)


@cache
def _beginnings() -> tuple[str, ...]:
    """Return the German words that begin the compounds of other trades."""
    rows = tables.rows("piece_words")
    return tuple(row["word"] for row in rows if row["match"] == "beginning")


@cache
def _qualifiers() -> frozenset[str]:
    """Return the English words that put a noun into another trade ("garden hose")."""
    rows = tables.rows("piece_words")
    return frozenset(row["word"] for row in rows if row["match"] == "qualifier")


def _spaced(text: str) -> str:
    return " ".join(text.lower().replace("-", " ").split())


def _tokens(text: str) -> list[str]:
    """Return words, figures and stops in lower case, abbreviations written out."""
    short = abbreviations()
    tokens: list[str] = []
    for token in _TOKEN.findall(text.lower().replace("-", " ")):
        bare = token.rstrip(".")
        tokens.extend(short.get(token, short.get(bare, bare)).replace("-", " ").split())
    return tokens


def _words(tokens: list[str]) -> Iterator[_Word]:
    """Yield the known phrases from left to right, the longest at each place."""
    at = 0
    while at < len(tokens):
        longest, alone = _begun_by(tokens[at])
        word = _word_at(tokens, at, longest, alone) if longest or alone else None
        if word is None:
            at += 1
            continue
        yield word
        at = word.end


def _word_at(
    tokens: list[str], at: int, longest: int, alone: tuple[str, str] | None
) -> _Word | None:
    phrases = _phrases()
    for length in range(min(longest, len(tokens) - at), 0, -1):
        phrase = " ".join(tokens[at : at + length])
        named = phrases.get(phrase) or (phrases.get(phrase[:-1]) if phrase[-1] == "s" else None)
        if named:
            return _Word(at, at + length, *named)
    return _Word(at, at + 1, *alone) if alone else None


@lru_cache(maxsize=65536)
def _begun_by(token: str) -> tuple[int, tuple[str, str] | None]:
    """Return how many words the longest phrase has that begins with a word, and what it names
    alone, as a compound or with one slip."""
    named = _compound_named(token) if len(token) >= _COMPOUND else None
    if named is None and len(token) >= _MISSPELT:
        named = _misspelt_named(token)
    return _longest_from().get(token, 0), named


def _misspelt_named(token: str) -> tuple[str, str] | None:
    """Return what a word with one slip behind its first letter names ("ventisatz")."""
    if not token.isalpha() or token in _known_words():
        return None
    phrases = _phrases()
    near = {phrases[other] for other in _slips(token) if other in phrases}
    roles = {named for named in near if named[1]}
    return roles.pop() if len(roles) == 1 and len(near) == 1 else None


def _slips(token: str) -> Iterator[str]:
    """Yield every word that one letter lost, doubled, changed or swapped makes of `token`."""
    for at in range(1, len(token) + 1):
        head, tail = token[:at], token[at + 1 :]
        for letter in _LETTERS:
            yield head + letter + tail
            yield head + letter + token[at:]
        yield head + tail
        if tail:
            yield head + tail[0] + token[at] + tail[1:]


@cache
def _known_words() -> frozenset[str]:
    """Return every word that stands in a phrase of the table: none of them is a slip."""
    return frozenset(word for phrase in _phrases() for word in phrase.split())


def _compound_named(token: str) -> tuple[str, str] | None:
    """Return what a German compound names; its beginning may say that it is of another trade."""
    if not token.isalpha():
        return None
    if token.startswith(_beginnings()):
        return FOREIGN, ""
    for ending, named in _endings():
        if token.endswith(ending) and len(token) > len(ending) + 2:
            return named
    return None


def _head(tokens: list[str], words: list[_Word], *, is_shouted: bool) -> _Word | None:
    """Return the article itself: the last noun of the first run of nouns, a kit taken together.

    English and German both put the head last ("gun filter"); a catalogue puts it first and the
    rest after a comma ("filter, gun"), which reads as the same phrase. One word that we do not
    know may stand within the run ("pencil jet nozzle"), but not in the capitals of an exported
    list, which puts the noun first and leaves the commas out.
    """
    if not words:
        return None
    stop = _turn_after(tokens, words[0].end)
    run = [words[0]]
    for word in words[1:]:
        between = tokens[run[-1].end : word.start]
        is_near = not between or (not is_shouted and len(between) == 1 and between[0].isalpha())
        if word.start >= stop or not is_near:
            break
        run.append(word)
    head = run[-1]
    if _is_of_another_trade(tokens) or any(w.piece == FOREIGN and w.start < stop for w in words):
        return _Word(head.start, head.end, FOREIGN, "")
    if any(token in _KIT_WORDS for token in tokens[:stop]):
        head = _kit(tokens, head, run)
    return _inverted(tokens, head) or head


def _is_of_another_trade(tokens: list[str]) -> bool:
    """Say whether a word puts the noun into another trade: "garden hose", but "car wash lance"."""
    if _qualifiers().isdisjoint(tokens):
        return False
    after = [*tokens[1:], ""]
    return any(
        token in _qualifiers() and not behind.startswith("wash")
        for token, behind in zip(tokens, after, strict=True)
    )


def _turn_after(tokens: list[str], at: int) -> int:
    """Return the place of the next word after which the text turns to something else."""
    return next((i for i in range(at, len(tokens)) if tokens[i] in _TURNS), len(tokens))


def _kit(tokens: list[str], head: _Word, nouns: list[_Word]) -> _Word:
    """Return the kit that "kit" and the nouns beside it name: a repair kit is one of their kind."""
    if head.piece != GENERIC_KIT and not _KIT_WORDS.isdisjoint(tokens[head.start : head.end]):
        return head
    named = _phrases().get(" ".join(tokens[head.end - 1 : head.end + 1]))
    if named and named[0] != GENERIC_KIT:
        return _Word(head.start, head.end + 1, *named)
    roles = {word.role for word in nouns if word.piece != GENERIC_KIT}
    for role, members in (("packing kit", _SEALS), ("valve kit", _VALVES)):
        if members & roles:
            return _Word(head.start, head.end, role, role)
    return head


def _inverted(tokens: list[str], head: _Word) -> _Word | None:
    """Return the phrase of "hose, whip" read as "whip hose", if there is one."""
    end = head.end
    if end + 1 >= len(tokens) or tokens[end] != ",":
        return None
    noun = " ".join(tokens[head.start : end])
    for length in (2, 1):
        before = tokens[end + 1 : end + 1 + length]
        named = _phrases().get(" ".join((*before, noun)))
        if named and len(before) == length:
            return _Word(head.start, end, *named)
    return None
