"""A bank's table of exchange rates: a column for each currency, empty where none was published."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_shop import BY, SmallShop

from importers.rows import ReaderError
from partsdb.jobs.shop_files import LoadCount
from partsdb.jobs.shop_trade import fx_table, load_fx
from partsdb.store import terms

HEAD = "Date,USD,JPY,ROL,GBP,"


def load(folder: Path, *rows: str) -> LoadCount:
    place = folder / "rates.csv"
    place.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return load_fx(fx_table(place), BY)


def test_every_currency_of_a_row_is_a_rate_of_its_day(small: SmallShop, tmp_path):
    done = load(tmp_path, HEAD, "2026-10-30,1.1172,171.55,N/A,0.8801,", "2026-10-29,1.1150,,N/A,0.8790,")
    assert done.added == 5
    assert terms.fx_rates("USD", "2026-11-01").per_eur == "1.1172"
    assert terms.fx_rates("JPY", "2026-10-29") is None
    assert [row.currency for row in terms.latest_fx("2026-10-30")] == ["GBP", "JPY", "USD"]


def test_a_currency_long_ended_is_left_out_and_said(small: SmallShop, tmp_path):
    done = load(tmp_path, HEAD, "1999-01-04,1.1789,133.73,13111,0.7111,")
    assert done.cautions == ("rates.csv: currencies left out as unknown: ROL",)
    assert terms.fx_rates("ROL", "1999-01-04") is None


@pytest.mark.parametrize("head", ["Date,USD,Remark", "date,currency,rate,source", "Day,USD"])
def test_another_table_is_refused(small: SmallShop, tmp_path, head):
    with pytest.raises(ReaderError, match="the header lacks"):
        load(tmp_path, head, "2026-10-30,1.1172,x,y")


def test_a_correction_of_a_day_counts_and_the_days_around_it_stay(small: SmallShop, tmp_path):
    load(tmp_path, HEAD, "2026-10-29,1.1150,,,,", "2026-10-30,1.1172,,,,")
    place = tmp_path / "new.csv"
    place.write_text(f"{HEAD}\n2026-10-29,1.2000,,,,\n", encoding="utf-8")
    later = BY._replace(at="2026-12-01T08:00:00Z")
    assert load_fx(fx_table(place), later).changed == 1
    rates = [terms.fx_rates("USD", day).per_eur for day in ("2026-10-29", "2026-10-30")]
    assert rates == ["1.2000", "1.1172"]
