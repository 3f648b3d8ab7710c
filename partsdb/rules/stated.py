"""What a line of a list states of its article: ratings, materials, threads, and a kit's contents.

These are claims as the seller makes them, quoted, never facts. What is not stated is not claimed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from partsdb.rules.facts import NOT_SAID, Claim, ClaimKind, EvidenceLevel, KitItem
from partsdb.rules.material_words import materials_in
from partsdb.rules.pieces import pieces_in
from partsdb.rules.pressure import PressureStatement, find_pressures
from partsdb.rules.roles import role_named
from partsdb.rules.thread_text import find_threads

_STAINLESS = frozenset(("303", "304", "316", "316L"))
_BARE_GRADE = re.compile(
    r"(?<!stainless )(?<!steel )(?<!edelstahl )(?<![\w.-])(303|304|316L?)"
    r"(?! ?(?:stainless|steel|ss\b|edelstahl))(?![\w.-])",
    re.IGNORECASE,
)
_KITS = frozenset(("valve kit", "packing kit"))
_CLAUSE = re.compile(
    r"[,;()|+:]|\s-\s|\b(?:with|mit|incl|inkl|including|inklusive|aus|made of|w/)\b\.?", re.I
)
_JOINED = re.compile(r"\s(?:and|und|u\.|&)\s|/", re.I)
# Words behind which a seller lists what is in the kit.
_CONTENTS = re.compile(
    r"\b(?:contents?|contains?|consist\w*(?:\s+of)?|compris\w*|incl(?:uding|udes|\.)?|inkl(?:usive|\.)?"
    r"|inhalt|best(?:\.|eh\w+)\s*aus|enth(?:ält|aelt)|kit of|set of|satz aus"
    r"|with|mit|w/|bestückt mit)(?=[\s:(])",
    re.I,
)
_LEFT_OUT = re.compile(
    r"\b(?:without|w/o|ohne|o\.|excl(?:uding|\.)?|exkl(?:usive|\.)?|less|no|not incl\w*)\s", re.I
)
_COUNT = re.compile(
    r"(?<![\w/.,-])(\d{1,2})\s*(?:x|×|off|pcs?\.?|stk\.?|st\.?)?\s+(?=[^\W\d_])", re.I
)


def stated_claims(
    description: str,
    *,
    rating: str = "",
    basis: str = "",
    material: str = "",
    thread: str = "",
    source: str = "",
) -> tuple[Claim, ...]:
    """Return what the line claims, each at the level "supplier's word" with its `source`.

    `rating`, `material` and `thread` are the line's own columns; `basis` is what the rating's
    heading says it is (working, proof, burst, "" when it does not say).
    """
    found = [
        *_ratings(description, rating, basis),
        *_materials(_column_grades(material)),
        *_materials(description),
        *((ClaimKind.PORT, "", port, "") for port in _ports(thread, description)),
    ]
    return tuple(
        Claim(kind, value, EvidenceLevel.SUPPLIERS_WORD, about, basis, source)
        for kind, about, value, basis in dict.fromkeys(found)
    )


_Stated = tuple[ClaimKind, str, str, str]


def _ratings(description: str, rating: str, basis: str) -> Iterator[_Stated]:
    """Yield the rating's own column, then pressures that the description adds to it."""
    column = find_pressures(rating, in_pressure_context=True) if rating else []
    for stated in column:
        yield ClaimKind.RATING, "", stated.text, stated.basis or basis
    if rating and not column and any(map(str.isdigit, rating)):
        yield ClaimKind.RATING, "", rating, basis  # no unit, or none that we know: kept as written
    for stated in find_pressures(description):
        if not any(_same_figure(stated, other) for other in column):
            yield ClaimKind.RATING, "", stated.text, stated.basis


def _same_figure(one: PressureStatement, other: PressureStatement) -> bool:
    if one.pressure is None or other.pressure is None:
        return one.text == other.text
    return one.pressure.pascals == other.pressure.pascals and one.basis in ("", other.basis)


