"""The command line over a small shop, called in this process."""

from __future__ import annotations

import datetime as dt
import shutil
from functools import partial
from pathlib import Path

import pytest
from cli_calls import Call, called
from small_shop import DAY, SmallShop, built_bypass_shop

from partsdb.jobs import who
from partsdb.store.connect import open_database


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let it be the shop's day: what a test enters is known on it."""
    monkeypatch.setattr(who, "today", lambda: dt.date.fromisoformat(DAY))
    monkeypatch.setattr(who, "now_utc", lambda: f"{DAY}T09:30:00Z")


@pytest.fixture(scope="session")
def built_bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bypass shop with a stand-in on offer and a recipe."""
    place = built_bypass_shop(tmp_path_factory.mktemp("bench") / "bench.db")
    with open_database(place, write=True):
        small = SmallShop()
        asked = small.part("A-100", "collar", description="Collar, lock")
        other = small.part("B-200", "collar", maker="Corrowby", description="Collar, lock")
        small.edge(asked, other, conditions=("from serial 4000",))
        small.position(small.machine("Q50"), "lock collar", "collar", (asked,))
        supplier = small.supplier("Ninefold", lead_days=3)
        small.offer(supplier, other, "12.50", code="=NF-200", stock="4")
        small.recipe("Q50 collar", [(asked, 2)], minutes=30, hourly_minor=6000)
    return place


@pytest.fixture
def bench(built_bench: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = Path(shutil.copy(built_bench, tmp_path / "bench.db"))
    monkeypatch.setenv("PARTSDB_DB", str(place))
    monkeypatch.setenv("PARTSDB_USER", "Ilse")
    monkeypatch.delenv("COLUMNS", raising=False)
    return place


@pytest.fixture
def partsdb(bench: Path, capsys: pytest.CaptureFixture[str]) -> Call:
    """Return a function that runs one command on a copy of the shop, on the shop's day."""
    return partial(called, capsys, "--as-of", DAY)
