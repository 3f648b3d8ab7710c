"""Backups: whole, checked, and brought back without losing what was there."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.errors import StoreError, UsageError
from partsdb.store import makers
from partsdb.store.backup import backup, restore
from partsdb.store.connect import open_database


def store(path, *names: str) -> None:
    with open_database(path, write=True):
        for name in names:
            makers.add_maker(name)


def names(path) -> list[str]:
    with open_database(path):
        return [maker.name for maker in makers.maker_rows()]


def test_a_backup_holds_everything_and_opens_like_a_database(path, tmp_path):
    store(path, "Quillmere", "Tarnbeck")
    copy = tmp_path / "copies" / "one.backup"
    assert backup(path, copy) == copy.stat().st_size
    assert names(copy) == ["Quillmere", "Tarnbeck"]


def test_a_backup_taken_while_a_command_writes_holds_what_was_there_before(path, tmp_path):
    store(path, "Quillmere")
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    other.execute("INSERT INTO maker (name, name_key) VALUES ('Half', 'half')")
    backup(path, tmp_path / "one.backup")
    other.close()
    assert names(tmp_path / "one.backup") == ["Quillmere"]


def test_a_backup_never_overwrites(path, tmp_path):
    target = tmp_path / "one.backup"
    target.write_text("mine")
    with pytest.raises(UsageError, match="exists already"):
        backup(path, target)
    assert target.read_text() == "mine"


def test_nothing_is_left_of_a_backup_that_fails(path, tmp_path):
    store(path, *(f"maker {n}" for n in range(2000)))
    content = bytearray(path.read_bytes())
    for start in range(8192, len(content) - 4096, 4096):
        content[start : start + 200] = b"\xff" * 200
    path.write_bytes(content)
    with pytest.raises(StoreError, match="damaged"):
        backup(path, tmp_path / "one.backup")
    assert list(tmp_path.glob("one*")) == []


def test_restoring_brings_the_backup_back_and_keeps_the_other(path, tmp_path):
    store(path, "Quillmere")
    backup(path, tmp_path / "one.backup")
    store(path, "Tarnbeck")
    kept = restore(path, tmp_path / "one.backup")
    assert names(path) == ["Quillmere"]
    assert names(kept) == ["Quillmere", "Tarnbeck"]
    store(path, "Vossgrund")
    assert names(path) == ["Quillmere", "Vossgrund"]


def test_restoring_over_a_damaged_database_works(path, tmp_path):
    store(path, "Quillmere")
    backup(path, tmp_path / "one.backup")
    path.write_bytes(b"no database at all")
    kept = restore(path, tmp_path / "one.backup")
    assert names(path) == ["Quillmere"]
    assert kept.read_bytes() == b"no database at all"


def test_restoring_where_nothing_is_makes_the_database(path, tmp_path):
    store(path, "Quillmere")
    backup(path, tmp_path / "one.backup")
    assert restore(tmp_path / "new.db", tmp_path / "one.backup") is None
    assert names(tmp_path / "new.db") == ["Quillmere"]


def test_a_damaged_backup_is_refused_and_nothing_changes(path, tmp_path):
    store(path, "Quillmere")
    backup(path, tmp_path / "one.backup")
    (tmp_path / "one.backup").write_bytes(b"x" * 9000)
    with pytest.raises(StoreError):
        restore(path, tmp_path / "one.backup")
    assert names(path) == ["Quillmere"]
    assert list(tmp_path.glob("*before-restore*")) == []


def test_another_programs_database_is_no_backup(path, tmp_path):
    with sqlite3.connect(tmp_path / "other.db") as other:
        other.execute("CREATE TABLE t (id)")
    with pytest.raises(StoreError, match="not one of partsdb"):
        restore(path, tmp_path / "other.db")


def test_a_command_in_progress_is_not_restored_over(path, tmp_path, monkeypatch):
    store(path, "Quillmere")
    backup(path, tmp_path / "one.backup")
    store(path, "Tarnbeck")
    monkeypatch.setattr("partsdb.store.backup.BUSY_SECONDS", 0)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError, match="in use"):
        restore(path, tmp_path / "one.backup")
    other.close()
    assert names(path) == ["Quillmere", "Tarnbeck"]
