"""What is known about the list as a whole: who sells, which makers there are, what was decided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from partsdb.matching.confidence import Precision
from partsdb.matching.readings import LineText, ReadingKind
from partsdb.rules.makers import name_key
from partsdb.rules.numbers import number_identity

# A name this long with one letter wrong is the same maker: names, unlike numbers, are far apart.
_SPELLED_LONG = 6


@dataclass(frozen=True, slots=True)
class PastDecision:
    """What a person decided about a line that said the same."""

    kind: ReadingKind
    part_id: int | None = None


@dataclass(frozen=True)
class ListContext:
    """The supplier's name, the makers its own numbers belong to, every maker known, past decisions.

    `known_makers` maps each name or alias to the maker's name. `decisions` are found by
    `decision_key`: the line's code together with what the line said. `wrong` holds, by `wrong_key`,
    the parts that a person said a code is not. `record` is the shop's own record of the matcher.
    """

    supplier: str
    own_makers: frozenset[str] = frozenset()
    known_makers: Mapping[str, str] = field(default_factory=dict)
    decisions: Mapping[tuple[str, str], PastDecision] = field(default_factory=dict)
    wrong: Mapping[str, frozenset[int]] = field(default_factory=dict)
    record: Mapping[str, Precision] = field(default_factory=dict)

    @cached_property
    def _resolved(self) -> dict[str, str]:
        return {}

    @cached_property
    def own_keys(self) -> frozenset[str]:
        """Return the keys of the makers whose numbers are the supplier's own."""
        return frozenset(self.maker_of(name) for name in (*self.own_makers, self.supplier) if name)

    @cached_property
    def maker_keys(self) -> dict[str, str]:
        """Return the key of the maker for the key of each known spelling."""
        return {
            name_key(spelling): name_key(name)
            for spelling, name in sorted(self.known_makers.items())
        }

    def maker_of(self, written: str) -> str:
        """Return the key of the maker meant by `written`; an unknown name is its own maker."""
        known = self._resolved.get(written)
        if known is None:
            key = name_key(written)
            known = self.maker_keys.get(key) or self._nearly(key) or key
            self._resolved[written] = known
        return known

    def _nearly(self, key: str) -> str:
        from rapidfuzz.distance import OSA

        if len(key) < _SPELLED_LONG:
            return ""
        near = {
            maker
            for spelling, maker in self.maker_keys.items()
            if len(spelling) >= _SPELLED_LONG and OSA.distance(key, spelling, score_cutoff=1) <= 1
        }
        return near.pop() if len(near) == 1 else ""


def said(line: LineText) -> str:
    """Return what the line says about itself, in one spelling: a decision holds while it stays."""
    parts = (line.description, line.maker, line.maker_number, line.replaces, line.rating,
             line.material, line.thread)  # fmt: skip
    return "|".join(" ".join(part.casefold().split()) for part in parts)


def wrong_key(line: LineText) -> str:
    """Return under what a wrong match is remembered: the code, or all that a line without says."""
    return number_identity(line.code) or said(line)


def decision_key(line: LineText) -> tuple[str, str]:
    """Return the key under which a decision about the line is remembered."""
    return number_identity(line.code), said(line)
