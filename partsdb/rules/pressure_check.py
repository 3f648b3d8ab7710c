"""Compares a working rating with the pressure that a position demands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.rules.facts import EvidenceLevel
from partsdb.rules.pressure import (
    DUAL_CONFLICT,
    WAS_ABSOLUTE,
    Pressure,
    at_least,
    shown_against,
    shown_demand,
    shown_rating,
    sizes_of,
    units_of,
)
from partsdb.rules.ratings import NOMINAL_BAND, Figure, WorkingRating, derived_in_words
from partsdb.rules.sources import names_source
from partsdb.rules.verdict import GRAVITY, Check, Outcome

_CONFIRM_NOMINAL = "confirm once that"

# 3300 bar for a demand of 3300 psi: the number is the demand's, the unit cannot be.
_MUDDLED_FROM = 10
_SAME_NUMBER = Fraction(2, 100)

# What a level of evidence can show at best for a piece that holds pressure.
_SHOWS = {
    EvidenceLevel.MAKERS_DOCUMENT: Outcome.MEETS,
    EvidenceLevel.MEASURED_HERE: Outcome.MEETS,
    EvidenceLevel.PROVEN_HERE: Outcome.MEETS,
    EvidenceLevel.SUPPLIERS_DOCUMENT: Outcome.MEETS_WITH_CONDITIONS,
    EvidenceLevel.SUPPLIERS_WORD: Outcome.NOT_SHOWN,
    EvidenceLevel.INFERRED: Outcome.NOT_SHOWN,
}


@dataclass(frozen=True, slots=True)
class Allowance:
    """What the shop allows: the nominal band, and whether a person has confirmed it here."""

    nominal_confirmed: bool = False
    band: Fraction = NOMINAL_BAND


def is_nominal(rated: Pressure, demanded: Pressure, *, band: Fraction = NOMINAL_BAND) -> bool:
    """Say whether the rating lies under the demand by no more than unit rounding explains.

    Less than the nominal band, and in another unit: 3290 psi for 3300 psi is a shortfall.
    """
    if units_of(rated) == units_of(demanded):
        return False
    return demanded.gauge * (1 - band) < rated.gauge < demanded.gauge


def _is_muddled(figure: Figure, demanded: Pressure) -> bool:
    """Say whether the rating is the demand's very number in a unit ten times as large or more."""
    return any(
        ours >= _MUDDLED_FROM * theirs
        and abs((figure.pressure.gauge / ours) / (demanded.gauge / theirs) - 1) < _SAME_NUMBER
        for ours in sizes_of(figure.pressure)
        for theirs in sizes_of(demanded)
    )


def check_pressure(
    rating: WorkingRating, demanded: Pressure, allowance: Allowance | None = None
) -> Check:
    """Return whether the rating holds the demand; what is not shown is never a pass.

    Codes: PRESSURE_LOW, PRESSURE_UNKNOWN, BURST_ONLY, UNIT_AMBIGUOUS, DUAL_UNIT_ROUNDING and
    EVIDENCE_WEAK (handbook 4).
    """
    allowance = allowance or Allowance()
    low = _too_low(rating, demanded, allowance)
    if low:
        return low
    if not rating.figures:
        text = f"{rating.text}: {shown_demand(demanded)} is needed"
        return Check("pressure", Outcome.NOT_SHOWN, text, code=rating.code)
    thin = _thin_margin(rating, demanded)
    if thin:
        return thin
    best = min((_shown_by(each, rating) for each in rating.figures), key=_gravity)
    if _is_muddled(rating.figures[0], demanded):
        text = (
            f"rated {rating.figures[0].pressure.as_written} where {demanded.as_written} is needed: "
            "bar and psi look muddled"
        )
        return Check("pressure", Outcome.NOT_SHOWN, text, best.evidence, "UNIT_AMBIGUOUS")
    if not at_least(rating.figures[0].pressure, demanded):
        best = _worse(best, _nominal(rating.figures[0], demanded, allowance))
    for asked in _questions(rating):
        best = _worse(best, asked)
    return _with_remarks(best, rating, demanded)


def _gravity(check: Check) -> tuple[int, int, str]:
    return GRAVITY[check.outcome], len(check.conditions), check.text


def _too_low(rating: WorkingRating, demanded: Pressure, allowance: Allowance) -> Check | None:
    needed = shown_demand(demanded)
    ceiling = rating.ceiling
    if ceiling and ceiling.pressure.gauge < demanded.gauge:
        written = f"{ceiling.basis} pressure {ceiling.pressure.as_written}"
        text = f"its {written} is under the {needed} needed"
        return _failed(text, ceiling)
    if not rating.figures or at_least(rating.figures[0].pressure, demanded):
        return None
    lowest = rating.figures[0]
    if not lowest.is_derived and is_nominal(lowest.pressure, demanded, band=allowance.band):
        return None
    reckoned = f"{lowest.pressure.as_written} = " if lowest.is_derived else ""
    text = f"rated {reckoned}{shown_against(lowest.pressure, demanded)}"
    if rating.disagreement:
        text += f"; its ratings disagree ({rating.disagreement}) and the lowest counts"
    code = "DUAL_UNIT_ROUNDING" if DUAL_CONFLICT in lowest.pressure.notes else "PRESSURE_LOW"
    return Check("pressure", Outcome.FAILS, text, _evidence(lowest), code)


def _failed(text: str, figure: Figure) -> Check:
    return Check("pressure", Outcome.FAILS, text, _evidence(figure), "PRESSURE_LOW")


def _evidence(figure: Figure) -> str:
    return f"{figure.evidence}: {figure.source}" if figure.source else str(figure.evidence)


