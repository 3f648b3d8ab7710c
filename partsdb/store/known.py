"""The database as it was known at the end of a day: what was entered later is not there.

Views of the session stand in front of the tables: the engine resolves a bare name to them first,
so that no query has to know. Withdrawn later is not withdrawn yet. What the schema keeps without a
time (parts, kit contents, machines, recipes, settings, suppliers' names) is as it is today.
"""

from __future__ import annotations

import datetime as dt

from partsdb.errors import UsageError
from partsdb.store import sql

# Table -> when its rows were entered, and the columns that later events set (with their time).
_ENTERED = {
    "offer": "made_at",
    "claim": "made_at",
    "stands_in": "made_at",
    "supersession": "made_at",
    "supplier_terms": "made_at",
    "fx_rate": "made_at",
    "duty_rate": "made_at",
    "grade": "made_at",
    "decision": "made_at",
    "price_list": "read_at",
    # Machines and recipes, which have no time, call for parts: those stay, whenever they came.
    "part": "''",
    # A lot's state is as it is today: what is held now is not offered on any day.
    "lot": "received_at",
    "lot_movement": "at",
    "inspection": "at",
    "job": "opened_at",
    "fitting": "at",
    "comeback": "at",
}
# Column -> the column that says when it was set, and what it was before.
_SET_LATER = {
    "withdrawn_at": ("withdrawn_at", "NULL"),
    "taken_back_at": ("taken_back_at", "NULL"),
    "explained": ("explained_at", "''"),
}


def look_back(day: str) -> None:
    """Show the open database as it was known at the end of the ISO day, until it is closed.

    Raises UsageError for what is no date.
    """
    try:
        end = f"{dt.date.fromisoformat(day).isoformat()}T23:59:59Z"
    except ValueError:
        raise UsageError(f"{day!r} is no date", hint="write YYYY-MM-DD") from None
    for table, entered in _ENTERED.items():
        columns = [str(row[1]) for row in sql.rows(f"PRAGMA main.table_info({table})")]
        shown = ", ".join(_shown(column, columns, end) for column in columns)
        sql.run(
            f"CREATE TEMP VIEW {table} AS SELECT {shown} FROM main.{table}"
            f" WHERE {entered} <= '{end}'"
        )
    for (text,) in sql.rows("SELECT sql FROM main.sqlite_master WHERE type = 'view' ORDER BY name"):
        sql.run(str(text).replace("CREATE VIEW", "CREATE TEMP VIEW", 1))


def _shown(column: str, columns: list[str], end: str) -> str:
    when, before = _SET_LATER.get(column, ("", ""))
    if when not in columns:
        return column
    return f"CASE WHEN {when} > '{end}' THEN {before} ELSE {column} END AS {column}"
