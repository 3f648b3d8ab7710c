"""`--as-of DATE` alone gives an old answer again, to the byte, whatever was entered since."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from cli_calls import Answer, Call, called
from shop_lists import DAY, FIXTURES

from partsdb.jobs import who

LATER = "2026-11-27"
QUESTIONS = (
    ("instead", "24-1180", "--machine", "Q33"),
    ("instead", "24-1180", "--machine", "Q33", "--compose"),
    ("rebuild", "cost", "Q33 bypass rebuild"),
    ("rebuild", "cost", "T200 pump overhaul"),
    ("rebuild", "show"),
    ("basket", "Q33 bypass rebuild:2", "Quillmere|24-1180:3"),
    ("part", "show", "24-1182"),
    ("kit", "contents", "show", "24-1182"),
    ("vet", str(FIXTURES / "lists" / "saltreeve_2026q4.xlsx"), "--supplier", "Saltreeve"),
    ("supplier", "show"),
    ("supplier", "terms", "Kestrow"),
    ("fx", "show"),
    ("duty", "show", "8481.90"),
    ("grade", "show", "supplier", "Kestrow"),
    ("setting", "show"),
    ("pricelist", "show"),
    ("history", "--limit", "5"),
)


@pytest.fixture
def shop_of_the_day(
    shop_with_lists: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Call:
    """The demo shop on its day; nothing is asked as of any other."""
    monkeypatch.setenv("PARTSDB_DB", str(shop_with_lists))
    monkeypatch.setenv("PARTSDB_USER", "Ilse")
    return partial(called, capsys)


@pytest.fixture
def a_week_later(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    def pass_by() -> None:
        monkeypatch.setattr(who, "today", lambda: dt.date.fromisoformat(LATER))
        monkeypatch.setattr(who, "now_utc", lambda: f"{LATER}T10:00:00Z")

    return pass_by


def written(folder: Path, name: str, *rows: str) -> str:
    place = folder / name
    place.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return str(place)


def enter_all_kinds_of_news(run: Call, folder: Path) -> None:
    """Enter what changes every answer: each line tells of the old day, or of one before it."""
    w = partial(written, folder)
    news: list[tuple[str, ...]] = [
        ("pricelist", "read", "--supplier", "Kestrow", w(
            "new.csv", "Part number,Manufacturer,Description,Price EUR,Valid from",
            '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi",9.00,2026-11-01',
            '24-1182,Quillmere,"Valve kit, bypass, Q33/Q36, 1/4 NPT, WC ball and seat, 3600 psi",8.00,2026-11-01')),
        ("supplier", "terms", "--from", w(
            "terms.csv", "supplier,valid_from,currency,incoterm,freight,brokerage",
            "Kestrow,2026-01-01,EUR,DAP,1.00,44.00", "Saltreeve,2026-11-01,GBP,DAP,99.00,1.00")),
        ("fx", "import", w("fx.csv", "date,currency,per_eur,source",
                           f"{DAY},GBP,0.5000,corrected", f"{DAY},USD,2.0000,corrected")),
        ("duty", "set", "--from", w("duty.csv", "heading,origin,rate,valid_from,source",
                                    "8481.90,GB,0.5,2026-01-01,law", "8481.90,US,0.5,2026-01-01,law")),
        ("supplier", "terms", "--from", w(
            "freight.csv", "supplier,valid_from,currency,from_value,freight",
            "Kestrow,2026-01-01,EUR,0,77.00")),
        ("supplier", "terms", "--from", w(
            "fees.csv", "supplier,fee,valid_from,currency,flat", "Saltreeve,entry,2026-01-01,GBP,55.00")),
        ("supplier", "terms", "--from", w(
            "discounts.csv", "supplier,valid_from,discount", "Kestrow,2026-01-01,50%")),
        ("supplier", "terms", "--from", w(
            "deposits.csv", "supplier,maker,number,valid_from,currency,deposit",
            "Kestrow,Quillmere,24-1182,2026-01-01,EUR,400.00")),
        ("fx", "import", w("customs.csv", "currency,valid_from,home_per_unit,source",
                           "GBP,2026-01-01,9.0,gazette")),
        ("part", "add", "--from", w("parts.csv", "maker,number,description,role,weight_g,origin,heading",
                                    "Quillmere,24-1182,Valve kit,valve kit,99000,US,8424.90")),
        ("kit", "contents", "set", "--from", w(
            "kits.csv", "maker,number,item,role,quantity,kind,material,size",
            "Quillmere,24-1182,Ball,ball,1,wear item,440C,3/8 in")),
        ("grade", "set", "supplier", "Kestrow", "D", "--reason", "late again"),
        ("setting", "set", "vat_rate", "0.2"),
        ("setting", "set", "vat_recoverable", "no"),
        ("setting", "set", "customs_basis", "FOB"),
        ("rebuild", "add", "--from", w(
            "recipes.csv",
            "recipe,machine_maker,machine,minutes,hourly,currency,position,part_maker,part_number,quantity",
            "Q33 bypass rebuild,Quillmere,Q33,600,99.00,EUR,bypass valve,Quillmere,24-1180,7")),
    ]  # fmt: skip
    claims = w("claims.csv", "maker,number,kind,about,value,basis,evidence,source",
               'Quillmere,24-1182,rating,,1000 psi,working,measured here,"bench sheet 9"')  # fmt: skip
    news.append(("part", "claim", "--from", claims))
    for typed in news:
        done = run(*typed)
        assert done.code == 0, (typed, done.err)


def test_an_old_answer_is_given_again_to_the_byte(
    shop_of_the_day: Call, a_week_later: Callable[[], None], tmp_path: Path
) -> None:
    run = shop_of_the_day
    before = {typed: run("--format", "json", *typed).out for typed in QUESTIONS}
    a_week_later()
    enter_all_kinds_of_news(run, tmp_path)
    for typed in QUESTIONS:
        again = run("--as-of", DAY, "--format", "json", *typed)
        assert again.out == before[typed], typed
        assert f"would have been given on {DAY}" in again.err


CHANGED = [typed for typed in QUESTIONS if typed[0] not in ("vet",)]


def test_what_is_known_since_counts_where_it_is_asked_for(
    shop_of_the_day: Call, a_week_later: Callable[[], None], tmp_path: Path
) -> None:
    run = shop_of_the_day
    before = {typed: run("--format", "json", *typed).out for typed in CHANGED}
    a_week_later()
    enter_all_kinds_of_news(run, tmp_path)
    for typed in CHANGED:
        now = run("--as-of", DAY, "--known-on", LATER, "--format", "json", *typed)
        assert now.out != before[typed], typed
        assert "would have been given" not in now.err


def rates(answer: Answer) -> dict[str, str]:
    return {each["currency"]: each["per_eur"] for each in answer.data["rates"]}


def test_a_day_before_the_first_entry_is_answered_with_what_is_known_now(
    shop_of_the_day: Call,
) -> None:
    answer = shop_of_the_day("--as-of", "2026-07-01", "--format", "json", "fx", "show")
    assert rates(answer) == {"GBP": "0.8645", "USD": "1.0847"}
    assert "by 2026-07-01 nothing had been entered here" in answer.err


def test_the_day_of_a_change_is_no_look_back(
    shop_of_the_day: Call, a_week_later: Callable[[], None], tmp_path: Path
) -> None:
    run = shop_of_the_day
    a_week_later()
    new = written(tmp_path, "fx.csv", "date,currency,per_eur,source", f"{DAY},GBP,0.5,corrected")
    assert run("--as-of", DAY, "fx", "import", new).code == 0
    assert rates(run("--as-of", DAY, "--format", "json", "fx", "show"))["GBP"] == "0.8793"
    known_now = run("--as-of", DAY, "--known-on", LATER, "--format", "json", "fx", "show")
    assert rates(known_now)["GBP"] == "0.5"


def test_a_dry_run_sees_what_the_reading_will_see(
    shop_of_the_day: Call, a_week_later: Callable[[], None], tmp_path: Path
) -> None:
    run = shop_of_the_day
    a_week_later()
    head = "Part number,Manufacturer,Description,Price EUR"
    kit = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi",'
    first = written(tmp_path, "a.csv", head, f"{kit}61.90")
    second = written(tmp_path, "b.csv", head, f"{kit}61.95")
    typed = ("--as-of", DAY, "--format", "json", "pricelist", "read", "--supplier", "Kestrow")
    assert run(*typed, first).code == 0
    plan = run(*typed, second, "--dry-run").data["changes"]
    done = run(*typed, second).data["changes"]
    assert plan == done


def test_today_says_nothing_of_looking_back(shop_of_the_day: Call) -> None:
    for day in (DAY, "2027-01-01"):
        answer = shop_of_the_day("--as-of", day, "--format", "json", "setting", "show")
        assert json.loads(answer.out)["ok"]
        assert answer.err == ""