def _thin_margin(rating: WorkingRating, demanded: Pressure) -> Check | None:
    # Handbook 1.3: a rating at the seller's own burst ratio needs the standard on paper.
    floor = demanded.gauge * (1 - NOMINAL_BAND)
    margins = [rating.proof_margin]
    margins += [rating.margin] if rating.figures[0].basis != "derived" else []
    thin = next((each for each in margins if each and each.pressure.gauge <= floor), None)
    if thin is None:
        return None
    text = (
        f"rated {shown_rating(rating.figures[0].pressure)}, but {derived_in_words(rating, thin)} "
        f"is under the {shown_demand(demanded)} needed: a lower ratio needs the number of its "
        "standard on a certificate"
    )
    return Check("pressure", Outcome.NOT_SHOWN, text, _evidence(thin), "EVIDENCE_WEAK")


def _shown_by(figure: Figure, rating: WorkingRating) -> Check:
    outcome, conditions, code = _SHOWS[figure.evidence], list[str](), ""
    written = figure.pressure.as_written
    if figure.unclear:
        outcome = Outcome.NOT_SHOWN
        conditions.append(_ask_what(figure))
    if figure.basis == "derived":
        # Handbook 1.3 and design 4.1: burst alone is not shown until somebody documents a rating.
        outcome = Outcome.NOT_SHOWN
        conditions.append(f"get the working pressure from the maker: {derived_in_words(rating)}")
    if outcome == Outcome.MEETS_WITH_CONDITIONS:
        conditions.append(f"see the certificate behind {written}")
    if outcome == Outcome.NOT_SHOWN:
        code = "BURST_ONLY" if figure.basis == "derived" else "EVIDENCE_WEAK"
    if figure.basis == "":
        conditions.append(f"confirm that {written} is the working pressure, not proof or burst")
    if DUAL_CONFLICT in figure.pressure.notes:
        code = "DUAL_UNIT_ROUNDING"
        conditions.append(f"ask which figure of {written!r} is right: they contradict each other")
    if WAS_ABSOLUTE in figure.pressure.notes:
        conditions.append(f"confirm that {written!r} was meant as absolute pressure")
    if conditions:
        outcome = max(outcome, Outcome.MEETS_WITH_CONDITIONS, key=GRAVITY.__getitem__)
    return Check("pressure", outcome, "", _evidence(figure), code, tuple(conditions))


def _ask_what(figure: Figure) -> str:
    return f"ask what {figure.unclear!r} beside {figure.pressure.as_written} means"


def _questions(rating: WorkingRating) -> Iterator[Check]:
    """Yield what is said beside the figure that counts and may be less than it."""
    lowest = rating.figures[0]
    if lowest.unclear:
        yield _question(Outcome.MEETS_WITH_CONDITIONS, _ask_what(lowest), _evidence(lowest))
    for doubt in rating.doubts:
        ask = f"ask what is meant: {doubt.problem}"
        if doubt.outweighs:
            yield _question(Outcome.NOT_SHOWN, ask, doubt.claim.source)
        elif doubt.is_question:
            yield _question(Outcome.MEETS_WITH_CONDITIONS, ask, doubt.claim.source)


def _question(outcome: Outcome, condition: str, evidence: str) -> Check:
    return Check("pressure", outcome, "", evidence, "UNIT_AMBIGUOUS", (condition,))


def _nominal(figure: Figure, demanded: Pressure, allowance: Allowance) -> Check:
    if allowance.nominal_confirmed:
        return Check("pressure", Outcome.MEETS, "", _evidence(figure))
    condition = (
        f"{_CONFIRM_NOMINAL} {figure.pressure.as_written} is the nominal of "
        f"{demanded.as_written}, rounded in another unit"
    )
    outcome = Outcome.MEETS_WITH_CONDITIONS
    return Check("pressure", outcome, "", _evidence(figure), "DUAL_UNIT_ROUNDING", (condition,))


def asks_for_nominal(check: Check) -> bool:
    """Say whether the check waits for a person to confirm that the rating is a nominal one."""
    return any(text.startswith(_CONFIRM_NOMINAL) for text in check.conditions)


def _worse(one: Check, two: Check) -> Check:
    worst = max(one, two, key=_gravity)
    conditions = tuple(dict.fromkeys((*one.conditions, *two.conditions)))
    return replace(worst, conditions=conditions, code=worst.code or one.code or two.code)


def _with_remarks(check: Check, rating: WorkingRating, demanded: Pressure) -> Check:
    lowest = rating.figures[0]
    words = [f"rated {shown_against(lowest.pressure, demanded)}"]
    if lowest.is_derived:
        words.append(f"reckoned as {lowest.pressure.as_written}")
    if lowest.pressure.gauge < demanded.gauge:
        words.append("nominal within 0.5 %")
    words += [f"{lowest.pressure.as_written!r} {note}" for note in rating.remarks]
    if rating.disagreement:
        words.append(f"its ratings disagree ({rating.disagreement}) and the lowest counts")
    if check.outcome == Outcome.NOT_SHOWN:
        words.append(_why_not_shown(rating))
    return replace(check, text="; ".join(words))


def _why_not_shown(rating: WorkingRating) -> str:
    lowest = rating.figures[0]
    doubt = next((each for each in rating.doubts if each.outweighs), None)
    if lowest.unclear:
        return f"what {lowest.unclear!r} beside it means is not known"
    if lowest.basis == "derived":
        return "a burst pressure alone shows no rating"
    if doubt:
        return f"{doubt.problem}, which may be less"
    if not any(names_source(each.source) for each in rating.figures):
        return "it names no source, so it shows nothing"
    return f"{rating.evidence} does not show a rating"
