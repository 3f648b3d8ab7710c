"""Seals against fluid and temperature, cell by cell of handbook 3.2, and the solvent stop."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb import tables
from partsdb.rules.seals import canonical_fluid, check_fluid, check_solvent_hazard
from partsdb.rules.verdict import Outcome

MEETS, CONDITIONS, NOT_SHOWN, FAILS = Outcome
FLUIDS = ["water-borne", "mineral spirits", "ketone", "xylene", "bleach", "hot alkali"]
# handbook 3.2, a row a material, a letter a fluid; from memory there, screening only
LETTERS = {
    "PTFE": "A A A A A A",
    "UHMWPE": "A A A C B A",
    "leather": "B A B B D D",
    "NBR": "A A D D C B",
    "FKM": "A A D A B C",
    "EPDM": "A D A D B A",
    "PU": "A B D D C D",
    "acetal": "A A B B D B",
}
OUTCOMES = {"A": MEETS, "B": CONDITIONS, "C": FAILS, "D": FAILS}


@pytest.mark.parametrize("material", LETTERS)
def test_each_letter_of_the_handbook_gives_its_outcome(material):
    for fluid, letter in zip(FLUIDS, LETTERS[material].split(), strict=True):
        found = check_fluid(material, fluid, 20)
        assert found.outcome is OUTCOMES[letter], (fluid, letter)
        assert found.code == ("FLUID_BAD" if letter in "CD" else "")
        assert (found.conditions != ()) == (letter == "B")


@pytest.mark.parametrize(
    ("material", "low", "high"),
    [  # handbook 3.2
        ("PTFE", -200, 260),
        ("UHMWPE", -100, 80),
        ("leather", -30, 80),
        ("NBR", -40, 120),
        ("FKM", -20, 200),
        ("EPDM", -50, 150),
        ("acetal", -40, 90),
    ],
)
def test_a_seal_holds_within_its_range_of_temperature_only(material, low, high):
    for temp_c in (low, 20, high):
        assert check_fluid(material, "water-borne", temp_c).outcome in (MEETS, CONDITIONS)
    for temp_c in (low - 1, high + 1):
        found = check_fluid(material, "water-borne", temp_c)
        assert (found.outcome, found.code) == (FAILS, "TEMP_LOW")


def test_polyurethane_is_good_in_cold_water_only():
    assert check_fluid("PU", "water", 40).outcome is MEETS
    found = check_fluid("PU", "water", 60)
    assert (found.outcome, found.code) == (NOT_SHOWN, "TEMP_UNKNOWN")


def test_a_temperature_that_is_not_stated_shows_nothing():
    found = check_fluid("PTFE", "water-borne", None)
    assert (found.outcome, found.code) == (NOT_SHOWN, "TEMP_UNKNOWN")
    # … but a fluid that the seal does not stand fails at any temperature
    assert check_fluid("FKM", "MEK", None).code == "FLUID_BAD"


@pytest.mark.parametrize(
    ("material", "fluid"),
    [
        ("FKM", "brake fluid"),
        ("FKM", ""),
        ("", "water"),
        ("316", "water"),
        ("rubber", "water"),
        ("universal", "water"),
        ("FKM", "toluene"),  # not xylene
        ("PTFE", "methylene chloride"),  # no letter for it
    ],
)
def test_what_is_absent_from_the_table_is_not_shown(material, fluid):
    found = check_fluid(material, fluid, 20)
    assert (found.outcome, found.code) == (NOT_SHOWN, "FLUID_UNKNOWN")


def test_a_stack_is_judged_by_its_weakest_material():
    assert check_fluid("leather/UHMWPE", "mineral spirits", 20).outcome is MEETS
    assert check_fluid("leather/UHMWPE", "water-borne", 20).outcome is CONDITIONS
    assert check_fluid("leather/UHMWPE", "bleach", 20).outcome is FAILS
    assert check_fluid("NBR/PTFE", "water-borne", 125).code == "TEMP_LOW"


@pytest.mark.parametrize(
    ("written", "ours"),
    [  # common practice, no source
        ("Waterborne", "water-borne"),
        ("latex paint", "water-borne"),
        ("Wasser", "water-borne"),
        ("white spirit", "mineral spirits"),
        ("Testbenzin", "mineral spirits"),
        ("MEK", "ketone"),
        ("Aceton", "ketone"),
        ("xylol", "xylene"),
        ("1,1,1-Trichloroethane", "halogenated solvent"),
        ("Methylenchlorid", "halogenated solvent"),
        ("R-113", "halogenated solvent"),
        ("FCKW", "halogenated solvent"),
        ("chlorofluorocarbon", "halogenated solvent"),
        ("thinner", None),
        ("sea water", None),
    ],
)
def test_a_fluid_is_known_by_its_names_in_the_trade(written, ours):
    assert canonical_fluid(written) == ours


@pytest.mark.parametrize(
    ("fluid", "material"),
    [  # handbook 3.2: "any amount of aluminium is too much"
        ("1,1,1-trichloroethane", "aluminium"),
        ("methylene chloride", "A380"),
        ("Dichlormethan", "galvanised steel"),
        ("DCM", "zinc plated"),
        ("paint stripper with methylene chloride", "aluminium"),
        ("halogenated solvent", "316 body, aluminium cap"),
        ("trichloroethylene", "aluminium bronze"),
        ("DCM", "anodised aluminium, special"),
    ],
)
def test_a_halogenated_solvent_on_light_metal_is_a_hard_stop(fluid, material):
    for found in (check_solvent_hazard(fluid, material), check_fluid(material, fluid, 20)):
        assert (found.outcome, found.code) == (FAILS, "HHC_ALUMINIUM")
        assert found.text.startswith("STOP")


@pytest.mark.parametrize(
    ("fluid", "material", "outcome", "code"),
    [
        ("methylene chloride", "316", MEETS, ""),
        ("methylene chloride", "", NOT_SHOWN, "HHC_ALUMINIUM"),
        ("methylene chloride", "mystery alloy", NOT_SHOWN, "HHC_ALUMINIUM"),
        ("thinner", "aluminium", NOT_SHOWN, "FLUID_UNKNOWN"),
        ("", "aluminium", NOT_SHOWN, "FLUID_UNKNOWN"),
        ("mineral spirits", "aluminium", MEETS, ""),
        ("water", "aluminium", MEETS, ""),
    ],
)
def test_a_solvent_is_no_hazard_only_when_that_is_known(fluid, material, outcome, code):
    found = check_solvent_hazard(fluid, material)
    assert (found.outcome, found.code) == (outcome, code)


def test_every_seal_of_the_tables_has_all_fluids_and_a_temperature():
    pairs = {(row["material"], row["fluid"]) for row in tables.rows("seal_fluids")}
    assert pairs == {(material, fluid) for material in LETTERS for fluid in FLUIDS}
    assert {row["material"] for row in tables.rows("seal_temperatures")} == set(LETTERS)
    assert all(row["source"] for row in tables.rows("seal_fluids"))


@given(
    st.sampled_from([*LETTERS, "leather/UHMWPE"]), st.sampled_from(FLUIDS), st.integers(-300, 400)
)
def test_no_seal_is_good_outside_every_range(material, fluid, temp_c):
    found = check_fluid(material, fluid, temp_c)
    if temp_c < -200 or temp_c > 260:
        assert found.outcome is FAILS or found.outcome is NOT_SHOWN


@given(st.text(max_size=20), st.text(max_size=20))
def test_no_text_passes_for_a_known_fluid(material, fluid):
    assert check_fluid(material, fluid, 20).outcome in (NOT_SHOWN, FAILS)
