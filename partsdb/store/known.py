"""The database as it was known at the end of a day: what was entered later is not there.

Views of the session stand in front of the tables: the engine resolves a bare name to them first,
so that no query has to know. Withdrawn later is not withdrawn yet. Of what the schema keeps without
a time, `known_events` turns back what the history tells: settings, recipes, parts, contents, held
offers; `known_machines` does so for machines and their positions. Of layouts the former are kept.
The suppliers' names are as they are today.
"""

from __future__ import annotations

import datetime as dt

from partsdb.errors import UsageError
from partsdb.store import sql
from partsdb.store.known_events import turned_back
from partsdb.store.known_machines import show_machines

# Table -> when its rows were entered, and the columns that later events set (with their time).
_ENTERED = {
    "offer": "made_at",
    "claim": "made_at",
    "stands_in": "made_at",
    "supersession": "made_at",
    "supplier_terms": "made_at",
    "freight_step": "made_at",
    "supplier_fee": "made_at",
    "supplier_discount": "made_at",
    "core_deposit": "made_at",
    "customs_rate": "made_at",
    "fx_rate": "made_at",
    "duty_rate": "made_at",
    "grade": "made_at",
    "decision": "made_at",
    "price_list": "read_at",
    # Machines and recipes, which have no time, call for parts: those stay, whenever they came.
    "part": "''",
    "recipe": "''",
    "event": "at",
    # A lot's state is as it is today: what is held now is not offered on any day.
    "lot": "received_at",
    "lot_movement": "at",
    "lot_component": "at",
    "inspection": "at",
    "job": "opened_at",
    "fitting": "at",
    "comeback": "at",
}
# The large tables: whatever enters such a row is told by an event of the same time, or by the list
# that brings it; to look through all of them would take longer than most answers.
_TOLD_OF = {"offer", "claim", "stands_in"}
# Column -> the column that says when it was set, and what it was before.
_SET_LATER = {
    "withdrawn_at": ("withdrawn_at", "NULL"),
    "taken_back_at": ("taken_back_at", "NULL"),
    "taken_apart_at": ("taken_apart_at", "NULL"),
    "explained": ("explained_at", "''"),
}


def look_back(day: str) -> None:
    """Show the open database as it was known at the end of the ISO day, until it is closed.

    Raises UsageError for what is no date.
    """
    end = _end_of(day)
    sql.run(f"CREATE TEMP VIEW known_on AS SELECT '{end[:10]}' AS day")
    told = turned_back(end)
    show_machines(end)
    for table, entered in _ENTERED.items():
        columns = [str(row[1]) for row in sql.rows(f"PRAGMA main.table_info({table})")]
        was = {column: _set_later(column, columns, end) for column in columns}
        was |= told.get(table, {})
        shown = ", ".join(f"{expression} AS {column}" for column, expression in was.items())
        sql.run(
            f"CREATE TEMP VIEW {table} AS SELECT {shown} FROM main.{table} t"
            f" WHERE {entered} <= '{end}'"
        )
    _show_layouts(end)
    for (text,) in sql.rows("SELECT sql FROM main.sqlite_master WHERE type = 'view' ORDER BY name"):
        sql.run(str(text).replace("CREATE VIEW", "CREATE TEMP VIEW", 1))


def _show_layouts(end: str) -> None:
    """Show the layouts that were remembered then, those replaced or forgotten since among them."""
    columns = "supplier_id, layout_key, profile, made_at"
    sql.run(
        f"CREATE TEMP VIEW list_profile AS SELECT {columns} FROM main.list_profile"
        f" WHERE made_at <= '{end}' UNION ALL SELECT {columns} FROM main.list_profile_past"
        f" WHERE made_at <= '{end}' AND ended_at > '{end}'"
    )


def known_on() -> str:
    """Return the ISO day to which the open database is turned back, "" where it is as it is now."""
    if sql.first("SELECT 1 FROM temp.sqlite_master WHERE name = 'known_on'") is None:
        return ""
    [(day,)] = sql.rows("SELECT day FROM known_on")
    return str(day)


def entered_after(day: str) -> bool:
    """Say whether anything that `look_back` to that day leaves out was entered since."""
    return _is_entered(">", day)


def entered_by(day: str) -> bool:
    """Say whether anything had been entered by the end of the ISO day."""
    return _is_entered("<=", day)


def _is_entered(compared: str, day: str) -> bool:
    # Deliveries and jobs bear the day on which they were, not that of their entry.
    end, stamped = _end_of(day), ("made_at", "read_at")
    times = {"event": "at"} | {
        t: at for t, at in _ENTERED.items() if at in stamped and t not in _TOLD_OF
    }
    return any(
        sql.first(
            f"SELECT 1 FROM main.{table} WHERE {at} <> '' AND {at} {compared} ? LIMIT 1", (end,)
        )
        for table, at in times.items()
    )


def _end_of(day: str) -> str:
    """Return the last second of an ISO day as the tables write times."""
    try:
        return f"{dt.date.fromisoformat(day).isoformat()}T23:59:59Z"
    except ValueError:
        raise UsageError(f"{day!r} is no date", hint="write YYYY-MM-DD") from None


def _set_later(column: str, columns: list[str], end: str) -> str:
    when, before = _SET_LATER.get(column, ("", ""))
    if when not in columns:
        return f"t.{column}"
    return f"CASE WHEN t.{when} > '{end}' THEN {before} ELSE t.{column} END"
