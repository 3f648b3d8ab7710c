"""Seal materials against fluid and temperature, and the solvents that aluminium must never meet.

The letters are a screening only (A good, B limited, C poor, D no): the compound maker's own chart
decides. What the tables do not hold is not shown. Source: handbook 3.2.
"""

from __future__ import annotations

from functools import cache, lru_cache

from partsdb import tables
from partsdb.rules.materials import canonical, holds_hazard_metal, materials_named, stack
from partsdb.rules.verdict import GRAVITY, Check, Outcome
from partsdb.rules.words import plain_words

CHECK = "fluid"
HALOGENATED = "halogenated solvent"
_SOURCE = "screening from memory: the compound maker's chart decides"
_HEAT_SOURCE = "seal material temperature guide, in part from memory"
HAZARD_SOURCE = "safety manual of pressurised fluid equipment"
_LETTERS = {
    "A": (Outcome.MEETS, "good"),
    "B": (Outcome.MEETS_WITH_CONDITIONS, "limited"),
    "C": (Outcome.FAILS, "poor"),
    "D": (Outcome.FAILS, "not suited"),
}


@cache
def _fluids() -> dict[tuple[str, ...], str]:
    return {plain_words(row["alias"]): row["fluid"] for row in tables.rows("fluid_aliases")}


@cache
def _fluid_rows() -> dict[tuple[str, str], tables.Row]:
    return {(row["material"], row["fluid"]): row for row in tables.rows("seal_fluids")}


@cache
def _temperatures() -> dict[str, tuple[int, int]]:
    return {
        row["material"]: (int(row["low_c"]), int(row["high_c"]))
        for row in tables.rows("seal_temperatures")
    }


def canonical_fluid(name: str) -> str | None:
    """Return our name of a fluid, or None when it is not one that the tables know."""
    return _fluids().get(plain_words(name))


def check_fluid(material: str, fluid: str, temp_c: float | None) -> Check:
    """Return whether a seal of `material` stands `fluid` at `temp_c` (°C); a stack by its weakest.

    A temperature that is not known shows nothing; a metal that a halogenated solvent attacks is a
    hard stop. Source: handbook 3.2.
    """
    return _stands(material, fluid, temp_c)


@lru_cache(maxsize=8192)
def _stands(material: str, fluid: str, temp_c: float | None) -> Check:
    if _is_halogenated(fluid) and any(map(holds_hazard_metal, materials_named(material))):
        return check_solvent_hazard(fluid, material)
    parts = stack(material)
    if parts is None:
        text = (
            f"{material!r} is no material that we know"
            if material.strip()
            else "the seal's material is not stated"
        )
        return Check(CHECK, Outcome.NOT_SHOWN, text, _SOURCE, "FLUID_UNKNOWN")
    found = [check for part in sorted(parts) for check in _checks(part, fluid, temp_c)]
    worst = max(found, key=lambda check: GRAVITY[check.outcome])
    if GRAVITY[worst.outcome] >= GRAVITY[Outcome.NOT_SHOWN]:
        return worst
    conditions = tuple(dict.fromkeys(each for check in found for each in check.conditions))
    text = "; ".join(check.text for check in found)
    return Check(CHECK, worst.outcome, text, _SOURCE, worst.code, conditions)


def _checks(material: str, fluid: str, temp_c: float | None) -> list[Check]:
    return [_in_fluid(material, fluid, temp_c), _at_temperature(material, temp_c)]


