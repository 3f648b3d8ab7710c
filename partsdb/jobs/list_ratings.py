"""What a list says of a part's rating, held against what is known: raised, muddled or lower."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from partsdb.jobs.reading_list import ReadLine
from partsdb.rules.facts import Claim, ClaimKind, PartFacts
from partsdb.rules.pressure import Pressure, shown_rating
from partsdb.rules.pressure_units import unit_named
from partsdb.rules.ratings import working_rating
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import Check, Outcome

# Unit rounding between psi and bar is below this; what differs more is another figure.
_SAME_FIGURE = Fraction(1, 100)
_PSI_PER_BAR = Fraction("14.5037738")
# Common practice, no source: lists round to ten bar or a hundred psi, and this much at most.
_ROUND_TO = (10 * unit_named("bar").pascals, 100 * unit_named("psi").pascals)
_ROUNDED_AT_MOST = Fraction(2, 100)


def list_against_catalogue(
    line: ReadLine, known: PartFacts, *, of: str = "the part"
) -> list[Check]:
    """Return checks where the list contradicts what is known: a raised rating, a muddled unit."""
    ours = working_rating(known.claims, role_named(known.role).component_class)
    theirs = working_rating(line.claims, role_named(known.role).component_class)
    checks = [_burst(claim, of) for claim in line.claims if _is_burst(claim)]
    if ours.pressure and theirs.pressure and not theirs.is_derived:
        checks += _ratings_compared(theirs.pressure, ours.pressure, of, ours.evidence)
    if line.twin:
        text = f"the list gives this code twice, with another price at {line.twin}"
        checks.append(Check("line", Outcome.NOT_SHOWN, text, code="DUPLICATE_CODE"))
    return checks


def _is_burst(claim: Claim) -> bool:
    return claim.kind is ClaimKind.RATING and claim.basis == "burst"


def _burst(claim: Claim, of: str) -> Check:
    text = f"the list quotes the burst pressure of {of} ({claim.value}), which is no rating"
    return Check("list rating", Outcome.NOT_SHOWN, text, claim.source, "BURST_ONLY")


def _ratings_compared(theirs: Pressure, ours: Pressure, of: str, evidence: object) -> list[Check]:
    if theirs.gauge <= ours.gauge * (1 + _SAME_FIGURE):
        return _muddled(theirs, ours, of)
    if found := _muddled(theirs, ours, of):
        return found
    said = f"the list says {shown_rating(theirs)}, {evidence} of {of} says {shown_rating(ours)}"
    if _is_rounded_up(theirs, ours):
        text = f"{said}: rounded up, which a rating never is"
        return [Check("list rating", Outcome.NOT_SHOWN, text, code="ROUNDED_UP")]
    text = f"{said}: a raised rating needs a document{_like_burst(theirs, ours)}"
    return [Check("list rating", Outcome.NOT_SHOWN, text, code="RAISED_RATING")]


def _like_burst(theirs: Pressure, ours: Pressure) -> str:
    """Return that the figure is as many times ours as a burst pressure, in words, or "".

    Ratios of 2.5 to 5 are in use (trade table, handbook 1.3).
    """
    times = Fraction(theirs.gauge) / Fraction(ours.gauge)
    return (
        f"; {float(times):.1f} times as much may be its burst pressure" if _is_ratio(times) else ""
    )


def _is_ratio(times: Fraction) -> bool:
    return Fraction(5, 2) <= times <= 5


def _is_rounded_up(theirs: Pressure, ours: Pressure) -> bool:
    """Say whether theirs is ours in round figures: 230 bar for 3300 psi."""
    if theirs.gauge > ours.gauge * (1 + _ROUNDED_AT_MOST):
        return False
    return any(theirs.gauge % step == 0 and ours.gauge % step != 0 for step in _ROUND_TO)


def _muddled(theirs: Pressure, ours: Pressure, of: str) -> list[Check]:
    """Return a check when the figures differ by just the factor between bar and psi."""
    ratio = Fraction(theirs.gauge) / Fraction(ours.gauge)
    near = any(
        abs(ratio / factor - 1) < Fraction(5, 100) for factor in (_PSI_PER_BAR, 1 / _PSI_PER_BAR)
    )
    if not near:
        return []
    text = (
        f"the list says {theirs.as_written}, {of} has {ours.as_written}: bar and psi look muddled"
    )
    return [Check("list rating", Outcome.NOT_SHOWN, text, code="UNIT_MUDDLE")]


def contradicting(said: Sequence[Claim], known: PartFacts) -> tuple[Claim, ...]:
    """Return the list's claims that say less than is known: the lower figure counts until settled.

    A figure that only repeats the known one in another unit adds nothing.
    """
    component_class = role_named(known.role).component_class
    ours = working_rating(known.claims, component_class)
    if not ours.pressure:
        return tuple(claim for claim in said if claim.kind is ClaimKind.RATING)
    kept = []
    for claim in said:
        theirs = (
            working_rating([claim], component_class) if claim.kind is ClaimKind.RATING else None
        )
        if (
            theirs
            and theirs.pressure
            and theirs.pressure.gauge < ours.pressure.gauge * (1 - _SAME_FIGURE)
        ):
            kept.append(claim)
    return tuple(kept)
