"""The pressure chain: the weakest piece rates it, and what is unknown is listed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.rules.facts import ClaimKind, PartFacts
from partsdb.rules.pressure import (
    Pressure,
    find_pressures,
    shown_against,
    shown_demand,
    shown_rating,
)
from partsdb.rules.pressure_check import Allowance, check_pressure
from partsdb.rules.ratings import GAUGE_SHARE, WorkingRating, working_rating
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import Check, Outcome, Verdict, verdict_of, worst_outcome

# EN 837-2, from memory: a gauge is read best in the middle of its scale.
_LOWEST_SHARE = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class ChainPiece:
    """One pressurised piece of a set-up, what is known of its rating, and what was confirmed.

    `settled` is how it holds the pressure where that was judged already, with heat and all;
    `left` what the heat leaves of its rating.
    """

    name: str
    rating: WorkingRating
    nominal_confirmed: bool = False
    settled: Check | None = None
    left: Pressure | None = None

    @property
    def pressure(self) -> Pressure | None:
        """Return the rating that counts, None where none is known."""
        return self.left if self.settled is not None else self.rating.pressure


def piece_of(name: str, part: PartFacts) -> ChainPiece:
    """Return a part as a piece of the chain, rated by its claims as its role is rated."""
    return ChainPiece(name, working_rating(part.claims, role_named(part.role).component_class))


@dataclass(frozen=True, slots=True)
class PressureChain:
    """A judged chain: its checks weakest piece first, the unknown pieces, and the weakest.

    `unknown` are the pieces that are not shown to hold the pressure; `rating` is the chain's own
    rating, None as long as there are any.
    """

    outcome: Outcome
    checks: tuple[tuple[str, Check], ...]
    unknown: tuple[str, ...]
    weakest: str
    rating: Pressure | None
    text: str

    @property
    def verdict(self) -> Verdict:
        """Return the verdict that the worst piece allows."""
        return verdict_of(check for _, check in self.checks)


def judge_chain(
    pieces: Iterable[ChainPiece], demanded: Pressure, allowance: Allowance | None = None
) -> PressureChain:
    """Return the chain's outcome against the machine's highest (stall) pressure (handbook 1.5).

    Any piece too low fails the chain; else any unknown piece leaves it not shown.
    """
    ranked = sorted(pieces, key=_weakest_first)
    checks = tuple((piece.name, _check(piece, demanded, allowance)) for piece in ranked)
    unknown = tuple(name for name, check in checks if check.outcome is Outcome.NOT_SHOWN)
    known = [piece for piece in ranked if piece.pressure is not None]
    rating = known[0].pressure if known and not unknown else None
    return PressureChain(
        worst_outcome(check for _, check in checks), checks, unknown,
        known[0].name if known else "", rating, _in_words(known, unknown, demanded),
    )  # fmt: skip


def _check(piece: ChainPiece, demanded: Pressure, allowance: Allowance | None) -> Check:
    if piece.settled is not None:
        return piece.settled
    return check_pressure(piece.rating, demanded, _allowed(piece, allowance))


def _allowed(piece: ChainPiece, allowance: Allowance | None) -> Allowance | None:
    if not piece.nominal_confirmed:
        return allowance
    return replace(allowance or Allowance(), nominal_confirmed=True)


def _weakest_first(piece: ChainPiece) -> tuple[bool, Fraction, str]:
    pressure = piece.pressure
    return pressure is None, pressure.gauge if pressure else Fraction(0), piece.name


def _in_words(known: list[ChainPiece], unknown: tuple[str, ...], demanded: Pressure) -> str:
    needed = shown_demand(demanded)
    words = f"no piece has a known rating against {needed} needed"
    if known and known[0].pressure:
        both = shown_against(known[0].pressure, demanded)
        words = f"the weakest known piece is the {known[0].name}, {both}"
    return f"{words}; unknown: {', '.join(unknown)}" if unknown else words


def scale_check(part: PartFacts, working: Pressure) -> Check | None:
    """Return whether a gauge's scale suits the working pressure, None for what states no scale."""
    scales = [
        stated.pressure
        for claim in part.claims
        if claim.kind == ClaimKind.DIMENSION and claim.about == "full_scale"
        for stated in find_pressures(claim.value, in_pressure_context=True)
        if stated.pressure is not None and stated.pressure.gauge > 0
    ]
    return gauge_range(scales[0], working) if part.role == "gauge" and scales else None


def gauge_range(full_scale: Pressure, working: Pressure) -> Check:
    """Return whether a gauge suits the working pressure: that is 0.25 to 0.75 of its scale.

    Source: EN 837-2, from memory (handbook 1.3).
    """
    share = working.gauge / full_scale.gauge
    figures = (
        f"{shown_demand(working)} on a scale of {shown_rating(full_scale)} is {float(share):.0%}"
    )
    if share > GAUGE_SHARE:
        text = f"{figures}, more than 75 %"
        return Check("gauge range", Outcome.FAILS, text, "EN 837-2", "PRESSURE_LOW")
    if share < _LOWEST_SHARE:
        condition = (
            f"the gauge reads only {float(share):.0%} of its scale: take one with a lower scale"
        )
        return Check(
            "gauge range", Outcome.MEETS_WITH_CONDITIONS, figures, "EN 837-2", "", (condition,)
        )
    return Check("gauge range", Outcome.MEETS, figures, "EN 837-2")
