"""Freight: volumetric and chargeable weight, as carriers bill it."""

from fractions import Fraction

import pytest

from partsdb.errors import InputRefusedError
from partsdb.rules.freight import (
    FreightStep,
    FreightTable,
    Piece,
    Weighing,
    chargeable_weight,
    round_up_to,
    volumetric_weight,
)
from partsdb.rules.money import Money


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


def eur(text):
    return Money.of(text, "EUR")


def by_weight(*steps):
    return FreightTable(True, tuple(FreightStep(Fraction(kg), eur(price), *map(eur, more)) for kg, price, *more in steps))


PARCELS = (("0", "6.50"), ("2", "7.90"), ("5", "9.90"), ("31.5", "25.00", "0.80"))


@pytest.mark.parametrize(
    ("kilos", "freight"),
    [  # common practice, no source: "up to 2 kg" has the 2 kg in it; over the last step each kg pays
        ("0", "6.50"), ("0.1", "6.50"), ("2", "6.50"), ("2.001", "7.90"), ("5", "7.90"),
        ("31.5", "9.90"), ("31.6", "25.08"), ("41.5", "33.00"),
    ],
)  # fmt: skip
def test_a_parcel_pays_the_step_that_its_weight_falls_into(kilos, freight):
    assert by_weight(*PARCELS).freight(Fraction(kilos)) == eur(freight)


@pytest.mark.parametrize(
    ("goods", "freight"), [("0", "12.00"), ("99.99", "12.00"), ("100.00", "8.00"), ("250.00", "0.00")]
)
def test_an_order_pays_the_step_that_its_value_reaches(goods, freight):
    """Common practice, no source: "from 100.00 on" has the 100.00 in it."""
    starts = (("0", "12.00"), ("100", "8.00"), ("250", "0.00"))
    table = FreightTable(False, tuple(FreightStep(Fraction(a) * 100, eur(b)) for a, b in starts))
    assert table.freight(Fraction(goods) * 100) == eur(freight)


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        ((), "rise"), ((("1", "5"),), "rise"), ((("0", "5"), ("0", "6")), "rise"),
        ((("0", "5"), ("3", "6"), ("2", "7")), "rise"),
        ((("0", "5"), ("2", "4")), "falls where the weight rises"),
        ((("0", "5", "1.00"), ("10", "14.99")), "falls where the weight rises"),  # 15.00 at 10 kg
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_meant_is_refused(steps, said):
    with pytest.raises(InputRefusedError, match=said):
        by_weight(*steps)


def test_freight_by_value_has_no_price_for_each_kilogram():
    with pytest.raises(InputRefusedError, match="by value has no price"):
        FreightTable(False, (FreightStep(Fraction(0), eur("5"), eur("1")),))


# Handbook 5.3: 27.5 kg against 38.4 volumetric, and 17.5 against 6.0.
CARTONS = [(Fraction("27.5"), Fraction(80 * 60 * 40)), (Fraction("17.5"), Fraction(40 * 30 * 25))]


@pytest.mark.parametrize(
    ("weighing", "billed", "pieces"),
    [
        (Weighing(5000, True, Fraction(1, 2)), "56.0", ("38.5", "17.5")),  # handbook 5.3
        (Weighing(5000, False, Fraction(1, 2)), "45.0", ("38.4", "17.5")),  # handbook 5.3
        (Weighing(6000, False), "45", ("32", "17.5")),  # 32.0 + 5.0 volumetric, by hand
        (Weighing(4000, False), "55.5", ("48", "17.5")),  # 48.0 + 7.5 volumetric, by hand
        (Weighing(), "45", ("27.5", "17.5")),
        (Weighing(None, False, Fraction(10)), "50", ("27.5", "17.5")),
    ],
)
def test_a_carriers_setting_decides_what_is_weighed(weighing, billed, pieces):
    cartons = [weighing.piece(kilos, volume) for kilos, volume in CARTONS]
    assert weighing.billed(cartons) == Fraction(billed)
    assert [weighing.of_piece(each) for each in cartons] == [Fraction(each) for each in pieces]
