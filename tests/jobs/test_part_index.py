"""The catalogue's index beside the database: made, kept in step, never trusted when it is not."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from partsdb.jobs import found as found_job
from partsdb.jobs.found import found_parts
from partsdb.jobs.part_index import part_index
from partsdb.matching.engine.find import find_parts
from partsdb.matching.engine.index import read_contents
from partsdb.store import catalogue, makers, part_changes
from partsdb.store.connect import open_database
from partsdb.store.rows import NewPart, Stamp

BY = Stamp("test", "2026-01-01T00:00:00Z")


def _part(number: str, description: str, maker: str = "Quillmere") -> NewPart:
    return NewPart(makers.add_maker(maker), number, description)


@pytest.fixture
def stocked(empty_database: Path, tmp_path: Path) -> Path:
    """A database of forty parts, closed."""
    place = Path(shutil.copy(empty_database, tmp_path / "stock.db"))
    with open_database(place, write=True):
        parts = [_part(f"24-{1100 + n}", f"Packing kit, size {n}") for n in range(40)]
        catalogue.add_parts(parts, by=BY)
    return place


def _ids(place: Path, text: str) -> list[int]:
    with open_database(place), part_index() as folder:
        assert folder is not None
        return [each.part_id for each in find_parts(folder, text)]


def test_the_index_is_made_on_first_need_and_left_alone_while_nothing_changes(stocked: Path):
    with open_database(stocked), part_index() as folder:
        first = read_contents(folder)
    with open_database(stocked), part_index() as folder:
        assert read_contents(folder) == first
    assert folder == stocked.with_name("stock.db.index")
    assert first.parts == 40


def test_a_part_added_changed_or_withdrawn_is_known_without_building_anew(stocked: Path):
    assert _ids(stocked, "24-1105")[0] == 6
    base = read_contents(stocked.with_name("stock.db.index")).base
    with open_database(stocked, write=True):
        (new,) = catalogue.add_parts([_part("90-7777", "Gauge, glycerine")], by=BY)
        catalogue.update_part(6, _part("24-1105", "Lance, ceramic"))
    assert _ids(stocked, "907777")[0] == new
    assert _ids(stocked, "lance ceramic")[0] == 6
    assert read_contents(stocked.with_name("stock.db.index")).base == base


def test_what_only_a_list_brought_is_not_of_the_index_and_changes_nothing_in_it(stocked: Path):
    _ids(stocked, "24-1105")
    with open_database(stocked, write=True):
        before = part_changes.state()
        part_changes.sql.run(
            "INSERT INTO price_list (id, supplier_id, file_name, sha256, reader, read_at, read_by)"
            " VALUES (1, ?, 'a.csv', '', 'csv', '', '')",
            (makers.add_supplier("Saltreeve"),),
        )
        brought = catalogue.add_parts([_part("77-9999", "Gun")], by=BY, price_list_id=1)
        assert part_changes.state() == before
    assert brought[0] not in _ids(stocked, "77-9999")


def test_an_undone_transaction_leaves_an_index_that_is_not_believed(stocked: Path):
    with pytest.raises(RuntimeError, match="undone"), open_database(stocked, write=True):
        catalogue.add_parts([_part("55-1111", "Gun")], by=BY)
        with part_index() as folder:
            assert find_parts(folder, "55-1111")
        raise RuntimeError("undone")
    with open_database(stocked, write=True):
        catalogue.add_parts([_part("55-2222", "Hose")], by=BY)
    assert _ids(stocked, "55-2222")[0] == 41
    assert 41 not in _ids(stocked, "gun")


def test_a_state_of_another_history_is_told_from_the_same_count(stocked: Path):
    with open_database(stocked):
        number, mark = part_changes.state().split(".")
        assert part_changes.changed_since(f"{number}.{mark}", most=5) == []
        assert part_changes.changed_since(f"{number}.{int(mark) ^ 1}", most=5) is None


def test_too_many_changes_build_the_index_anew(stocked: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("partsdb.jobs.part_index._MOST_CHANGES", 3)
    _ids(stocked, "24-1105")
    with open_database(stocked, write=True):
        catalogue.add_parts([_part(f"60-{n}000", "Nozzle") for n in range(1, 6)], by=BY)
    assert _ids(stocked, "60-3000")[0] == 43
    contents = read_contents(stocked.with_name("stock.db.index"))
    assert (contents.parts, contents.delta) == (45, "")


def test_where_the_folder_cannot_be_made_there_is_no_index_and_find_searches_the_database(
    stocked: Path, monkeypatch: pytest.MonkeyPatch
):
    stocked.with_name("stock.db.index").write_text("a file where the folder should be")
    monkeypatch.setattr(found_job, "WORTH_AN_INDEX", 10)
    with open_database(stocked):
        with part_index() as folder:
            assert folder is None
        assert [f.part.number for f in found_parts("24-1105").parts] == ["24-1105"]


def test_a_damaged_index_file_is_made_again(stocked: Path):
    _ids(stocked, "24-1105")
    (stocked.with_name("stock.db.index") / "index.json").write_text("{")
    assert _ids(stocked, "24-1105")[0] == 6


def test_the_past_is_not_asked_of_the_index(stocked: Path):
    with open_database(stocked, known_on="2026-01-02"), part_index() as folder:
        assert folder is None


def test_a_large_catalogue_answers_a_messy_number_and_says_by_what(
    stocked: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(found_job, "WORTH_AN_INDEX", 10)
    with open_database(stocked):
        swapped = found_parts("24-11O5").parts[0]
        assert (swapped.part.number, swapped.way) == ("24-1105", "look-alike signs")
        ten = found_parts("packing kit")
        assert (len(ten.parts), ten.is_cut) == (10, True)
        assert found_parts("packing kit", maker="Vossgrund").parts == ()


def test_a_current_index_is_asked_without_loading_numpy(stocked: Path):
    _ids(stocked, "24-1105")
    code = (
        "import sys; from pathlib import Path; from partsdb.jobs import found;"
        "from partsdb.store.connect import open_database; found.WORTH_AN_INDEX = 10\n"
        f"with open_database(Path({str(stocked)!r})):\n"
        "    print(found.found_parts('241105').parts[0].part.number, 'numpy' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.split() == ["24-1105", "False"]


def test_two_processes_that_need_it_at_once_both_get_it(stocked: Path):
    code = (
        "from pathlib import Path; from partsdb.jobs.part_index import part_index;"
        "from partsdb.store.connect import open_database\n"
        f"with open_database(Path({str(stocked)!r})), part_index() as folder:\n"
        "    print(folder is not None)"
    )
    both = [subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
            for _ in range(2)]  # fmt: skip
    assert [each.communicate()[0].strip() for each in both] == ["True", "True"]
    assert len(list(stocked.with_name("stock.db.index").glob("base-*"))) == 1
