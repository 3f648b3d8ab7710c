"""Rows in bulk: many with one statement, whole and in order, whatever their number."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from partsdb.store import sql

COLUMNS = "date, currency, per_eur, source"
# As many rows of four values as one statement takes, and one more or less.
MOST = 999 // 4


def _rates(count: int) -> list[tuple[str, str, str, str]]:
    return [(f"2026-{n:05}", "USD", str(n), "ECB") for n in range(count)]


@pytest.mark.parametrize("count", [0, 1, MOST - 1, MOST, MOST + 1, 3 * MOST + 7])
def test_every_row_is_stored_once_and_in_order(opened: Path, count: int) -> None:
    sql.insert_many("fx_rate", COLUMNS, iter(_rates(count)))
    found = sql.rows(f"SELECT {COLUMNS} FROM fx_rate ORDER BY rowid")
    assert found == _rates(count)


def test_a_row_that_the_table_refuses_is_refused_wherever_it_stands(opened: Path) -> None:
    rows = [*_rates(2 * MOST), _rates(1)[0]]
    with pytest.raises(sqlite3.IntegrityError, match="UNIQUE"):
        sql.insert_many("fx_rate", COLUMNS, rows)


def test_a_table_wider_than_a_statement_of_old_builds_takes_a_row_at_a_time(opened: Path) -> None:
    names = [f"c{n}" for n in range(600)]
    sql.run(f"CREATE TEMP TABLE wide ({', '.join(names)})")
    sql.insert_many("wide", ", ".join(names), [range(600), range(1, 601), range(2, 602)])
    assert sql.rows("SELECT c0, c599 FROM wide") == [(0, 599), (1, 600), (2, 601)]


def test_each_part_of_a_bulk_is_written_down_as_a_change(opened: Path) -> None:
    """The trigger that tells the index of new parts fires for every row of a statement."""
    (maker,) = sql.rows("INSERT INTO maker (name, name_key) VALUES ('Q', 'q') RETURNING id")[0]
    rows = [(maker, f"Q-{n}", f"Q{n}", f"Q{n}", "2026-01-01") for n in range(500)]
    sql.insert_many("part", "maker_id, number, number_key, number_fold, added_at", rows)
    (told,) = sql.rows("SELECT count(DISTINCT part_id) FROM part_change")[0]
    assert told == 500
