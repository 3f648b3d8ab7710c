"""The demo builds its shop anew, asks three questions, and touches nothing that is not its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from shop_lists import FIXTURES
from small_shop import price_list

from partsdb.errors import InputRefusedError, StoreError, UsageError
from partsdb.jobs import demo as job
from partsdb.jobs.demo import LISTS, demo
from partsdb.store.connect import init_database, open_database
from partsdb.store.lists import list_rows

KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'


@pytest.fixture
def short_lists(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo's shop with lists of one line each, so that it is quick."""
    fixtures = tmp_path / "fixtures"
    (fixtures / "lists").mkdir(parents=True)
    (fixtures / "shop").symlink_to(FIXTURES / "shop")
    for supplier, name in LISTS:
        price = {"Kestrow": "61.90", "Saltreeve": "55.00", "Ninefold": "64.00"}[supplier]
        price_list(fixtures / "lists", [f"{KIT},{price}"], name=Path(name).stem + ".csv")
    monkeypatch.setattr(job, "LISTS", [(s, f"{Path(n).stem}.csv") for s, n in LISTS])
    monkeypatch.setattr(job, "_fixtures", lambda: fixtures)
    return fixtures


@pytest.mark.usefixtures("short_lists")
def test_the_demo_answers_three_questions_and_may_be_run_again(tmp_path):
    folder = tmp_path / "new" / "demo"
    first = demo(folder)
    note = folder / "demo.db.notes"
    note.write_text("mine")
    second = demo(folder)
    assert second == first
    assert note.read_text() == "mine"
    assert (first.instead.asked.number, first.vet.supplier) == ("24-1180", "Saltreeve")
    assert first.rebuild.recipe == "Q33 bypass rebuild"
    assert [batch.supplier for batch in first.batches] == [supplier for supplier, _ in LISTS]
    with open_database(folder / "demo.db"):
        assert len(list_rows()) == len(LISTS)


def test_a_database_of_the_shops_own_is_left_as_it_is(tmp_path):
    place = tmp_path / "demo.db"
    init_database(place)
    before = place.read_bytes()
    with pytest.raises(UsageError, match="is not a demo and is left as it is") as refused:
        demo(tmp_path)
    assert refused.value.hint == "name another folder"
    assert place.read_bytes() == before


def test_a_file_that_is_no_database_is_left_as_it_is(tmp_path):
    place = tmp_path / "demo.db"
    place.write_text("my notes " * 1000)
    with pytest.raises(StoreError, match="not a database"):
        demo(tmp_path)
    assert place.read_text().startswith("my notes")


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path):
    (tmp_path / "demo").write_text("mine")
    with pytest.raises(UsageError, match="is a file"):
        demo(tmp_path / "demo")


def test_without_its_data_the_demo_says_how_to_get_it(tmp_path, monkeypatch):
    monkeypatch.setattr("partsdb.__file__", str(tmp_path / "partsdb" / "__init__.py"))
    with pytest.raises(InputRefusedError, match="the demo's data is not here") as refused:
        demo(tmp_path / "demo")
    assert "checkout" in refused.value.hint
    assert not (tmp_path / "demo").exists()
