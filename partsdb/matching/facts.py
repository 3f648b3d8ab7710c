"""One line of a list as facts: description parsed, columns added to it, maker resolved."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import overload

from partsdb.matching.context import ListContext
from partsdb.matching.readings import LineText
from partsdb.matching.sense import Sense
from partsdb.rules.descriptions import Description, parse
from partsdb.rules.material_words import materials_in
from partsdb.rules.measures import Thread
from partsdb.rules.pressure import PressureStatement, find_pressures

# Words by which a seller says that the article is made after another maker's part.
_IMITATION = re.compile(
    r"\b(?:compatible|aftermarket|after-market|pattern part|non[- ]?oem|equivalent|equiv|nachbau"
    r"|kompatibel|generic|imitation|copy of)\b",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W\d_][\w&.'-]*")
_MODEL = re.compile(r"[A-Za-z]{1,4}-?\d{1,4}[A-Za-z]{0,2}")
_SPEAKS_OF_MACHINE = frozenset(("for", "für", "fuer", "fits", "suits", "suit", "zu", "to", "an"))


@dataclass(frozen=True)
class LineFacts:
    """What the line says. `maker` is the key of the maker named in its column, "" if none.

    `role` comes from the description alone; `section_role` from the heading above, where the
    description has no known word: it says what the piece may be and contradicts nothing. What only
    a comparison with a part asks for is read then: most lines of a list are near no part of ours.
    """

    line: LineText
    described: Description
    maker: str
    role: str
    head: str
    section_role: str
    context: ListContext = field(repr=False, compare=False)

    @cached_property
    def text_maker(self) -> str:
        """Return the known maker that the description names as the article's own, "" if none."""
        return _text_maker(self.line.description, self.context)

    @cached_property
    def threads(self) -> tuple[Thread, ...]:
        """Return the threads of the line's own column, else those of its description."""
        column = parse(self.line.thread).threads if self.line.thread else ()
        return column or self.described.threads

    @cached_property
    def pressures(self) -> tuple[PressureStatement, ...]:
        """Return the pressures of the line's own column, else those of its description."""
        rating = self.line.rating
        column = find_pressures(rating, in_pressure_context=True) if rating else []
        return tuple(column) or self.described.pressures

    @property
    def materials(self) -> frozenset[str]:
        """Return the materials that the description and the line's own column name."""
        return materials_in(f"{self.line.description} {self.line.material}")

    @property
    def imitates(self) -> bool:
        """Say whether the seller says that the article is made after another maker's part."""
        return bool(_IMITATION.search(self.line.description))

    @property
    def is_charge(self) -> bool:
        """Say whether the row is carriage, a surcharge or a discount."""
        return self.described.pieces.charge

    @property
    def is_foreign(self) -> bool:
        """Say whether the article is a known thing that no position of ours uses."""
        return bool(self.head) and not self.role


def facts_of(line: LineText, context: ListContext, sense: Sense) -> LineFacts:
    """Return what `line` says, each column added to what its description states."""
    described = parse(line.description)
    head, role = described.pieces.head, described.role
    if leading := sense.leading_role(line.description):
        head = role = leading
    section = "" if head or not line.section else parse(line.section).role
    maker = context.maker_of(line.maker) if line.maker.strip() else ""
    return LineFacts(line, described, maker, role, head, section, context)


class ListFacts(Sequence[LineFacts]):
    """The lines of a list as facts, each read when it is first asked for."""

    def __init__(self, lines: Sequence[LineText], context: ListContext, sense: Sense) -> None:
        self.lines, self.context, self._sense = lines, context, sense
        self._known: dict[int, LineFacts] = {}

    def __len__(self) -> int:
        return len(self.lines)

    @overload
    def __getitem__(self, at: int) -> LineFacts: ...
    @overload
    def __getitem__(self, at: slice) -> list[LineFacts]: ...
    def __getitem__(self, at: int | slice) -> LineFacts | list[LineFacts]:
        if isinstance(at, slice):
            return [self[each] for each in range(*at.indices(len(self)))]
        known = self._known.get(at)
        if known is None:
            known = self._known[at] = facts_of(self.lines[at], self.context, self._sense)
        return known


def _text_maker(description: str, context: ListContext) -> str:
    """Return the first known maker that the description names, unless it speaks of a machine.

    "for Quillmere" and "Quillmere Q33" say what the article fits, not who makes it.
    """
    words = _WORD.findall(description)
    for before, word, behind in zip(["", *words], words, [*words[1:], ""], strict=False):
        maker = context.maker_keys.get(word.casefold())
        if maker:
            is_machine = before.casefold() in _SPEAKS_OF_MACHINE or _MODEL.fullmatch(behind)
            return "" if is_machine else maker
    return ""
