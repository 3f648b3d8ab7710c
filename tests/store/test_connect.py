"""Opening the database: every way in which it may be missing, foreign, damaged, busy or old."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path

import peewee
import pytest

from partsdb.errors import StoreError, UsageError
from partsdb.store import (
    catalogue,
    connect,
    makers,
    migrate,
    models,
    models_terms,
    models_trade,
    sql,
)
from partsdb.store.connect import default_path, init_database, open_database
from partsdb.store.rows import NewPart, Stamp

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


def refusal(path: Path, **options: bool) -> StoreError:
    with pytest.raises(StoreError) as caught, open_database(path, **options):
        pass
    assert caught.value.exit_code == 4
    assert "\n" not in str(caught.value)
    return caught.value


def test_a_missing_database_is_named_and_not_made(tmp_path):
    path = tmp_path / "none.db"
    error = refusal(path)
    assert str(path) in str(error)
    assert "partsdb init" in error.hint
    assert not path.exists()


def test_a_folder_is_no_database(tmp_path):
    assert "is a folder" in str(refusal(tmp_path))


@pytest.mark.parametrize("content", [b"maker,number\n" * 200, b"\x89PNG\r\n" * 300])
def test_a_file_of_another_kind_is_no_database(tmp_path, content):
    path = tmp_path / "parts.csv"
    path.write_bytes(content)
    assert "is not a database of ours" in str(refusal(path))
    assert path.read_bytes() == content


def test_another_programs_database_is_left_alone(tmp_path):
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE part (id INTEGER)")
    before = path.read_bytes()
    assert "not one of partsdb" in str(refusal(path, write=True))
    assert path.read_bytes() == before


def test_a_newer_database_names_both_versions(path):
    with sqlite3.connect(path) as newer:
        newer.execute("PRAGMA user_version = 99")
    error = refusal(path)
    assert "version 99" in str(error)
    assert f"up to {migrate.newest_version()}" in str(error)
    assert error.hint


def test_a_damaged_database_is_said_to_be_damaged(path):
    with open_database(path, write=True):
        maker = makers.add_maker("Quillmere")
        catalogue.add_parts([NewPart(maker, f"24-{n}", "x" * 90) for n in range(2000)], by=BY)
    content = bytearray(path.read_bytes())
    for start in range(4096, len(content) - 4096, 4096):
        content[start : start + 300] = b"\xff" * 300
    path.write_bytes(content)
    with pytest.raises(StoreError, match="is damaged"), open_database(path):
        catalogue.search_parts("x")


def test_a_locked_database_asks_to_try_again(path, monkeypatch):
    monkeypatch.setattr(connect, "BUSY_MS", 0)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        error = refusal(path, write=True)
    finally:
        other.close()
    assert "in use by another command" in str(error)
    assert "again" in error.hint


def test_readers_work_while_another_command_writes(path):
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    other.execute("INSERT INTO maker (name, name_key) VALUES ('Tarnbeck', 'tarnbeck')")
    with open_database(path):
        assert makers.maker_rows() == []
    other.close()


def test_a_failed_command_stores_nothing(path):
    with pytest.raises(UsageError), open_database(path, write=True):
        makers.add_maker("Quillmere")
        raise UsageError("no")
    with open_database(path):
        assert makers.find_maker("Quillmere") is None


def test_a_command_that_is_killed_stores_nothing(path):
    script = (
        "import os, sys\n"
        "from partsdb.store import makers\n"
        "from partsdb.store.connect import open_database\n"
        "with open_database(sys.argv[1], write=True):\n"
        "    makers.add_maker('Quillmere')\n"
        "    os._exit(9)\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    assert done.returncode == 9
    with open_database(path, write=True):
        assert makers.maker_rows() == []
        makers.add_maker("Tarnbeck")


def test_a_store_function_outside_a_command_is_a_mistake_of_ours(path):
    with pytest.raises(RuntimeError, match="outside open_database"):
        makers.maker_rows()


def test_a_command_inside_a_command_is_a_mistake_of_ours_and_loses_nothing(path):
    with open_database(path, write=True):
        makers.add_maker("Quillmere")
        with pytest.raises(RuntimeError, match="inside open_database"), open_database(path):
            pass
    with open_database(path):
        assert [m.name for m in makers.maker_rows()] == ["Quillmere"]


def test_two_processes_that_write_at_once_wait_for_each_other(path):
    script = (
        "import sys\n"
        "from partsdb.store import makers\n"
        "from partsdb.store.connect import open_database\n"
        "for n in range(15):\n"
        "    with open_database(sys.argv[1], write=True):\n"
        "        makers.add_maker(f'{sys.argv[2]} {n}')\n"
    )
    running = [
        subprocess.Popen([sys.executable, "-c", script, str(path), name])
        for name in ("Saltreeve", "Kestrow")
    ]
    assert [process.wait() for process in running] == [0, 0]
    with open_database(path):
        assert len(makers.maker_rows()) == 30


def test_init_never_overwrites(path):
    before = path.read_bytes()
    with pytest.raises(UsageError, match="exists already"):
        init_database(path)
    assert path.read_bytes() == before


def test_open_with_create_makes_a_missing_database(tmp_path):
    with open_database(tmp_path / "new" / "shop.db", create=True, write=True):
        makers.add_maker("Quillmere")
    with open_database(tmp_path / "new" / "shop.db"):
        assert [m.name for m in makers.maker_rows()] == ["Quillmere"]


def test_foreign_keys_hold(opened):
    with pytest.raises(sqlite3.IntegrityError):
        sql.insert("maker_alias", "alias_key, alias, maker_id", ("x", "x", 999))


def test_the_engine_is_asked_for_write_ahead_logging_on_a_local_disk(opened):
    assert sql.first("PRAGMA journal_mode") == ("wal",)
    assert sql.first("PRAGMA foreign_keys") == (1,)
    assert sql.first("PRAGMA busy_timeout") == (connect.BUSY_MS,)


def test_the_path_is_as_given_then_from_the_environment_then_the_platforms(monkeypatch):
    monkeypatch.setenv("PARTSDB_DB", "bench.db")
    assert default_path("given.db") == Path("given.db")
    assert default_path(None) == Path("bench.db")
    monkeypatch.delenv("PARTSDB_DB")
    assert default_path(None).name == "parts.db"


def test_a_folder_that_may_not_be_written_is_named(path):
    with pytest.raises(StoreError) as caught:
        init_database(path / "below" / "shop.db")
    assert caught.value.exit_code == 4


ROWS = [
    model
    for module in (models, models_terms, models_trade)
    for model in vars(module).values()
    if isinstance(model, type) and issubclass(model, models.Row) and model is not models.Row
]


def test_the_models_mirror_the_schema(opened):
    stored = {
        table: {row[1] for row in sql.rows(f"PRAGMA table_info({table})")}
        for (table,) in sql.rows("SELECT name FROM sqlite_master WHERE type = 'table'")
    }
    modelled = {
        model._meta.table_name: {field.column_name for field in model._meta.sorted_fields}
        for model in ROWS
    }
    assert modelled == stored


def test_no_model_holds_a_decimal_or_a_float_but_the_readings_confidence():
    inexact = {
        f"{model.__name__}.{name}"
        for model in ROWS
        for name, field in model._meta.fields.items()
        if isinstance(field, (peewee.DecimalField, peewee.FloatField, peewee.DoubleField))
    }
    assert inexact == {"Reading.confidence"}