def _materials(text: str) -> Iterator[_Stated]:
    """Yield (piece, material) pairs: a stretch of text that names both joins them."""
    waiting: frozenset[str] = frozenset()
    for clause in _CLAUSE.split(_with_grades(text.replace("&", " and "))):
        for part in _stretches(clause):
            named, roles = materials_in(part), _pieces(part)
            if len(named) == 1:
                about = roles or waiting or frozenset(("",))
                yield from (
                    (ClaimKind.MATERIAL, role, next(iter(named)), "") for role in sorted(about)
                )
            waiting = roles if not named else frozenset()


def _with_grades(text: str) -> str:
    """Write "316 ball" as "316 stainless ball": a bare figure is a grade only before its piece."""
    words = text.split(" ")
    for at, word in enumerate(words[:-1]):
        if word in _STAINLESS and _pieces(words[at + 1].strip(",;")):
            words[at] = f"{word} stainless"
    return " ".join(words)


def _column_grades(text: str) -> str:
    """Write "316" as "316 stainless": in a column of materials a bare figure is a grade."""
    return _BARE_GRADE.sub(r"\1 stainless", text)


def _stretches(clause: str) -> list[str]:
    """Cut "440C ball WC seat" before WC and "ball 440C seat WC" before seat: a pair each.

    Whichever comes first in the clause, piece or material, begins every pair of it.
    """
    words = clause.split()
    if len(materials_in(clause)) < 2:
        return [clause]
    kinds = [_kind(words, at) for at in range(len(words))]
    first = next((kind for kind in kinds if kind), "")
    stretches: list[list[str]] = [[]]
    seen: set[str] = set()
    for word, kind in zip(words, kinds, strict=True):
        if kind == first and len(seen) == 2:
            stretches.append([])
            seen = set()
        stretches[-1].append(word)
        seen |= {kind} - {""}
    return [" ".join(stretch) for stretch in stretches]


def _kind(words: list[str], at: int) -> str:
    """Return whether a piece or a material begins with this word, or "" for neither."""
    if materials_in(words[at]) or materials_in(" ".join(words[at : at + 2])) - materials_in(
        " ".join(words[at + 1 : at + 2])
    ):
        return "material"
    return "piece" if _pieces(words[at]) else ""


def _pieces(text: str) -> frozenset[str]:
    return pieces_in(text).roles - _KITS


def _ports(thread: str, description: str) -> list[str]:
    """Return the threads in words that `threads.parse` reads; the column counts before the text."""
    found = find_threads(thread, bare=True) if thread else ()
    found = found or find_threads(description)
    return [each.designation for each in found] or ([thread] if thread else [])


def stated_contents(description: str) -> tuple[KitItem, ...] | None:
    """Return what the description says the kit holds, None when it does not say.

    A piece behind "without" is not in it; a description that only says what is left out does not
    state the rest.
    """
    opened = _CONTENTS.search(description)
    if opened is None or not (_KITS & pieces_in(description).roles or _is_kit(description)):
        return None
    items: dict[tuple[str, str], KitItem] = {}
    for item in _items(description[opened.end() :].replace("&", " and ")):
        items.setdefault((item.role, item.material), item)
    return tuple(items.values()) if len(items) > 1 else None


def _is_kit(description: str) -> bool:
    return bool(re.search(r"\b(?:kit|set|satz|\w+satz)\b", description, re.I))


def _items(listed: str) -> Iterator[KitItem]:
    left_out = False
    for clause in re.split(r"[,;()|+]|\.\s", listed):
        starts = _LEFT_OUT.search(f"{clause} ")
        left_out = bool(starts) if starts or not left_out else left_out
        for part in re.split(
            _JOINED, clause[: starts.start()] if starts else "" if left_out else clause
        ):
            yield from _pieces_listed(part)


def _pieces_listed(part: str) -> Iterator[KitItem]:
    count = _COUNT.search(f" {part.strip()}")
    quantity = int(count[1]) if count else NOT_SAID
    materials = materials_in(part)
    material = next(iter(materials)) if len(materials) == 1 else ""
    for role in sorted(_pieces(part)):
        yield KitItem(role, role, quantity, role_named(role).kind, material)
