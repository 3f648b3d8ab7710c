"""How much thread holds how much force: shear areas, stripping, thrust, preload, treatment.

Pressure does not strip a sound thread; torque, cross-threading, galling, porosity and reuse do.
Formulas FED-STD-H28/2B, as in handbook 2.3; the thread limits are the caller's.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from partsdb.errors import UsageError
from partsdb.rules.verdict import Check, Outcome

PA_PER_MPA = 1e6
# Shear strengths in MPa: handbook 2.3, S19 (separately cast bars, not the casting) and S20.
SHEAR_STRENGTH_MPA = {"A380": 190.0, "6061-T6": 205.0}
# Nut factors, from memory: dry steel and lubricated.
NUT_FACTOR_DRY, NUT_FACTOR_LUBRICATED = 0.20, 0.12
TREATMENTS = (
    "dry",
    "PTFE tape",
    "anaerobic sealant",
    "threadlocker",
    "oil",
    "own O-ring",
)
_TAN_30 = 0.57735  # tan 30°: the formulas are for flanks of 60°


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """Limits of a pair of threads in one unit of length, mm or inch, which areas then square.

    `male_major_min` Ds,min and `female_pitch_max` En,max of the tapped hole's formula;
    `female_minor_max` Kn,max and `male_pitch_min` Es,min of the screw's.
    """

    pitch: float
    male_major_min: float = 0.0
    female_pitch_max: float = 0.0
    female_minor_max: float = 0.0
    male_pitch_min: float = 0.0


def internal_shear_area(limits: ThreadLimits, *, engaged_length: float) -> float:
    """Return ASn, the area that strips in the tapped hole; UsageError for limits that cannot be."""
    at, gap = limits.male_major_min, limits.male_major_min - limits.female_pitch_max
    return _shear_area(limits.pitch, engaged_length, at, gap)


def external_shear_area(limits: ThreadLimits, *, engaged_length: float) -> float:
    """Return ASs, the area that strips on the screw; UsageError for limits that cannot be."""
    at, gap = limits.female_minor_max, limits.male_pitch_min - limits.female_minor_max
    return _shear_area(limits.pitch, engaged_length, at, gap)


def _shear_area(pitch: float, engaged_length: float, at: float, gap: float) -> float:
    """Return the area at the diameter `at` where the thread is half a pitch and the gap thick."""
    thickness = pitch / 2 + _TAN_30 * gap
    if min(pitch, engaged_length, at, thickness) <= 0:
        raise UsageError(
            "these thread limits leave no thread in engagement",
            hint="give pitch, length and the two limits of the formula in one unit",
        )
    return pi * (engaged_length / pitch) * at * thickness


def tensile_area_mm2(diameter_mm: float, pitch_mm: float) -> float:
    """Return the stress area of a metric screw in mm² (ISO 898-1: d - 0.938194 P)."""
    return pi / 4 * (diameter_mm - 0.938194 * pitch_mm) ** 2


def tensile_area_in2(diameter_in: float, threads_per_inch: float) -> float:
    """Return the stress area of a unified screw in square inches (ASME B1.1: D - 0.9743/n)."""
    return pi / 4 * (diameter_in - 0.9743 / threads_per_inch) ** 2


def strip_force(shear_area: float, shear_strength: float) -> float:
    """Return the force that strips the thread: mm² and MPa give N, in² and psi give lbf."""
    return shear_area * shear_strength


def required_engagement(
    tensile_area: float,
    tensile_strength: float,
    *,
    shear_area_per_length: float,
    shear_strength: float,
) -> float:
    """Return the engaged length at which the screw breaks before the hole strips, with no margin.

    Areas in mm² (per mm) with MPa give mm. Rule of thumb on top: 1.5 to 2 diameters in aluminium.
    """
    return tensile_area * tensile_strength / (shear_area_per_length * shear_strength)


def strength_ratio(
    external_area: float,
    external_strength: float,
    *,
    internal_area: float,
    internal_strength: float,
) -> float:
    """Return J; above 1 the tapped hole is the weaker: multiply the engaged length by J."""
    return external_area * external_strength / (internal_area * internal_strength)


def pressure_thrust_n(pressure_pa: float, seal_diameter_mm: float) -> float:
    """Return the force in N with which pressure pushes a piece out of a bore of that diameter."""
    return pressure_pa / PA_PER_MPA * pi / 4 * seal_diameter_mm**2


def preload_n(torque_nm: float, diameter_m: float, *, nut_factor: float) -> float:
    """Return the clamping force in N of a torque: F = T / (K d)."""
    return torque_nm / (nut_factor * diameter_m)


def check_treatment(called_for: str, offered: str) -> Check:
    """Return whether the thread is treated as the torque of the piece called for supposes.

    Lubricated, the same torque clamps by two thirds more: the instruction belongs to the kit, not
    to the pump. Source: handbook 2.3.
    """
    called, given = _treatment(called_for), _treatment(offered)
    name, source = "thread treatment", "textbook formula F = T/(K d), common practice"
    if called is None or given is None:
        what = called_for if called is None else offered
        text = f"{what!r} is no thread treatment that we know" if what else "it is not stated"
        return Check(name, Outcome.NOT_SHOWN, text, source)
    if called == given:
        return Check(name, Outcome.MEETS, f"{given}, as called for", source)
    text = f"{given} where {called} is called for"
    condition = (
        f"tighten by the sheet that comes with this piece: it is fitted with {given}, not {called}"
    )
    return Check(
        name, Outcome.MEETS_WITH_CONDITIONS, text, source, "TREATMENT_CHANGED", (condition,)
    )


def _treatment(text: str) -> str | None:
    plain = text.strip().casefold()
    return next((each for each in TREATMENTS if each.casefold() == plain), None)
