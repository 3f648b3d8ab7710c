"""Screens an unrated pipe nipple by Barlow: it can be failed by the screen, never passed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from partsdb.rules.facts import Claim, ClaimKind
from partsdb.rules.pressure import Pressure, ceiled, shown_demand
from partsdb.rules.pressure_units import unit_named
from partsdb.rules.verdict import Check, Outcome
from partsdb.tables import rows

# Handbook 1.5, from memory: what commodity steel pipe is good for, and the mill's tolerance.
STEEL_UTS_PSI = 60_000
MILL_TOLERANCE = Fraction(125, 1000)
RATIO = 4
# ASME B1.20.1: the height of an NPT thread is 0.8 of its pitch.
THREAD_HEIGHT_IN_PITCHES = Fraction(8, 10)

_SCHEDULE = re.compile(r"\bsch(?:edule|\.)?\s*-?\s*(40|80|160)\b|\b(STD|XS)\b", re.IGNORECASE)
_SIZE = re.compile(r"(?<![\d/])(1/8|1/4|3/8|1/2|3/4|1)(?![\d/.,])")
_NAMED = {"STD": "40", "XS": "80"}


@dataclass(frozen=True, slots=True)
class PipeWall:
    """A pipe size and schedule with outside diameter and wall in inches."""

    nps: str
    schedule: str
    od_in: Fraction
    wall_in: Fraction
    threads_per_inch: Fraction


def barlow_burst_psi(wall: PipeWall, *, mill_tolerance: Fraction = Fraction(0)) -> Fraction:
    """Return the burst of a threaded nipple in psi: 2 S t / D, the thread's height off the wall.

    Source: Barlow's formula; ASME B1.20.1 for the thread, ASME B36.10M for the wall (handbook 1.5).
    """
    left = wall.wall_in * (1 - mill_tolerance) - THREAD_HEIGHT_IN_PITCHES / wall.threads_per_inch
    return 2 * STEEL_UTS_PSI * left / wall.od_in


def pipe_wall(nps: str, schedule: str) -> PipeWall | None:
    """Return the wall of a pipe size and schedule of the table, else None."""
    for row in rows("pipe_walls"):
        if (row["nps"], row["schedule"]) == (nps, schedule):
            figures = (Fraction(row[each]) for each in ("od_in", "wall_in", "threads_per_inch"))
            return PipeWall(nps, schedule, *figures)
    return None


def wall_described(description: str, claims: tuple[Claim, ...]) -> PipeWall | None:
    """Return the pipe that a nipple's description and dimensions say it is made of, else None."""
    said = [description]
    for claim in claims:
        if claim.kind == ClaimKind.DIMENSION and claim.about in ("schedule", "nps", "size"):
            said.append(f"{'sch ' if claim.about == 'schedule' else ''}{claim.value}")
        if claim.kind == ClaimKind.STANDARD:
            said.append(claim.value)
    text = " ; ".join(said)
    schedule, size = _SCHEDULE.search(text), _SIZE.search(text)
    if schedule is None or size is None:
        return None
    return pipe_wall(size[1], schedule[1] or _NAMED[schedule[2].upper()])


def screen_nipple(wall: PipeWall, demanded: Pressure) -> Check:
    """Return `fails` where even the full wall is too thin at 4 : 1, else `not shown`."""
    psi = unit_named("psi").pascals
    full = barlow_burst_psi(wall) / RATIO
    thin = barlow_burst_psi(wall, mill_tolerance=MILL_TOLERANCE) / RATIO
    figures = (
        f"a threaded {wall.nps} Sch {wall.schedule} nipple screens to {int(full)} psi at 4 : 1 "
        f"({int(thin)} psi with mill tolerance) against {shown_demand(demanded)} needed"
    )
    if full * psi < demanded.gauge:
        text = f"no printed rating; {figures}"
        return Check("pressure", Outcome.FAILS, text, "Barlow screen", "PRESSURE_LOW")
    text = (
        f"no printed rating; {figures}, and a screen never shows a rating: "
        f"fit a nipple marked {int(ceiled(demanded, 'psi'))} psi or more"
    )
    return Check("pressure", Outcome.NOT_SHOWN, text, "Barlow screen", "PRESSURE_UNKNOWN")
