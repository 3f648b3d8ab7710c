"""The short way in plain Python and the long way in numpy decide alike, byte for byte."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from partsdb.errors import StoreError
from partsdb.matching.engine.decision import Lane
from partsdb.matching.engine.index import Index, open_index
from partsdb.matching.engine.make import update_index
from partsdb.matching.engine.match import Lines, Matched
from tests.matching.engine.plain_way import plain_way
from tests.matching.engine.small_shop import (
    PARTS,
    catalogue,
    indexed,
    matched,
    seeded_lines,
    seeded_parts,
)

ROOT = Path(__file__).resolve().parents[3]
Row = tuple[str, str, str]

HARD: list[Row] = [
    ("24-1180", "packing kit, upper", ""), ("24-1180", "gun handle", "Corrowby"),
    ("241190", 'inlet vlv seat 1-1/4" x 16 mm', ""), ("24-1191", "inlet valve seat, 16 m", ""),
    ("0B-5507", "outlet ball, ceramic, 12 mm", ""), ("1.23457E+11", "gland ring, brass", ""),
    ("03-Dez", "spray nozzle, 25 degree", ""), ("7.00E+12", "unloader valve 250 bar 2 pcs", ""),
    ("78812", "lance stainless", ""), ("XQ-24-1190", "valve seat carbide", ""),
    ("", "hose asembly 3/8 in 4000 psi", ""), ("HX-22", "hose", ""), ("ÜBER-1", "½ in nipple NPT", ""),
    ("HX-22041", "hose assembly, 3/8 in, 4000 psi", "Tarnbeck"), ("0", "", ""), ("A", "ball", ""),
    ("XQ-24-1191", "valve seat carbide", ""), ("12.345", "gauge 63 mm", ""), ("90,1177", "gauge", ""),
]  # fmt: skip


def long_way(found: Matched) -> list[tuple[int, tuple[tuple[int, int], ...]]]:
    first = found.first.tolist()
    pairs = list(zip(found.part_id.tolist(), found.code.tolist(), strict=True))
    return [
        (lane, tuple(pairs[start:end]))
        for lane, start, end in zip(found.lane.tolist(), first, first[1:], strict=False)
    ]


def short_way(folder: Path, rows: list[Row]) -> list[tuple[int, tuple[tuple[int, int], ...]]]:
    numbers, descriptions, makers = zip(*rows, strict=True)
    answers = plain_way(folder, Lines(numbers, descriptions, makers))
    return [(int(each.lane), each.candidates) for each in answers]


def compared(index: Index, rows: list[Row]) -> set[int]:
    """Compare the two ways line by line; return the lanes that occurred."""
    long, short = long_way(matched(index, *rows)), short_way(index.folder, rows)
    for row, one, other in zip(rows, long, short, strict=True):
        assert one == other, row
    return {lane for lane, _ in long}


def test_hard_lines_are_decided_alike(index: Index) -> None:
    assert compared(index, HARD) == {Lane.NONE, Lane.REVIEW, Lane.SETTLED}


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_seeded_lists_are_decided_alike(tmp_path: Path, seed: int) -> None:
    parts = seeded_parts(700, seed)
    lanes = compared(indexed(tmp_path, parts), seeded_lines(parts, 500, seed + 100))
    assert {Lane.REVIEW, Lane.SETTLED} <= lanes


def test_a_list_behind_a_prefix_teaches_both_ways_the_same(index: Index) -> None:
    rows = [(f"XQ-{number}", description, "") for _, _, number, description in PARTS]
    compared(index, [*rows, ("XQ-24-1191", "inlet valve seat, 16 mm", "")])


def test_a_list_that_lost_its_zeros_teaches_both_ways_the_same(tmp_path: Path) -> None:
    parts = tuple(
        (i, "Tarnbeck", f"00{4400 + 37 * i}", f"lance, stainless, {100 * i} mm")
        for i in range(1, 8)
    )
    rows = [(number.lstrip("0"), description, "") for _, _, number, description in parts]
    assert compared(indexed(tmp_path, parts), rows) == {Lane.SETTLED}


def test_a_changed_index_is_read_alike(tmp_path: Path) -> None:
    old, new = seeded_parts(300, seed=4), seeded_parts(320, seed=5)
    indexed(tmp_path, old)
    moved = tuple(
        (i + 300, maker, number, f"{text}, aramid") for i, maker, number, text in new[:25]
    )
    update_index(tmp_path, catalogue(moved), range(1, 12), stamp="next")
    index = open_index(tmp_path)
    assert index is not None
    compared(index, seeded_lines((*old, *moved), 300, seed=6))


def test_the_short_way_without_an_index_says_so(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="index is missing"):
        plain_way(tmp_path, Lines(["1"], [""], [""]))


def test_the_short_way_never_loads_numpy(index: Index) -> None:
    program = (
        "import sys; from pathlib import Path; from partsdb.matching.engine.match import Lines;"
        "from tests.matching.engine.plain_way import plain_way;"
        "plain_way(Path(sys.argv[1]), Lines(['24-1190'], ['seat'], ['']));"
        "sys.exit('numpy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", program, str(index.folder)], cwd=ROOT, check=False)
    assert done.returncode == 0
