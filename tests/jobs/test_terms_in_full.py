"""Terms of every kind from their files to the landed cost, to the cent, by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.errors import PartsdbError
from partsdb.jobs.catalogue import KINDS
from partsdb.jobs.landing import Need, land
from partsdb.jobs.payment_notes import notes_on_paying
from partsdb.jobs.settings import change_setting
from partsdb.jobs.shop_files import LoadCount
from partsdb.jobs.terms_cards import terms_answer
from partsdb.store import catalogue, offers, terms, terms_more
from partsdb.store.rows import DutyRow


@pytest.fixture
def load(tmp_path: Path) -> Any:
    """Return a function that takes in one file of a kind, given as its rows."""

    def taken(kind: str, *rows: str) -> LoadCount:
        found = KINDS[kind]
        place = tmp_path / found.format.name
        place.write_text("\n".join(rows) + "\n", encoding="utf-8")
        return found.load(found.read(place), BY)

    return taken


@pytest.fixture
def kit(small: SmallShop) -> int:
    return small.part("24-1180", "valve kit", weight_g=800, heading="8481.90", origin="GB")


@pytest.fixture
def ninefold(small: SmallShop) -> int:
    return small.supplier("Ninefold", incoterm="FCA")


def landed(part: int, units: int, day: str = DAY) -> Any:
    [offer] = offers.live_offers([part], day)
    return land([Need(catalogue.part_rows([part])[part], offer, units)], day)


def amounts(order: Any) -> dict[str, int]:
    assert order.total.minor == sum(step.amount_minor for step in order.steps)
    return {step.label: step.amount_minor for step in order.steps}


FREIGHT = ("supplier,valid_from,currency,up_to_kg,freight,per_kg_more",
           "Ninefold,2026-01-01,EUR,10,9.90,", "Ninefold,2026-01-01,EUR,2,6.50,",
           "Ninefold,2026-01-01,EUR,any,20.00,0.80")  # fmt: skip


@pytest.mark.parametrize(("units", "freight"), [(2, 650), (3, 990), (12, 990), (13, 2032)])
def test_a_freight_table_by_weight(small, kit, ninefold, load, units, freight):
    """0.8 kg each: 1.6, 2.4, 9.6 and 10.4 kg; 20.00 + 0.4 × 0.80 = 20.32."""
    assert load("freight", *FREIGHT).added == 1
    assert load("freight", *FREIGHT).same == 1
    small.offer(ninefold, kit, "10")
    assert amounts(landed(kit, units)) == {"goods": 1000 * units, "freight by weight": freight}


def test_a_freight_table_by_value_and_a_later_one(small, kit, ninefold, load):
    head = "supplier,valid_from,currency,from_value,freight"
    load("freight", head, "Ninefold,2026-01-01,EUR,0,12.00", "Ninefold,2026-01-01,EUR,100,8.00",
         "Ninefold,2026-12-01,EUR,0,5.00")  # fmt: skip
    small.offer(ninefold, kit, "50")
    assert [amounts(landed(kit, n))["freight by value"] for n in (1, 2)] == [1200, 800]
    assert amounts(landed(kit, 1, "2026-12-01"))["freight by value"] == 500


@pytest.mark.parametrize("weigh_by", ["consignment", "piece"])
def test_volumetric_weight_is_a_term(small, load, weigh_by):
    """800 g against 245 × 120 × 30 mm = 882 cm³, at 250 cm³/kg 3.528 kg: in steps of 0.5 kg 4.0."""
    small.supplier("Ninefold")
    load("parts", "maker,number,description,role,weight_g,packed_mm", "Quillmere,K,Kit,valve kit,800,245 x 120 x 30")
    load("terms", "supplier,valid_from,currency,incoterm,freight_per_kg,volumetric_divisor,weigh_by,weight_step_kg",
         f"Ninefold,2026-02-01,EUR,FCA,2.00,250,{weigh_by},0.5")  # fmt: skip
    part = catalogue.find_parts("K")[0]
    assert part.packed_mm == "245x120x30"
    small.offer(1, part.id, "10")
    order = landed(part.id, 1)
    assert amounts(order) == {"goods": 1000, "freight by weight": 800}
    assert "4 kg (0.8 kg actual, 3.528 kg volumetric at 250 cm³/kg" in order.steps[1].how
    assert order.not_counted == ("duty on Quillmere K: no rate is known",)


@pytest.mark.parametrize(
    ("code", "off", "text"),
    [("KE-1", 2000, "20 %"), ("KE-2", 1000, "10 %")],
)
def test_a_discount_of_a_code_comes_before_that_of_its_group(small, kit, ninefold, load, code, off, text):
    load("discounts", "supplier,valid_from,valid_to,maker,role,code,discount",
         "Ninefold,2026-01-01,,,,,5%", "Ninefold,2026-01-01,,Quillmere,valve kit,,10 %",
         "Ninefold,2026-01-01,,,,KE-1,0.2", "Ninefold,2026-01-01,2026-10-31,,,KE-2,50%")  # fmt: skip
    small.offer(ninefold, kit, "100", code=code)
    order = landed(kit, 1)
    assert amounts(order) == {"goods": 10_000, "discount": -off}
    assert order.steps[1].how == f"{text} of 100.00 EUR"


@pytest.mark.parametrize(
    ("returned", "setting", "lost"), [("0.9", "0", 800), ("", "0", 8000), ("", "0.75", 2000), ("100 %", "0", None)]
)
def test_a_core_deposit_costs_what_is_not_returned(small, kit, ninefold, load, returned, setting, lost):
    """Handbook 5.3: cost = deposit × P(not returned); two at 40.00."""
    load("deposits", "supplier,maker,number,valid_from,currency,deposit,returned",
         f"Ninefold,Quillmere,24-1180,2026-01-01,EUR,40.00,{returned}")  # fmt: skip
    change_setting("core_returned", setting, BY)
    small.offer(ninefold, kit, "60")
    order = landed(kit, 2)
    assert amounts(order).get("core deposits not returned") == lost
    assert order.deposit.minor == 8000


def test_a_deposit_in_another_currency_is_not_landed(small, kit, ninefold, load):
    load("deposits", "supplier,maker,number,valid_from,currency,deposit", "Ninefold,Quillmere,24-1180,2026-01-01,USD,40.00")
    small.offer(ninefold, kit, "60")
    with pytest.raises(PartsdbError, match="core deposit on Quillmere 24-1180 is in USD"):
        landed(kit, 1)


FEES = ("supplier,fee,valid_from,valid_to,currency,flat,rate,of,minimum,maximum,dutiable",
        "Ninefold,bank transfer,2026-01-01,,EUR,,0.15%,goods,12.00,40.00,",
        "Ninefold,entry,2026-01-01,,EUR,,0.0035,customs value,2.50,30.00,",
        "Ninefold,packing,2026-01-01,,EUR,3.00,,,,,always")  # fmt: skip


def test_fees_keep_their_minimum_and_maximum(small, kit, ninefold, load):
    """10,000.00: 0.15 % is 15.00; customs value 10,003.00 × 0.35 % = 35.01, at most 30.00; duty 2 %."""
    load("fees", *FEES)
    terms.add_duty_rates([DutyRow("8481.90", "GB", "0.02", "2026-01-01", None, "invented")])
    small.offer(ninefold, kit, "100")
    assert amounts(landed(kit, 100)) == {
        "goods": 1_000_000, "bank transfer": 1500, "packing": 300, "entry": 3000, "duty": 20_006,
    }  # fmt: skip
    assert amounts(landed(kit, 1)) == {
        "goods": 10_000, "bank transfer": 1200, "packing": 300, "entry": 250, "duty": 206,
    }  # fmt: skip


def test_a_fee_that_has_ended_is_said_not_counted_as_none(small, kit, ninefold, load):
    load("fees", FEES[0], "Ninefold,entry,2026-01-01,2026-09-30,EUR,2.50,,,,,")
    small.offer(ninefold, kit, "100")
    order = landed(kit, 1)
    assert "entry" not in amounts(order)
    assert "entry: what is stored ended on 2026-09-30" in order.not_counted
    assert amounts(landed(kit, 1, "2026-09-30"))["entry"] == 250


def test_incremental_price_breaks_are_a_term(small, kit, load):
    """Ten at 10.00 and 2 at 8.00 are 116.00; all twelve at 8.00 are 96.00."""
    small.supplier("Ninefold")
    small.offer(1, kit, "10", breaks=((11, 80_000),))
    assert landed(kit, 12).total.minor == 9600
    load("terms", "supplier,valid_from,currency,price_breaks", "Ninefold,2026-02-01,EUR,Incremental")
    assert landed(kit, 12).total.minor == 11_600
    assert landed(kit, 12, "2026-01-31").total.minor == 9600


@pytest.mark.parametrize(("taken", "total"), [("no", 112_300), ("yes", 110_054)])
def test_a_discount_for_prompt_payment_is_counted_where_the_shop_takes_it(small, kit, load, taken, total):
    """Handbook 5.4: 2 % of 1123.00 is 22.46."""
    small.supplier("Ninefold", payment="2/10 net 30")
    change_setting("take_prompt_discount", taken, BY)
    small.offer(1, kit, "1123")
    order = landed(kit, 1)
    assert order.total.minor == total
    [offer] = offers.live_offers([kit], DAY)
    from partsdb.jobs.landing import Landings

    [note] = notes_on_paying(Landings(DAY).side(offer), order.purchases[0].goods)
    assert ("37.24% a year (44.59% compounded)" in note) is (taken == "no")
    assert ("to be paid within 10 days" in note) is (taken == "yes")


def test_customs_count_at_their_own_rate_and_in_whole_units(small, kit, load):
    """Handbook 5.4 steps 1 and 2, the kits: 448.00 EUR are 495.94 USD paid, 482 USD to customs, 9.64."""
    seller = small.supplier("Kestrow", "EUR", incoterm="FCA", spread="0.025")
    change_setting("home_currency", "USD", BY)
    change_setting("customs_basis", "FOB", BY)
    change_setting("customs_whole", "100", BY)
    small.rate("USD", "1.0800")
    load("customs_rates", "currency,valid_from,home_per_unit,source", "EUR,2026-11-01,1.0750,gazette")
    terms.add_duty_rates([DutyRow("8481.90", "GB", "0.020", "2026-01-01", None, "invented")])
    small.offer(seller, kit, "11.20")
    order = landed(kit, 40)
    assert amounts(order) == {"goods": 49_594, "duty": 964}
    assert order.customs_minor == (48_200,)
    [offer] = offers.live_offers([kit], DAY)
    from partsdb.jobs.landing import Landings

    [note] = notes_on_paying(Landings(DAY).side(offer), order.purchases[0].goods)
    assert note.endswith("customs count 1 EUR as 1.0750 USD from 2026-11-01 on (gazette)")


def test_example_1_of_the_handbook_through_every_layer(small, load):
    """Handbook 5.7: 171.81 + 26.85 + 3.33 + 8.00 for the kits; with the rest of the 3.2 kg order."""
    load("suppliers", "supplier", "Ninefold")
    load("parts", "maker,number,description,role,weight_g,origin,heading",
         "Quillmere,K,Kit,valve kit,200,US,8424.90", "Quillmere,R,Rest,collar,1200,US,8424.90")  # fmt: skip
    load("terms", "supplier,valid_from,currency,incoterm,freight,brokerage,brokerage_currency,spread",
         "Ninefold,2026-01-01,USD,FCA,46.00,12.00,EUR,0.015")  # fmt: skip
    load("fx", "date,currency,per_eur,source", f"{DAY},USD,1.0870,invented")
    load("duty", "heading,origin,rate,valid_from,source", "8424.90,US,1.7 %,2026-01-01,invented")
    kit, rest = (catalogue.find_parts(number)[0] for number in "KR")
    small.offer(1, kit.id, "18.40", currency="USD")
    small.offer(1, rest.id, "92.00", currency="USD")
    by_part = {o.part_id: o for o in offers.live_offers([kit.id, rest.id], DAY)}
    order = land([Need(kit, by_part[kit.id], 10), Need(rest, by_part[rest.id], 1)], DAY)
    kits = {step.label: step.amount_minor for step in order.lines[0].steps}
    # 26.846 of the freight: the whole of 42.95 leaves 26.84 to the kits, the cent to the others.
    assert kits == {"goods": 17181, "freight": 2684, "brokerage": 800, "duty": 333}
    assert order.customs_minor[0] == 19572


# Files that mean nothing


@pytest.mark.parametrize(
    ("kind", "rows", "said"),
    [
        ("freight", ("supplier,valid_from,currency,up_to_kg,freight", "Ninefold,2026-01-01,EUR,2,6.50"), "one row of a table by weight says 'any'"),
        ("freight", ("supplier,valid_from,currency,up_to_kg,freight", "Ninefold,2026-01-01,EUR,2,6.50", "Ninefold,2026-01-01,EUR,any,5"), "the freight falls where the weight rises"),
        ("freight", ("supplier,valid_from,currency,from_value,freight", "Ninefold,2026-01-01,EUR,50,6.50"), "the first from 0 on"),
        ("freight", ("supplier,valid_from,currency,up_to_kg,from_value,freight", "Ninefold,2026-01-01,EUR,2,5,6.50"), "either this or from_value"),
        ("freight", ("supplier,valid_from,currency,from_value,freight,per_kg_more", "Ninefold,2026-01-01,EUR,0,6.50,1"), "a step by value has none"),
        ("freight", ("supplier,valid_from,currency,up_to_kg,freight", "Ninefold,2026-01-01,EUR,0.0001,6.50", "Ninefold,2026-01-01,EUR,any,9"), "no weight in whole grams"),
        ("freight", ("supplier,valid_from,currency,up_to_kg,freight", "Ninefold,2026-01-01,EUR,2,6.50", "Ninefold,2026-01-01,USD,any,9"), "in one currency"),
        ("fees", (FEES[0], "Ninefold,entry,2026-01-01,,EUR,,1%,goods,9.00,5.00,"), "maximum 5.00 EUR is under the minimum 9.00 EUR"),
        ("fees", (FEES[0], "Ninefold,entry,2026-01-01,,EUR,,1%,customs value,,,always"), "cannot be part of it"),
        ("fees", (FEES[0], "Ninefold,entry,2026-01-01,,EUR,,150%,,,,"), "is no share of 1"),
        ("fees", (FEES[0], "Ninefold,entry,2026-01-01,,EUR,,1%,freight,,,"), "'freight' is none of: goods, customs value"),
        ("fees", (FEES[0], "Ninefold,entry,2026-02-01,2026-01-01,EUR,1,,,,,"), "2026-01-01 lies before 2026-02-01"),
        ("discounts", ("supplier,valid_from,discount", "Ninefold,2026-01-01,100%"), "takes the whole price off"),
        ("discounts", ("supplier,valid_from,maker,discount", "Ninefold,2026-01-01,Nobody,5%"), "no maker 'Nobody'"),
        ("discounts", ("supplier,valid_from,role,discount", "Ninefold,2026-01-01,wheel,5%"), "'wheel' is none of"),
        ("deposits", ("supplier,maker,number,valid_from,currency,deposit,returned", "Ninefold,Quillmere,24-1180,2026-01-01,EUR,40,1.2"), "is no share of 1"),
        ("deposits", ("supplier,maker,number,valid_from,currency,deposit", "Ninefold,Quillmere,24-1180,2026-01-01,EUR,"), "is empty"),
        ("deposits", ("supplier,maker,number,valid_from,currency,deposit", "Ninefold,Quillmere,99,2026-01-01,EUR,4"), "no part"),
        ("customs_rates", ("currency,valid_from,home_per_unit,source", "USD,2026-01-01,0,gazette"), "a rate of zero"),
        ("customs_rates", ("currency,valid_from,home_per_unit,source", "USD,2026-01-01,0.9,"), "is empty"),
        ("terms", ("supplier,valid_from,currency,weigh_by", "Ninefold,2026-01-01,EUR,box"), "'box' is none of: consignment, piece"),
        ("terms", ("supplier,valid_from,currency,volumetric_divisor", "Ninefold,2026-01-01,EUR,0"), "no whole number of at least 1"),
        ("terms", ("supplier,valid_from,currency,price_breaks", "Ninefold,2026-01-01,EUR,some"), "'some' is none of: all units, incremental"),
        ("parts", ("maker,number,description,role,packed_mm", "Quillmere,K,Kit,collar,245x120"), "no packed size"),
        ("parts", ("maker,number,description,role,packed_mm", "Quillmere,K,Kit,collar,245x0x9"), "no packed size"),
    ],
)  # fmt: skip
def test_a_row_that_means_nothing_is_refused_by_its_cell(kit, ninefold, load, kind, rows, said):
    with pytest.raises(PartsdbError, match="is refused as a whole") as refused:
        load(kind, *rows)
    assert said in str(refused.value)
    assert "row 2" in str(refused.value) or "row 3" in str(refused.value)


def test_a_correction_takes_the_place_of_what_it_corrects(kit, ninefold, load):
    assert load("fees", *FEES).added == 3
    assert (load("fees", *FEES).same, load("fees", *FEES).changed) == (3, 0)
    corrected = FEES[1].replace("12.00", "10.00")
    assert load("fees", FEES[0], corrected).changed == 1
    newest = {fee.fee: fee.least_minor for fee in terms_more.fees_as_of(ninefold, DAY)}
    assert newest["bank transfer"] == 1000


def test_all_terms_of_a_supplier_are_shown(kit, ninefold, load):
    load("freight", *FREIGHT)
    load("fees", *FEES)
    load("discounts", "supplier,valid_from,maker,role,code,discount,note",
         "Ninefold,2026-01-01,,,,5%,all", "Ninefold,2026-01-01,Quillmere,hose,,0.1,")  # fmt: skip
    load("deposits", "supplier,maker,number,valid_from,currency,deposit,returned", "Ninefold,Quillmere,24-1180,2026-01-01,EUR,40,0.9")
    shown = terms_answer("Ninefold", DAY)
    assert [(s.step, s.freight, s.per_kg_more) for s in shown.freight] == [
        ("over 0 kg", "6.50 EUR", ""), ("over 2 kg", "9.90 EUR", ""), ("over 10 kg", "20.00 EUR", "0.80 EUR"),
    ]  # fmt: skip
    assert {(f.fee, f.rate, f.of, f.minimum, f.maximum) for f in shown.fees} == {
        ("bank transfer", "0.15 %", "goods", "12.00 EUR", "40.00 EUR"),
        ("entry", "0.35 %", "customs value", "2.50 EUR", "30.00 EUR"), ("packing", "", "", "", ""),
    }  # fmt: skip
    assert {f.fee: f.flat for f in shown.fees} == {"bank transfer": "", "entry": "", "packing": "3.00 EUR"}
    assert [(d.goods, d.discount, d.note) for d in shown.discounts] == [
        ("everything", "5 %", "all"), ("Quillmere hose", "10 %", ""),
    ]  # fmt: skip
    assert [(d.part, d.deposit, d.returned) for d in shown.deposits] == [("Quillmere 24-1180", "40.00 EUR", "90 %")]
