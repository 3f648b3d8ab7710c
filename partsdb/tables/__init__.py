"""The standards' numbers as CSV, one fact a row with its source; this is the one loader of them."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from partsdb.errors import PartsdbError

Row = Mapping[str, str]


@cache
def rows(name: str) -> tuple[Row, ...]:
    """Return the rows of the table `name`, read once; PartsdbError when a row is malformed."""
    place = Path(__file__).with_name(f"{name}.csv")
    if not place.is_file():
        raise PartsdbError(f"the table {name}.csv is missing from the installed package")
    reader = csv.DictReader(place.read_text(encoding="utf-8").splitlines())
    return tuple(_sound(name, reader.line_num, row) for row in reader)


@cache
def by_key(name: str, key: str) -> Mapping[str, Row]:
    """Return the rows of `name` by their column `key`; PartsdbError when a key stands twice."""
    found: dict[str, Row] = {}
    for row in rows(name):
        if found.setdefault(row[key], row) is not row:
            raise PartsdbError(f"table {name}.csv: {key} {row[key]!r} stands in it twice")
    return MappingProxyType(found)


def _sound(name: str, line: int, row: dict[str, str]) -> Row:
    # DictReader puts surplus cells under None and fills missing ones with None: both shift facts.
    if None in row or None in row.values():
        raise PartsdbError(f"table {name}.csv, line {line}: wrong number of cells")
    return MappingProxyType({column: value.strip() for column, value in row.items()})
