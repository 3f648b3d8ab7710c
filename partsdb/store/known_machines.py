"""What the history tells of machines and their positions, which keep no time themselves.

A machine or position that was added later stays to be seen, as parts do; what was changed is turned
back: role and demands of a position, the parts that it calls for, a machine's kind and service.
"""

from __future__ import annotations

from partsdb.store import sql

_TOLD = {
    "machine_was": ("machine", "$.was"),
    "position_was": ("position", "$.was"),
    "called_was": ("position", "$.called_before"),
}
# Kind and meaning of a demand -> where the event's plain data have it.
_SINGLE = {
    ("pressure", ""): "pressure",
    ("pressure", "stall"): "stall",
    ("pressure", "overshoot percent"): "overshoot_percent",
    ("temp_c_max", ""): "temp_c_max",
    ("block_material", ""): "block_material",
}
_LISTED = {"fluid": "fluids", "port": "ports"}
_PAIRS = {"material": "materials", "size": "sizes"}


def show_machines(end: str) -> None:
    """Make the session's views of machines and positions as they stood at the time `end`."""
    told = {name for name, (kind, place) in _TOLD.items() if _gathered(name, kind, place, end)}
    if "machine_was" in told:
        _show("machine", "machine_was", ("kind", "serviced"))
    if "position_was" in told:
        _show("position", "position_was", ("role",))
        _show_demands()
    if "called_was" in told:
        _show_called()


def _gathered(name: str, kind: str, place: str, end: str) -> bool:
    """Make the session's table of one kind of change; the first after the day tells what was."""
    sql.run(
        f"CREATE TEMP TABLE {name} AS SELECT subject_id AS whom,"
        f" json_extract(detail, '{place}') AS was, min(id) AS event_id FROM main.event"
        f" WHERE at > ? AND action = 'change' AND subject_kind = '{kind}'"
        f" AND json_type(detail, '{place}') IS NOT NULL GROUP BY subject_id",
        (end,),
    )
    return sql.first(f"SELECT 1 FROM {name}") is not None


def _show(table: str, told: str, columns: tuple[str, ...]) -> None:
    known = [str(row[1]) for row in sql.rows(f"PRAGMA main.table_info({table})")]
    shown = ", ".join(
        f"iif(w.whom IS NULL, t.{column}, json_extract(w.was, '$.{column}')) AS {column}"
        if column in columns
        else f"t.{column} AS {column}"
        for column in known
    )
    sql.run(
        f"CREATE TEMP VIEW {table} AS SELECT {shown} FROM main.{table} t"
        f" LEFT JOIN {told} w ON w.whom = t.id"
    )


def _show_demands() -> None:
    """Show what the events say was demanded; the figures are read from what was written."""
    each = "SELECT 0, whom, '{}', '{}', json_extract(was, '$.{}'), NULL FROM position_was"
    single = [
        each.format(kind, about, name) + f" WHERE json_extract(was, '$.{name}') IS NOT NULL"
        for (kind, about), name in _SINGLE.items()
    ]
    listed = [
        f"SELECT j.key, w.whom, '{kind}', '', j.value, NULL"
        f" FROM position_was w, json_each(w.was, '$.{name}') j"
        for kind, name in _LISTED.items()
    ]
    pairs = [
        f"SELECT j.key, w.whom, '{kind}', json_extract(j.value, '$[0]'),"
        f" json_extract(j.value, '$[1]'), NULL FROM position_was w, json_each(w.was, '$.{name}') j"
        for kind, name in _PAIRS.items()
    ]
    sql.run(
        "CREATE TEMP VIEW position_demand AS SELECT id, position_id, kind, about, value, pascals"
        " FROM main.position_demand WHERE position_id NOT IN (SELECT whom FROM position_was)"
        f" UNION ALL {' UNION ALL '.join([*single, *listed, *pairs])}"
    )


def _show_called() -> None:
    # Events of before this was told say nothing of it: what is called for stays as it is.
    sql.run(
        "CREATE TEMP VIEW position_part AS SELECT position_id, part_id, quantity"
        " FROM main.position_part WHERE position_id NOT IN (SELECT whom FROM called_was)"
        " UNION ALL SELECT w.whom, json_extract(j.value, '$.part_id'),"
        " json_extract(j.value, '$.quantity') FROM called_was w, json_each(w.was) j"
    )
