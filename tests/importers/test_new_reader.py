"""What DEVELOPERS.md says of a new reader is followed to the letter: one file, one line."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest
from reader_seeds import seeds

import importers.readers
from importers import Limits, ReaderError, read_price_list, read_price_list_bounded
from importers.limits import DEFAULT
from importers.readers import PLAIN_TEXT, READERS
from importers.source import load, reader_for

GUIDE = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"
LIST = "Part no. -> Description -> Price EUR\nA1 -> Ball, 3/8 in -> 1.50\n\nA2 -> Seat -> 2,50\n"


def told_reader():
    """Return the file of the guide as a module."""
    (code,) = re.findall(r"```python\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.DOTALL)
    module = type(sys)("arrows")
    exec(compile(code, "arrows.py", "exec"), module.__dict__)
    return module


@pytest.fixture
def registered(monkeypatch):
    monkeypatch.setattr(importers.readers, "READERS", (*READERS, told_reader().Arrows()))


def test_the_reader_of_the_guide_reads_a_list_once_its_line_is_registered(registered, tmp_path):
    path = tmp_path / "list.txt"
    path.write_text(LIST, encoding="utf-8")
    text = read_price_list(path)
    assert text.reader == "arrows"
    assert [(row.fields["code"], row.amounts["price"]) for row in text.rows[1:]] == [
        ("A1", "1.50"), ("A2", "2.50"),
    ]  # fmt: skip
    assert text.rows[2].place() == "row 4"
    assert read_price_list_bounded(path) == text


@pytest.mark.parametrize("limit", ["rows", "columns", "cell_chars"])
def test_it_keeps_the_limits(registered, tmp_path, limit):
    path = tmp_path / "list.txt"
    path.write_text(LIST, encoding="utf-8")
    with pytest.raises(ReaderError) as caught:
        read_price_list(path, limits=Limits(**{limit: 2}))
    assert f"PARTSDB_LIMITS={limit}=" in caught.value.hint


def test_without_its_line_the_same_file_is_no_list_of_that_kind(tmp_path):
    path = tmp_path / "list.txt"
    path.write_text(LIST, encoding="utf-8")
    with pytest.raises(ReaderError):
        read_price_list(path)


@pytest.mark.parametrize("kind", seeds())
def test_it_claims_no_file_of_another_kind(registered, kind, tmp_path):
    path = tmp_path / "list.any"
    path.write_bytes(seeds()[kind])
    assert reader_for(load(path, DEFAULT)).name != "arrows"


def test_every_registered_reader_has_an_honest_file_for_the_fuzzer(tmp_path):
    claimed = set()
    for data in seeds().values():
        path = tmp_path / "list.any"
        path.write_bytes(data)
        claimed.add(reader_for(load(path, DEFAULT)).name)
    assert claimed == {reader.name for reader in (*READERS, PLAIN_TEXT)}
