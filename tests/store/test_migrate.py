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


NOW = migrate.newest_version()
NEXT = NOW + 1


@pytest.fixture
def one_maker(path):
    with open_database(path, write=True):
        makers.add_maker("Quillmere")
    return path


def newer_program(monkeypatch, second: str) -> None:
    known = migrate.migrations()
    monkeypatch.setattr(migrate, "migrations", lambda: [*known, (NEXT, second)])
    monkeypatch.setattr(migrate, "newest_version", lambda: NEXT)


def version_of(path) -> int:
    with sqlite3.connect(path) as raw:
        return raw.execute("PRAGMA user_version").fetchone()[0]


def test_an_older_file_is_migrated_and_keeps_its_rows(one_maker, monkeypatch):
    newer_program(monkeypatch, SECOND)
    with open_database(one_maker, write=True):
        assert [m.name for m in makers.maker_rows()] == ["Quillmere"]
        makers.add_maker("Tarnbeck")
    assert version_of(one_maker) == NEXT
    with sqlite3.connect(one_maker) as raw:
        homes = raw.execute("SELECT name, home FROM maker ORDER BY name").fetchall()
    assert homes == [("Quillmere", ""), ("Tarnbeck", "Fennel Quay")]


def test_a_checked_copy_lies_beside_it_before_anything_changes(one_maker, monkeypatch):
    newer_program(monkeypatch, SECOND)
    with open_database(one_maker):
        pass
    copies = list(one_maker.parent.glob("*.backup"))
    assert len(copies) == 1
    assert version_of(copies[0]) == NOW
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
    assert version_of(one_maker) == NOW
    with open_database(one_maker):
        assert [m.name for m in makers.maker_rows()] == ["Quillmere"]


def test_a_second_process_does_not_migrate_again(one_maker):
    raw = sqlite3.connect(one_maker, isolation_level=None)
    migrate._apply(raw, NOW, "CREATE TABLE twice (id INTEGER);")
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


@pytest.fixture
def first_version(tmp_path, monkeypatch):
    """A file as the first version wrote it, with a row in each of a few tables."""
    path = tmp_path / "first.db"
    with monkeypatch.context() as before:
        before.setattr(migrate, "migrations", lambda first=migrate.migrations()[:1]: first)
        before.setattr(migrate, "newest_version", lambda: 1)
        migrate.build(path, journal="wal")
    with sqlite3.connect(path) as raw:
        for statement in OLD_ROWS:
            raw.execute(statement)
    raw.close()
    return path


OLD_ROWS = (
    "INSERT INTO supplier (id, name, name_key) VALUES (1, 'Kestrow', 'kestrow')",
    "INSERT INTO maker (id, name, name_key) VALUES (1, 'Quillmere', 'quillmere')",
    "INSERT INTO part (id, maker_id, number, number_key, number_fold, weight_g, added_at)"
    " VALUES (1, 1, 'A', 'A', 'A', 260, '2026-01-01T00:00:00Z')",
    "INSERT INTO supplier_terms (supplier_id, valid_from, currency, freight_minor, made_at)"
    " VALUES (1, '2026-01-01', 'EUR', 980, '2026-01-01T00:00:00Z')",
    "INSERT INTO recipe (name, name_key, minutes, currency) VALUES ('R', 'r', 60, 'EUR')",
    "INSERT INTO event (at, who, action, subject_kind) VALUES ('2026-01-01T00:00:00Z', 'Ilse',"
    " 'add', 'part')",
)


def test_a_file_of_the_first_version_is_brought_up_to_date_and_keeps_every_row(first_version):
    assert version_of(first_version) == 1
    with sqlite3.connect(first_version) as raw:
        raw.row_factory = sqlite3.Row
        kept = {t: [dict(r) for r in raw.execute(f"SELECT * FROM {t}")] for t in TABLES}
    with open_database(first_version, write=True):
        assert [m.name for m in makers.maker_rows()] == ["Quillmere"]
    assert version_of(first_version) == NOW
    with sqlite3.connect(first_version) as raw:
        raw.row_factory = sqlite3.Row
        for table, before in kept.items():
            after = [dict(row) for row in raw.execute(f"SELECT * FROM {table}")]
            assert before, table
            assert [{name: row[name] for name in before[0]} for row in after] == before, table


TABLES = ("supplier", "maker", "part", "supplier_terms", "recipe", "event")
