"""One question, answered from the mapped index without numpy."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from partsdb.errors import StoreError
from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.find import Finder, find_parts
from partsdb.matching.engine.index import Index
from partsdb.matching.engine.mapped import MappedArray
from partsdb.matching.engine.mapped_index import MappedIndex

ROOT = Path(__file__).resolve().parents[3]


@pytest.mark.parametrize(
    ("text", "part", "way"),
    [
        ("24-1190", 13, Way.KEY),
        ("24 1190", 13, Way.KEY),
        ("hx22041", 18, Way.KEY),
        ("0B-55O7", 14, Way.LOOKALIKE),
        ("1.23457E+11", 24, Way.VALUE),
        ("OB-5570", 14, Way.EDIT),
        ("HX-2204", 18, Way.EDIT),
        ("HX-22", 18, Way.BEGINS),
        ("XQ-90.1177", 21, Way.PREFIX),
        ("spray nozzle", 17, Way.WORDS),
        ("rod cermic", 26, Way.WORDS),
    ],
)
def test_a_messy_code_or_a_few_words_find_the_part(
    index: Index, text: str, part: int, way: Way
) -> None:
    found = find_parts(index.folder, text)
    assert (found[0].part_id, found[0].way) == (part, way)


def test_words_beside_a_code_choose_among_its_parts(index: Index) -> None:
    assert find_parts(index.folder, "24-1180 gun handle")[0].part_id == 23
    assert find_parts(index.folder, "24-1180 packing kit")[0].part_id == 11


def test_no_more_are_offered_than_asked_for(index: Index) -> None:
    assert len(find_parts(index.folder, "valve kit hose gauge", limit=3)) <= 3


@pytest.mark.parametrize("text", ["", "   ", "zzz", "???"])
def test_nothing_near_finds_nothing(index: Index, text: str) -> None:
    assert find_parts(index.folder, text) == []


def test_a_finder_without_an_index_is_not_ready(tmp_path: Path) -> None:
    assert not MappedIndex(tmp_path).is_ready and Finder(tmp_path).find("24-1190") == []


def test_a_file_that_is_no_array_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "by_key.npy"
    path.write_bytes(b"no array at all, only some text")
    with pytest.raises(StoreError, match="no array"):
        MappedArray(path)


def test_a_question_never_waits_for_numpy() -> None:
    program = "import sys, partsdb.matching.engine.find as f; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False).returncode == 0
