"""Follows the maker's own replacements of a number to their end: one way, dated, by serial."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from partsdb.rules.facts import EvidenceLevel, StandsIn
from partsdb.rules.serials import within
from partsdb.rules.sources import names_source

PartKey = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Supersession:
    """The maker replaced `old` by `new` (None: no successor), for serials from-to if given."""

    old: PartKey
    new: PartKey | None
    from_date: str = ""
    serial_from: str = ""
    serial_to: str = ""
    source: str = ""

    @property
    def serials(self) -> str:
        """Return the serial range in words, "" when it holds for all."""
        if self.serial_from and self.serial_to:
            return f"serials {self.serial_from} to {self.serial_to}"
        if self.serial_from:
            return f"serials from {self.serial_from}"
        return f"serials up to {self.serial_to}" if self.serial_to else ""


@dataclass(frozen=True, slots=True)
class SupersessionEnd:
    """One end of a chain: the steps to it, the serial ranges as conditions, and what it is.

    `state` is "current", "ended" (no successor), "cycle" or "dangling" (not in the catalogue).
    """

    part: PartKey | None
    steps: tuple[Supersession, ...]
    conditions: tuple[str, ...]
    state: str

    @property
    def code(self) -> str:
        """Return the reason code: CYCLE blocks, SERIAL_RANGE asks the serial, else SUPERSEDED."""
        if self.state == "cycle":
            return "CYCLE"
        return "SERIAL_RANGE" if self.conditions else "SUPERSEDED"


def follow(
    start: PartKey,
    supersessions: Iterable[Supersession],
    *,
    serial: str = "",
    known: Collection[PartKey] | None = None,
    day: str = "",
) -> list[SupersessionEnd]:
    """Return every end of the chain that begins at `start`, in a fixed order; [] when none begins.

    A replacement that the maker makes only after `day` (ISO; "" for all) is none yet. A split is
    asked by serial unless `serial` decides it; a cycle and a successor that is not `known` are
    reported as such, never followed further.
    """
    steps_from: dict[PartKey, list[Supersession]] = {}
    for step in sorted(supersessions, key=_order):
        if (not serial or covers(step, serial)) and not is_to_come(step, day):
            steps_from.setdefault(step.old, []).append(step)
    ends: list[SupersessionEnd] = []
    open_chains: list[tuple[Supersession, ...]] = [(step,) for step in steps_from.get(start, [])]
    while open_chains:
        chain = open_chains.pop(0)
        state = _state(chain, known)
        onward = steps_from.get(chain[-1].new, []) if chain[-1].new else []
        if state == "current" and onward:
            open_chains += [(*chain, step) for step in onward]
        else:
            ends.append(_end(chain, state, serial))
    return ends


def _order(step: Supersession) -> tuple[PartKey, tuple[tuple[bool, int, str], ...], PartKey, str]:
    return step.old, _natural(step.serial_from), step.new or ("", ""), step.from_date


def _state(chain: tuple[Supersession, ...], known: Collection[PartKey] | None) -> str:
    new = chain[-1].new
    if new is None:
        return "ended"
    if new in {step.old for step in chain}:
        return "cycle"
    return "dangling" if known is not None and new not in known else "current"


def _end(chain: tuple[Supersession, ...], state: str, serial: str) -> SupersessionEnd:
    ranges = (
        f"only for {step.serials}"
        for step in chain
        if step.serials and within(serial, step.serial_from, step.serial_to) is None
    )
    return SupersessionEnd(chain[-1].new, chain, tuple(dict.fromkeys(ranges)), state)


def is_to_come(step: Supersession, day: str) -> bool:
    """Say whether the maker's replacement holds only from a date after `day` (ISO; "" for all)."""
    return bool(day) and step.from_date > day


def covers(step: Supersession, serial: str) -> bool:
    """Say whether the step may hold for a machine of this serial; digits compare as numbers.

    A serial that is not built like the step's limits leaves it open, so that it is asked.
    """
    return within(serial, step.serial_from, step.serial_to) is not False


def _natural(text: str) -> tuple[tuple[bool, int, str], ...]:
    pieces = re.findall(r"\d+|[^\W\d_]+", text.upper())
    return tuple(
        (True, int(piece), "") if piece.isdecimal() else (False, 0, piece) for piece in pieces
    )


def as_edge(asked: PartKey, end: SupersessionEnd) -> StandsIn | None:
    """Return the maker's own approval that a followed chain amounts to; None unless it is current.

    The steps are one approval by the maker, not a path of several makers' words; their serial
    ranges stay its conditions. A step that names no document is only said: it approves nothing.
    """
    if end.state != "current" or end.part is None:
        return None
    bare = next((step for step in end.steps if not names_source(step.source)), None)
    if bare is not None:
        why = f"said to supersede {' '.join(bare.old)}, and no document of the maker is named"
        return StandsIn(asked, end.part, "proposed", EvidenceLevel.INFERRED, end.conditions, why)
    source = "; ".join(step.source for step in end.steps)
    return StandsIn(
        asked, end.part, "accepted", EvidenceLevel.MAKERS_DOCUMENT, end.conditions,
        f"superseded by the maker: {source}",
    )  # fmt: skip


def edges_to(
    asked: PartKey, part: PartKey, supersessions: Sequence[Supersession], *, day: str = ""
) -> list[StandsIn]:
    """Return what the chains of replacements from `asked` amount to for `part`, wherever they end.

    An older number of the chain was the maker's replacement as well. Replacements that run in a
    circle prove nothing of anything: the edge then says so and approves nothing.
    """
    if any(end.state == "cycle" for end in follow(asked, supersessions, day=day)):
        return [StandsIn(asked, part, "proposed", EvidenceLevel.INFERRED, (), CYCLE)]
    as_far = [step for step in supersessions if step.old != part]
    ends = (end for end in follow(asked, as_far, day=day) if end.part == part)
    return [edge for end in ends if (edge := as_edge(asked, end))]


CYCLE = "CYCLE: the maker's replacements run in a circle and prove nothing; ask the maker"