def _in_fluid(material: str, fluid: str, temp_c: float | None) -> Check:
    known = canonical_fluid(fluid)
    row = _fluid_rows().get((material, known)) if known else None
    if row is None:
        text = f"nothing is known here of {material} in {fluid or 'a fluid that is not stated'}"
        return Check(CHECK, Outcome.NOT_SHOWN, text, _SOURCE, "FLUID_UNKNOWN")
    if row["up_to_c"] and (temp_c is None or temp_c > float(row["up_to_c"])):
        text = f"{material} in {fluid} is known only up to {row['up_to_c']} °C"
        return Check(CHECK, Outcome.NOT_SHOWN, text, row["source"], "TEMP_UNKNOWN")
    outcome, words = _LETTERS[row["letter"]]
    text = f"{material} in {fluid}: {row['letter']}, {words}"
    code = "FLUID_BAD" if outcome is Outcome.FAILS else ""
    conditions: tuple[str, ...] = ()
    if outcome is Outcome.MEETS_WITH_CONDITIONS:
        conditions = (
            f"{material} is of limited use in {fluid}: confirm with the compound maker's chart",
        )
    return Check(CHECK, outcome, text, row["source"], code, conditions)


def _at_temperature(material: str, temp_c: float | None) -> Check:
    known = _temperatures().get(material)
    if known is None:
        return Check(
            CHECK,
            Outcome.NOT_SHOWN,
            f"no temperature range of {material} is known here",
            _HEAT_SOURCE,
            "TEMP_UNKNOWN",
        )
    low, high = known
    if temp_c is None:
        text = f"{material} stands {low} to {high} °C; the temperature of the fluid is not stated"
        return Check(CHECK, Outcome.NOT_SHOWN, text, _HEAT_SOURCE, "TEMP_UNKNOWN")
    if low <= temp_c <= high:
        return Check(
            CHECK,
            Outcome.MEETS,
            f"{material} stands {temp_c:g} °C ({low} to {high} °C)",
            _HEAT_SOURCE,
        )
    text = f"{material} stands {low} to {high} °C, not {temp_c:g} °C"
    return Check(CHECK, Outcome.FAILS, text, _HEAT_SOURCE, "TEMP_LOW")


def check_solvent_hazard(fluid: str, wetted_material: str) -> Check:
    """Return the hard stop for a halogenated solvent on aluminium or zinc under pressure.

    They can react explosively, and any amount of aluminium is too much: here, other than for a
    seal, a name found anywhere in the text counts. Source: handbook 3.2, S24.
    """
    if not _is_halogenated(fluid):
        if canonical_fluid(fluid):
            return _hazard(Outcome.MEETS, f"{fluid} is no halogenated solvent", "")
        text = f"whether {fluid!r} holds a halogenated solvent is not known: ask for its data sheet"
        return _hazard(Outcome.NOT_SHOWN, text, "FLUID_UNKNOWN")
    stop = f"{fluid} under pressure can react explosively with aluminium or zinc"
    named = materials_named(wetted_material)
    if any(holds_hazard_metal(material) for material in named):
        text = f"STOP: {stop}, and {wetted_material} holds it; any amount is too much"
        return _hazard(Outcome.FAILS, text, "HHC_ALUMINIUM")
    if canonical(wetted_material) is None:
        what = wetted_material or "the wetted material"
        return _hazard(
            Outcome.NOT_SHOWN, f"{stop}; {what} is not known to be free", "HHC_ALUMINIUM"
        )
    return _hazard(Outcome.MEETS, f"{wetted_material} holds neither aluminium nor zinc", "")


def _hazard(outcome: Outcome, text: str, code: str) -> Check:
    return Check("solvent", outcome, text, HAZARD_SOURCE, code)


# Of the fluids that the tables know, these do not burn; of any other nobody here knows it.
_DOES_NOT_BURN = frozenset({"water-borne", "bleach", "hot alkali", HALOGENATED})


def may_burn(fluid: str) -> bool:
    """Say whether a fluid burns, or nobody here knows that it does not."""
    return canonical_fluid(fluid) not in _DOES_NOT_BURN


def _is_halogenated(fluid: str) -> bool:
    words = plain_words(fluid)
    names = [name for name, known in _fluids().items() if known == HALOGENATED]
    spans = {words[at:end] for at in range(len(words)) for end in range(at + 1, len(words) + 1)}
    return any(name in spans for name in names)
