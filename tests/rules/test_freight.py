"""Freight: volumetric and chargeable weight, as carriers bill it."""

from fractions import Fraction

import pytest

from partsdb.errors import InputRefusedError
from partsdb.rules.freight import Piece, chargeable_weight, round_up_to, volumetric_weight


def volumetric_of(given):
    sides = [Fraction(given[side]) for side in "LWH"]
    return volumetric_weight(*sides, divisor=given["divisor"])


@pytest.mark.parametrize("checks", ["freight.volumetric"], indirect=True)
def test_the_volumetric_weight_is_the_volume_over_the_divisor(checks):
    for check in checks:
        assert float(volumetric_of(check["inputs"])) == pytest.approx(check["expected"], abs=1e-8)


@pytest.mark.parametrize("checks", ["freight.volumetric_billed"], indirect=True)
def test_the_billed_weight_is_rounded_up(checks):
    for check in checks:
        assert round_up_to(volumetric_of(check["inputs"]), Fraction(1)) == check["expected"]


@pytest.mark.parametrize("checks", ["freight.chargeable"], indirect=True)
def test_the_chargeable_weight_follows_the_carriers_setting(checks):
    for check in checks:
        pieces = [
            Piece(Fraction(str(p["actual"])), Fraction(str(p["vol"])))
            for p in check["inputs"]["pieces"]
        ]
        per_piece = check["inputs"]["method"].startswith("per piece")
        weight = chargeable_weight(pieces, per_piece=per_piece, step=Fraction(1, 2))
        assert weight == Fraction(str(check["expected"]))


@pytest.mark.parametrize(("side", "divisor"), [(0, 5000), (-1, 5000), (10, 0)])
def test_a_carton_without_size_or_a_divisor_of_zero_is_refused(side, divisor):
    with pytest.raises(InputRefusedError, match="above zero"):
        volumetric_weight(Fraction(side), Fraction(1), Fraction(1), divisor=divisor)
