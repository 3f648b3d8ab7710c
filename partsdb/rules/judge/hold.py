"""Does the part hold the pressure of the position, at its temperature?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.errors import UsageError
from partsdb.rules.chain import scale_check
from partsdb.rules.facts import Claim, ClaimKind
from partsdb.rules.hose_class import class_of
from partsdb.rules.judge.case import Case, claims_of, is_hearsay, strongest
from partsdb.rules.memo import once_per_object, once_per_object_and, once_per_pair
from partsdb.rules.nipples import screen_nipple, wall_described
from partsdb.rules.pressure import Pressure, shown_demand
from partsdb.rules.pressure_check import Allowance, check_pressure
from partsdb.rules.ratings import Figure, WorkingRating, working_rating
from partsdb.rules.temperature import check_temperature, curve_for, derated, highest_c
from partsdb.rules.verdict import Check, Outcome

# Kinds of role that no pressure acts on.
_UNPRESSED = frozenset({"hardware", "consumable", "none"})
_APPROVED = (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS)


@dataclass(frozen=True, slots=True)
class Held:
    """How a part holds the pressure of its place; `rating` is what is left of it in the heat."""

    check: Check
    rating: Pressure | None = None


def pressure_checks(case: Case, standing: Check | None) -> list[Check]:
    """Return the pressure check of the case, none for what holds no pressure.

    A wear item has seldom a rating of its own: without one it stands or falls with `standing`,
    the check of how it came to be proposed. The parts list of a machine never speaks for a rating.
    """
    found = held(case, standing)
    return [found.check] if found else []


def held(case: Case, standing: Check | None) -> Held | None:
    """Return how the part holds the pressure, as `pressure_checks`; None for what holds none."""
    if case.role.kind in _UNPRESSED:
        return None
    component_class = class_of(case.role, case.demand.fluids, case.demand.temp_c_max)
    rating = _rated(case.part.claims, component_class)
    if case.demanded is None:
        return _no_demand(case, rating)
    found = _held(case, rating, case.demanded, standing)
    if case.demanded is not case.demand.pressure:
        text = f"{found.check.text}; the machine reaches {case.demanded.as_written}"
        found = replace(found, check=replace(found.check, text=text))
    return found


def _held(case: Case, rating: WorkingRating, demanded: Pressure, standing: Check | None) -> Held:
    if not case.role.holds_pressure and not rating.figures and not rating.ceiling:
        return Held(_worn(case.role.name, demanded, None if case.is_very_part else standing))
    if case.role.name == "nipple" and not rating.figures and not rating.ceiling:
        wall = wall_described(case.part.description, case.part.claims)
        if wall:
            return Held(screen_nipple(wall, demanded))
    hot = _derated(case, rating)
    if isinstance(hot, Check):
        return Held(hot, rating.pressure)
    if case.nominal_confirmed:
        check = check_pressure(hot, demanded, Allowance(nominal_confirmed=True))
        return Held(check, hot.pressure)
    return Held(_against(hot, demanded), hot.pressure)


@once_per_pair
def _against(rating: WorkingRating, demanded: Pressure) -> Check:
    return check_pressure(rating, demanded)


@once_per_object_and
def _rated(claims: tuple[Claim, ...], component_class: str) -> WorkingRating:
    return working_rating(claims, component_class)


@once_per_object
def _curve(claims: tuple[Claim, ...]) -> str:
    return curve_for(claims)


def adapter_checks(case: Case) -> list[Check]:
    """Return the pressure check of the adapter that the part needs: it is a piece of the chain."""
    demanded = case.demanded
    if case.is_very_part or not case.edges:
        return []
    if case.adapter_doubt:
        return [Check("adapter", Outcome.NOT_SHOWN, case.adapter_doubt, code="NEEDS_ADAPTER")]
    if not case.adapter_needed or demanded is None:
        return []
    claims = case.adapter.claims if case.adapter else ()
    found = check_pressure(working_rating(claims, "fitting"), demanded)
    text = f"adapter {case.adapter_needed}: {found.text}"
    return [replace(found, check="pressure adapter", text=text)]


def _no_demand(case: Case, rating: WorkingRating) -> Held | None:
    if not case.role.holds_pressure:
        return None
    rated = f"rated {rating.pressure.as_written}" if rating.pressure else "no rating stated"
    text = f"{rated}, and the working pressure of {case.place} is not recorded: record it"
    return Held(Check("pressure", Outcome.NOT_SHOWN, text, code="PRESSURE_UNKNOWN"))


def _worn(name: str, demanded: Pressure, standing: Check | None) -> Check:
    """Return what an unrated wear item shows at the pressure: it rests on its approval, if any.

    `standing` is what is known about it standing in, None where only a parts list names it.
    """
    at = shown_demand(demanded)
    if standing is not None and standing.outcome in _APPROVED:
        text = f"a {name} has no rating of its own: at {at} it rests on its approval"
        return Check("pressure", Outcome.MEETS, text, standing.evidence)
    text = f"no rating is stated and nobody has shown this {name} at {at}"
    if standing is None:
        text = f"no rating is stated, and a parts list does not show a {name} at {at}"
    return Check("pressure", Outcome.NOT_SHOWN, text, code="PRESSURE_UNKNOWN")


def _derated(case: Case, rating: WorkingRating) -> WorkingRating | Check:
    """Return the rating as it is at the position's temperature, by curve where one is named."""
    curve, temp_c = _curve(case.part.claims), case.demand.temp_c_max
    if not curve or not rating.figures:
        return rating
    if temp_c is None:
        text = f"its rating falls with heat, and how hot {case.place} gets is not recorded"
        return Check("pressure", Outcome.NOT_SHOWN, text, code="TEMP_UNKNOWN")
    try:
        figures = tuple(_hot(each, curve, temp_c) for each in rating.figures)
        # The burst pressure falls with the heat too, and with it what it shows.
        margin = _hot(rating.margin, curve, temp_c) if rating.margin else None
        proof = _hot(rating.proof_margin, curve, temp_c) if rating.proof_margin else None
    except UsageError as beyond:
        return Check("pressure", Outcome.NOT_SHOWN, str(beyond), code="TEMP_UNKNOWN")
    cooler = all(each.pressure.gauge == was.pressure.gauge * Fraction(1)
                 for each, was in zip(figures, rating.figures, strict=True))  # fmt: skip
    return rating if cooler else replace(rating, figures=figures, margin=margin, proof_margin=proof)


