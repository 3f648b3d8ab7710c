"""Engaged threads: areas, stripping, thrust and preload against the handbook's examples."""

from fractions import Fraction

import pytest

from partsdb.errors import UsageError
from partsdb.rules import engagement
from partsdb.rules.engagement import ThreadLimits, external_shear_area, internal_shear_area
from partsdb.rules.verdict import Outcome

PA_PER_PSI = Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2


@pytest.mark.parametrize(
    ("checks", "pitch", "length"),
    [
        ("thread.shear_area_internal_mm2", {"M20x1.5-6H/6g": 1.5, "M8x1.25-6H/6g": 1.25}, "Le_mm"),
        ("thread.shear_area_internal_in2", {"3/4-16 UNF-2B": 1 / 16}, "Le_in"),
    ],
    indirect=["checks"],
)
def test_the_tapped_hole_strips_over_the_area_of_fed_std_h28(checks, pitch, length):
    for check in checks:
        given = check["inputs"]
        limits = ThreadLimits(
            pitch[given["thread"]],
            male_major_min=given["Ds_min"],
            female_pitch_max=given["En_max"],
        )
        found = internal_shear_area(limits, engaged_length=given[length])
        assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]


@pytest.mark.parametrize("checks", ["thread.shear_area_external_in2"], indirect=True)
def test_the_screw_strips_over_the_area_of_fed_std_h28(checks):
    [check] = checks
    given = check["inputs"]
    limits = ThreadLimits(1 / 16, female_minor_max=given["Kn_max"], male_pitch_min=given["Es_min"])
    found = external_shear_area(limits, engaged_length=given["Le_in"])
    assert found == pytest.approx(check["expected"], abs=check["tolerance"])


@pytest.mark.parametrize("checks", ["shear_area_in2", "shear_area_mm2"], indirect=True)
def test_areas_hold_in_inches_and_millimetres_alike(checks):
    [check] = checks
    given = check["inputs"]
    limits = ThreadLimits(
        given.get("pitch_mm") or 1 / given["tpi"],
        male_major_min=given["male_min_major"],
        female_pitch_max=given["female_max_pitch"],
    )
    found = internal_shear_area(limits, engaged_length=given["engagement"])
    assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]


def test_stress_areas_are_those_of_the_standards(check_value):
    assert engagement.tensile_area_in2(0.75, 16) == pytest.approx(
        check_value("thread.tensile_area_in2"), abs=2e-4
    )


@pytest.mark.parametrize("checks", ["thread.tensile_area_mm2"], indirect=True)
def test_metric_stress_areas_are_those_of_iso_898(checks):
    for check in checks:
        diameter, pitch = map(float, check["inputs"]["thread"].removeprefix("M").split("x"))
        found = engagement.tensile_area_mm2(diameter, pitch)
        assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]


@pytest.mark.parametrize(
    ("checks", "area", "strength"),
    [
        ("thread.strip_force_N", "area_mm2", "tau_MPa"),
        ("thread.strip_force_lbf", "area_in2", "tau_psi"),
    ],
    indirect=["checks"],
)
def test_a_thread_strips_at_area_times_shear_strength(checks, area, strength):
    [check] = checks
    found = engagement.strip_force(check["inputs"][area], check["inputs"][strength])
    assert found == pytest.approx(check["expected"], abs=check["tolerance"])


@pytest.mark.parametrize("checks", ["thread.required_Le_mm"], indirect=True)
def test_a_weaker_block_wants_a_longer_engagement(checks):
    limits = ThreadLimits(1.25, male_major_min=7.76, female_pitch_max=7.348)
    for check in checks:
        given = check["inputs"]
        assert engagement.SHEAR_STRENGTH_MPA[given["material"]] == given["tau_MPa"]
        found = engagement.required_engagement(
            engagement.tensile_area_mm2(8, 1.25),
            given["bolt_UTS_MPa"],
            shear_area_per_length=internal_shear_area(limits, engaged_length=1),
            shear_strength=given["tau_MPa"],
        )
        assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]


def test_pressure_does_not_strip_a_sound_thread(check_value):
    # handbook 2.3: 16 mm seal at 3300 psi against M20x1.5 over 12 mm in A380
    thrust = engagement.pressure_thrust_n(float(3300 * PA_PER_PSI), 16)
    assert thrust == pytest.approx(check_value("thread.pressure_thrust_N"), abs=1)
    limits = ThreadLimits(1.5, male_major_min=19.732, female_pitch_max=19.216)
    strip = engagement.strip_force(internal_shear_area(limits, engaged_length=12), 190)
    assert strip / thrust == pytest.approx(check_value("thread.strip_safety_factor"), abs=0.05)


@pytest.mark.parametrize("checks", ["thread.preload_N"], indirect=True)
def test_lubrication_raises_the_preload_of_the_same_torque(checks):
    for check in checks:
        given = check["inputs"]
        found = engagement.preload_n(given["torque_Nm"], given["d_m"], nut_factor=given["K"])
        assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]
    factors = {check["inputs"]["K"] for check in checks}
    assert factors == {engagement.NUT_FACTOR_DRY, engagement.NUT_FACTOR_LUBRICATED}


def test_the_weaker_thread_sets_the_strength_ratio():
    # handbook 2.3: J = ASs·σ_ext / (ASn·σ_int), by hand: 100·800 / (150·400) = 4/3
    found = engagement.strength_ratio(100, 800, internal_area=150, internal_strength=400)
    assert found == pytest.approx(4 / 3)


@pytest.mark.parametrize(
    ("limits", "length"),
    [
        (ThreadLimits(1.5, male_major_min=17.0, female_pitch_max=19.216), 12),  # never touches
        (ThreadLimits(1.5), 12),
        (ThreadLimits(0, male_major_min=19.7, female_pitch_max=19.2), 12),
        (ThreadLimits(1.5, male_major_min=19.7, female_pitch_max=19.2), 0),
    ],
)
def test_limits_that_leave_no_engagement_are_refused(limits, length):
    with pytest.raises(UsageError, match="no thread in engagement"):
        internal_shear_area(limits, engaged_length=length)


@pytest.mark.parametrize(
    ("called_for", "offered", "outcome", "code"),
    [  # handbook 2.3: the instruction belongs to the kit, warn on change
        ("dry", "dry", Outcome.MEETS, ""),
        ("dry", "Oil", Outcome.MEETS_WITH_CONDITIONS, "TREATMENT_CHANGED"),
        ("PTFE tape", "anaerobic sealant", Outcome.MEETS_WITH_CONDITIONS, "TREATMENT_CHANGED"),
        ("dry", "", Outcome.NOT_SHOWN, ""),
        ("dry", "the red stuff", Outcome.NOT_SHOWN, ""),
        ("", "dry", Outcome.NOT_SHOWN, ""),
    ],
)
def test_a_change_of_thread_treatment_is_a_condition(called_for, offered, outcome, code):
    found = engagement.check_treatment(called_for, offered)
    assert (found.outcome, found.code) == (outcome, code)
    assert (found.conditions != ()) == (code != "")
