"""Order of the galvanic index against a published series in seawater: the order only."""

import re

import pytest

from partsdb.rules.galvanic import galvanic_anode

pytestmark = pytest.mark.external

# Stainless steel is taken active there: our index (handbook 3.1, S22) puts it below copper, while a
# passive one is nobler than copper in seawater. Brass, bronze and carbide are not in the series.
PAIRS = {
    "magnesium": "Magnesium",
    "hot-dip zinc": "Zinc",
    "Al wrought (not 2000)/cast Si-type": "Aluminum 6061",
    "carbon/low-alloy steel": "Mild Steel",
    "18% Cr stainless": "Stainless 316 (active)",
    "copper": "Copper",
    "nickel & titanium": "Titanium",
}


@pytest.fixture(scope="module")
def series(package_text):
    text = package_text("corrosim", "1.6.1", "corrosim/engines/galvanic_engine.py")
    block = text.split("SERIES = {", 1)[1].split("}", 1)[0]
    found = {name: float(volts) for name, volts in re.findall(r"'([^']+)':\s*(-?[\d.]+)", block)}
    assert len(found) == 14
    return found


@pytest.mark.parametrize("one", PAIRS)
@pytest.mark.parametrize("other", PAIRS)
def test_the_same_metal_of_a_pair_corrodes(series, one, other):
    volts = {ours: series[theirs] for ours, theirs in PAIRS.items()}
    expected = None if one == other else min((one, other), key=volts.__getitem__)
    assert galvanic_anode(one, other) == expected