def _hot(figure: Figure, curve: str, temp_c: int) -> Figure:
    pressure = derated(figure.pressure, curve, temp_c=temp_c)
    return replace(figure, pressure=pressure, is_derived=True)


def temperature_checks(case: Case) -> list[Check]:
    """Return the temperature check, none where the position states no temperature."""
    if case.demand.temp_c_max is None or case.role.kind in _UNPRESSED:
        return []
    found = _as_hot(case.part.claims, (case.demand.temp_c_max, case.demand.fluids))
    if case.is_very_part and found.code == "TEMP_UNKNOWN":
        text = f"the very part called for at {case.demand.temp_c_max} °C"
        return [Check("temperature", Outcome.MEETS, text)]
    stated = [*claims_of(case.part, ClaimKind.TEMPERATURE)]
    # What a document says that cannot be read shows nothing: only limits that can be count.
    stated = [claim for claim in stated if highest_c(claim.value) is not None] or stated
    if found.outcome == Outcome.MEETS and stated and is_hearsay(strongest(stated)):
        text = f"{found.text}, but only by {strongest(stated)}"
        return [Check("temperature", Outcome.NOT_SHOWN, text, found.evidence, "EVIDENCE_WEAK")]
    return [found]


@once_per_object_and
def _as_hot(claims: tuple[Claim, ...], place: tuple[int, tuple[str, ...]]) -> Check:
    temp_c, fluids = place
    return check_temperature(claims, temp_c, fluids)


def gauge_checks(case: Case) -> list[Check]:
    """Return whether a gauge's scale suits the place, none where scale or pressure are unknown."""
    if case.role.name != "gauge" or case.demanded is None:
        return []
    found = scale_check(case.part, case.demanded)
    return [found] if found else []
