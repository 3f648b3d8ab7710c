"""Our own reading of cells against openpyxl's, on workbooks that openpyxl wrote."""

from __future__ import annotations

import random
from decimal import Decimal

import openpyxl
import pytest

from importers.limits import DEFAULT
from importers.raw import Source
from importers.readers.xlsx import Xlsx

FORMATS = ("General", "0.00", "#,##0.00", "00000", "@")


def random_cell(rng: random.Random) -> object:
    return rng.choice(
        [
            None,
            rng.randrange(-(10**6), 10**9),
            round(rng.uniform(-1000, 1000), rng.randrange(0, 4)),
            "".join(rng.choice("abc ÄÖß€1/4\"'<>&") for _ in range(rng.randrange(1, 12))),
            rng.choice([True, False]),
        ]
    )


@pytest.mark.parametrize("seed", range(8))
def test_every_cell_has_the_place_and_value_that_openpyxl_gives_it(tmp_path, seed):
    rng = random.Random(seed)
    path = tmp_path / "list.xlsx"
    book = openpyxl.Workbook()
    for row in range(1, 30):
        for column in range(1, 12):
            if rng.random() < 0.7:
                book.active.cell(row, column, random_cell(rng)).number_format = rng.choice(FORMATS)
    book.save(path)
    raw = Xlsx().read(Source(path.name, path.read_bytes()), (), DEFAULT)
    ours = {
        (r.number, i + 1): c for r in raw.sheets[0].rows for i, c in enumerate(r.cells) if c.strip()
    }
    exact = {(r.number, i + 1): d for r in raw.sheets[0].rows for i, d in r.exact.items()}
    theirs = openpyxl.load_workbook(path, data_only=True).active
    expected = {
        (c.row, c.column): c.value
        for row in theirs.iter_rows()
        for c in row
        if c.value is not None and str(c.value).strip()
    }
    assert ours.keys() == expected.keys()
    for place, value in expected.items():
        shown = exact.get(place, ours[place])
        if isinstance(value, bool):
            assert shown == str(value).upper(), place
        elif isinstance(value, str):
            assert shown == value, place
        else:
            assert Decimal(shown) == Decimal(repr(value)), place
