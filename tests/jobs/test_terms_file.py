"""Suppliers' terms from a file: what no order could be landed under is refused at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_shop import BY, SmallShop

from partsdb.errors import PartsdbError
from partsdb.jobs.shop_files import read_file
from partsdb.jobs.shop_terms import TERMS, load_terms
from partsdb.store import makers, terms

HEAD = "supplier,valid_from,currency,incoterm,freight,spread,lead_days,freight_per_kg,fuel"


def load(folder: Path, *rows: str) -> None:
    path = folder / "terms.csv"
    path.write_text("\n".join((HEAD, *rows)) + "\n", encoding="utf-8")
    load_terms(read_file(path, TERMS), BY)


@pytest.mark.parametrize(("written", "stored"), [("", "0"), ("0.015", "0.015")])
def test_the_banks_spread_is_a_share_of_one(small: SmallShop, tmp_path, written, stored):
    seller = makers.add_supplier("Ninefold")
    load(tmp_path, f"Ninefold,2026-02-01,USD,fca,46.00,{written},18,,")
    found = terms.terms_as_of(seller, "2026-02-01")
    assert (found.spread, found.incoterm, found.freight_minor) == (stored, "FCA", 4600)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Ninefold,2026-02-01,USD,XYZ,46.00,0,18,,", "column incoterm: 'XYZ' is no rule"),
        ("Ninefold,2026-02-01,USD,FCA,46.00,1.5,18,,", "column spread: '1.5' is no share"),
        ("Ninefold,2026-02-01,USD,FCA,46.005,0,18,,", "column freight: 46.005 USD is finer"),
        ("Ninefold,2026-02-30,USD,FCA,46.00,0,18,,", "column valid_from: '2026-02-30' is no date"),
    ],
)
def test_terms_that_mean_nothing_are_refused_by_cell(small: SmallShop, tmp_path, row, said):
    seller = makers.add_supplier("Ninefold")
    with pytest.raises(PartsdbError, match="refused as a whole") as refused:
        load(tmp_path, row)
    assert said in str(refused.value)
    assert terms.terms_history(seller) == []


def test_freight_by_weight_is_a_term_of_its_own(small: SmallShop, tmp_path):
    seller = makers.add_supplier("Ninefold")
    load(tmp_path, "Ninefold,2026-02-01,USD,FCA,46.00,0,18,6.40,0.18")
    found = terms.terms_as_of(seller, "2026-02-01")
    assert (found.freight_per_kg_minor, found.fuel) == (640, "0.18")
    load(tmp_path, "Ninefold,2026-03-01,USD,FCA,46.00,0,18,,")
    assert terms.terms_as_of(seller, "2026-03-01").freight_per_kg_minor is None
