"""A stranger's file is parsed in a child process: memory and time are bounded, results the same."""

from __future__ import annotations

import time

import pytest

from importers import Limits, ReaderError, bounded, read_price_list, read_price_list_bounded
from importers.limits import DEFAULT, current

ROWS = [("Part no.", "Description", "Price EUR"), ("KV-1", 'Ball 1/4"', 1.5), ("KV-2", "Seat", 2)]


def test_a_workbook_reads_the_same_in_the_child_process(xlsx_file):
    path = xlsx_file(ROWS)
    plain = read_price_list(path)
    assert read_price_list_bounded(path) == plain
    assert read_price_list_bounded(path, profiles=plain.profiles) == read_price_list(
        path, profiles=plain.profiles
    )


def test_a_refusal_crosses_with_place_and_hint(xlsx_file):
    path = xlsx_file(ROWS)
    with pytest.raises(ReaderError) as caught:
        read_price_list_bounded(path, limits=Limits(columns=2))
    assert caught.value.place == "list.xlsx Prices!C1"
    assert "PARTSDB_LIMITS=columns=3" in caught.value.hint


def test_a_file_that_needs_more_memory_than_it_may_is_refused(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("Part no.;Description;Price\n" + "A1;Ball;1.50\n" * 400_000)
    assert path.stat().st_size > bounded.SMALL_TEXT
    # Right at its bound an allocator may go round and round: then the time limit ends it.
    with pytest.raises(ReaderError, match=r"memory bytes|seconds") as caught:
        read_price_list_bounded(path, limits=Limits(memory_bytes=120 * 1024 * 1024, seconds=8))
    assert "PARTSDB_LIMITS=" in caught.value.hint


def test_a_file_that_takes_longer_than_it_may_is_refused(tmp_path, xlsx_file):
    path = xlsx_file(ROWS * 3_000)
    started = time.monotonic()
    with pytest.raises(ReaderError, match="seconds") as caught:
        read_price_list_bounded(path, limits=Limits(seconds=0))
    assert time.monotonic() - started < 5
    assert "PARTSDB_LIMITS=seconds=" in caught.value.hint


def test_small_plain_text_starts_no_process(csv_file, monkeypatch):
    monkeypatch.setattr(bounded, "_in_child", None)
    assert read_price_list_bounded(csv_file("Part no.;Description;Price\nA1;Ball;1.50\n")).rows


def test_a_parser_that_is_brought_down_is_one_sentence(xlsx_file, monkeypatch, tmp_path):
    dying = tmp_path / "python"
    dying.write_text("#!/bin/sh\nkill -ABRT $$\n")
    dying.chmod(0o755)
    monkeypatch.setattr(bounded.sys, "executable", str(dying))
    with pytest.raises(ReaderError, match="brought its parser down") as caught:
        read_price_list_bounded(xlsx_file(ROWS))
    assert caught.value.place == "list.xlsx"


def test_a_fault_of_our_own_is_not_blamed_on_the_file(xlsx_file, monkeypatch, tmp_path):
    dying = tmp_path / "python"
    dying.write_text("#!/bin/sh\ncat >/dev/null\necho 'KeyError: 1' >&2\nexit 1\n")
    dying.chmod(0o755)
    monkeypatch.setattr(bounded.sys, "executable", str(dying))
    with pytest.raises(bounded.ReaderFaultError, match="KeyError: 1"):
        read_price_list_bounded(xlsx_file(ROWS))


def test_the_environment_raises_a_limit_and_refuses_an_unknown_one(monkeypatch):
    monkeypatch.setenv("PARTSDB_LIMITS", "rows=7, columns=9")
    assert (current().rows, current().columns, current().depth) == (7, 9, DEFAULT.depth)
    monkeypatch.setenv("PARTSDB_LIMITS", "lines=7")
    with pytest.raises(ReaderError) as caught:
        current()
    assert "rows" in caught.value.hint


def test_a_panic_of_a_compiled_parser_is_one_sentence_too(xlsx_file, monkeypatch, tmp_path):
    panicking = tmp_path / "python"
    panicking.write_text(
        "#!/bin/sh\ncat >/dev/null\necho 'pyo3_runtime.PanicException: range start' >&2\nexit 1\n"
    )
    panicking.chmod(0o755)
    monkeypatch.setattr(bounded.sys, "executable", str(panicking))
    with pytest.raises(ReaderError, match="brought its parser down"):
        read_price_list_bounded(xlsx_file(ROWS))
