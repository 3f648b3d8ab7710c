"""Migrations: each wholly or not at all, after a checked copy, without losing a row."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.store import makers, migrate
from partsdb.store.connect import open_database

SECOND = """-- adds a column; a trigger's body holds semicolons
ALTER TABLE maker ADD COLUMN home TEXT NOT NULL DEFAULT '';
CREATE TRIGGER maker_home AFTER INSERT ON maker BEGIN
    UPDATE maker SET home = 'Fennel Quay' WHERE id = new.id AND home = '';
    UPDATE maker SET home = trim(home) WHERE id = new.id;
END;
"""


@pytest.fixture
def one_maker(path):
    with open_database(path, write=True):
        makers.add_maker("Quillmere")
    return path


def newer_program(monkeypatch, second: str) -> None:
    known = migrate.migrations()
    monkeypatch.setattr(migrate, "migrations", lambda: [*known, (2, second)])
    monkeypatch.setattr(migrate, "newest_version", lambda: 2)


def version_of(path) -> int:
    with sqlite3.connect(path) as raw:
        return raw.execute("PRAGMA user_version").fetchone()[0]


def test_an_older_file_is_migrated_and_keeps_its_rows(one_maker, monkeypatch):
    newer_program(monkeypatch, SECOND)
    with open_database(one_maker, write=True):
        assert [m.name for m in makers.maker_rows()] == ["Quillmere"]
        makers.add_maker("Tarnbeck")
    assert version_of(one_maker) == 2
    with sqlite3.connect(one_maker) as raw:
        homes = raw.execute("SELECT name, home FROM maker ORDER BY name").fetchall()
    assert homes == [("Quillmere", ""), ("Tarnbeck", "Fennel Quay")]


def test_a_checked_copy_lies_beside_it_before_anything_changes(one_maker, monkeypatch):
    newer_program(monkeypatch, SECOND)
    with open_database(one_maker):
        pass
    copies = list(one_maker.parent.glob("*.backup"))
    assert len(copies) == 1
    assert version_of(copies[0]) == 1
    with sqlite3.connect(copies[0]) as raw:
        assert raw.execute("SELECT name FROM maker").fetchall() == [("Quillmere",)]


@pytest.mark.parametrize(
    "broken",
    [
        "CREATE TABLE extra (id INTEGER);\nINSERT INTO nowhere VALUES (1);",
        "UPDATE maker SET name = 'x';\nDELETE FROM event WHERE;",
    ],
)
def test_a_migration_that_fails_changes_nothing(one_maker, monkeypatch, broken):
    newer_program(monkeypatch, broken)
    with pytest.raises(sqlite3.Error), open_database(one_maker):
        pass
    monkeypatch.undo()
    assert version_of(one_maker) == 1
    with open_database(one_maker):
        assert [m.name for m in makers.maker_rows()] == ["Quillmere"]


def test_a_second_process_does_not_migrate_again(one_maker):
    raw = sqlite3.connect(one_maker, isolation_level=None)
    migrate._apply(raw, 1, "CREATE TABLE twice (id INTEGER);")
    tables = raw.execute("SELECT name FROM sqlite_master WHERE name = 'twice'").fetchall()
    raw.close()
    assert tables == []


def test_a_script_is_split_where_its_statements_end():
    found = list(migrate.statements(SECOND))
    assert len(found) == 2
    assert found[1].rstrip().endswith("END;")


def test_a_script_that_ends_inside_a_statement_is_a_mistake_of_ours():
    with pytest.raises(ValueError, match="ends inside a statement"):
        list(migrate.statements("CREATE TABLE a (id INTEGER);\nCREATE TABLE b (id"))


def test_versions_of_the_migrations_follow_each_other_from_one():
    versions = [version for version, _ in migrate.migrations()]
    assert versions == list(range(1, len(versions) + 1))
    assert versions[-1] == migrate.newest_version()
