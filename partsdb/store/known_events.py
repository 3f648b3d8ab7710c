"""What the history tells of tables that keep no time: as they were at the end of a day.

Settings, recipes, the shop's facts about parts, the contents of kits and whether an offer waits
are written over when they change; the event of each change holds what was there before. What came
into being later stays to be seen: it is what was changed that is turned back.
"""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.store import sql

# Column -> the expression of what it was; `t` is the table of the database.
Expressions = dict[str, str]

# Session table -> the events that tell what was there: action, subject, whom it is about. Of each
# the first after the day counts, for it holds what stood at its end.
_TOLD = {
    "setting_was": ("set", "setting", "json_extract(detail, '$.name')"),
    "recipe_was": ("change", "recipe", "subject_id"),
    "part_was": ("change", "part", "subject_id"),
    "contents_was": ("contents", "part", "subject_id"),
}
_RECIPE = (
    "name", "currency", "machine_id", "minutes", "hourly_minor", "comeback_minutes",
    "comeback_carriage_minor", "comeback_goodwill_minor", "waiting_day_minor",
)  # fmt: skip
_RECIPE_ITEM = ("part_id", "position_id", "quantity")
# A part that a list brought and that the shop took over since was not the shop's own.
_PART = ("description", "role", "weight_g", "origin", "heading", "price_list_id")
_KIT_ITEM = ("item", "role", "quantity", "kind", "material", "size")
_STATED = (
    "CASE WHEN t.id IN (SELECT whom FROM contents_was) THEN (SELECT iif(was = '[]', 0,"
    " coalesce(stated, 1)) FROM contents_was WHERE whom = t.id) ELSE t.contents_stated END"
)
_HELD = (
    "coalesce((SELECT r.why FROM released_since r WHERE r.list_id = t.price_list_id"
    " AND r.code = t.code), t.held)"
)


def turned_back(end: str) -> dict[str, Expressions]:
    """Return by table what its columns were at the time `end`, where the history tells otherwise.

    Makes the session's tables that the expressions ask, and the views of the tables whose rows
    were replaced as a whole.
    """
    told = {name for name, source in _TOLD.items() if _gathered(name, source, end)}
    part: Expressions = {}
    if "setting_was" in told:
        _show_settings()
    if "recipe_was" in told:
        _show_items("recipe_item", ("recipe_id", "recipe_was", "$.items"), _RECIPE_ITEM)
    if "part_was" in told:
        part |= {column: _was("part_was", column) for column in _PART}
        # Events of before there was such a column say nothing of it.
        part["packed_mm"] = f"coalesce({_was('part_was', 'packed_mm')}, '')"
    if "contents_was" in told:
        _show_items("kit_item", ("part_id", "contents_was", "$"), _KIT_ITEM)
        part |= {"contents_stated": _STATED}
    recipe = {c: _was("recipe_was", c) for c in _RECIPE} if "recipe_was" in told else {}
    if recipe:
        recipe["consumables_minor"] = f"coalesce({_was('recipe_was', 'consumables_minor')}, 0)"
    return {"part": part, "recipe": recipe, "offer": _held(end)}


def _gathered(name: str, source: tuple[str, str, str], end: str) -> bool:
    """Make the session's table of one kind of change; tell whether there was any."""
    action, kind, whom = source
    sql.run(
        f"CREATE TEMP TABLE {name} AS SELECT {whom} AS whom, json_extract(detail, '$.was') AS was,"
        " json_extract(detail, '$.stated') AS stated, min(id) AS event_id FROM main.event"
        f" WHERE at > ? AND action = ? AND subject_kind = ? GROUP BY {whom}",
        (end, action, kind),
    )
    return sql.first(f"SELECT 1 FROM {name}") is not None


def _held(end: str) -> Expressions:
    sql.run(
        "CREATE TEMP TABLE released_since AS SELECT e.subject_id AS list_id, j.key AS code,"
        " j.value AS why FROM main.event e, json_each(e.detail, '$.lines') j WHERE e.at > ?"
        " AND e.action = 'accept changes' AND e.subject_kind = 'price list'",
        (end,),
    )
    return {"held": _HELD} if sql.first("SELECT 1 FROM released_since") else {}


def _show_settings() -> None:
    # What was never set before has '' for what it was.
    sql.run(
        "CREATE TEMP VIEW setting AS SELECT name, value FROM main.setting"
        " WHERE name NOT IN (SELECT whom FROM setting_was)"
        " UNION ALL SELECT whom, was FROM setting_was WHERE was <> ''"
    )


def _was(told: str, column: str) -> str:
    return (
        f"CASE WHEN t.id IN (SELECT whom FROM {told}) THEN (SELECT"
        f" json_extract(was, '$.{column}') FROM {told} WHERE whom = t.id) ELSE t.{column} END"
    )


def _show_items(table: str, owner: tuple[str, str, str], columns: Sequence[str]) -> None:
    """Rows that belong to one thing, and were replaced together: the event lists the former."""
    column, told, place = owner
    values = ", ".join(f"json_extract(j.value, '$.{name}')" for name in columns)
    sql.run(
        f"CREATE TEMP VIEW {table} AS SELECT id, {column}, {', '.join(columns)}"
        f" FROM main.{table} WHERE {column} NOT IN (SELECT whom FROM {told})"
        f" UNION ALL SELECT j.key, w.whom, {values} FROM {told} w, json_each(w.was, '{place}') j"
    )
