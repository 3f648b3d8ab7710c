"""How a supplier's lists are laid out, as text: settings, and each column with what is in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section

_TAXED = {"": "", "0": "none: they are net, as a person said"}
_MARKS = {";": "semicolon", ",": "comma", "\t": "tab", "|": "vertical bar"}


def layout_text(answer: object, width: int) -> str:
    """Return how a file is read, what is open and what was assumed."""
    facts: dict[str, Any] = plain(answer)
    state = "remembered" if facts["saved"] else "nothing stored; --save remembers it"
    head = card({"list": facts["file"], "supplier": facts["supplier"], "layout": state}, width)
    blocks = (
        ("To settle before the list can be read", facts["alarms"]),
        ("Not as remembered", facts["drift"]),
        ("What was assumed", facts["assumptions"]),
        ("Left out", facts["skipped"]),
    )
    told = [section(title, bullets(lines, width)) for title, lines in blocks if lines]
    return paragraphs([head, *(_table_text(each, width) for each in facts["tables"]), *told])


def remembered_text(supplier: str, layouts: Sequence[object], width: int) -> str:
    """Return the layouts that are remembered, each with its number."""
    found: list[dict[str, Any]] = [plain(each) for each in layouts]
    if not found:
        return f"no layout of {supplier} is remembered yet"
    return paragraphs(
        [
            text
            for each in found
            for table in each["tables"]
            for text in (f"layout {each['number']} of {supplier}", _table_text(table, width))
        ]
    )


def column_rows(tables: Sequence[object]) -> list[dict[str, Any]]:
    """Return one row for each column of the tables, for CSV and spreadsheets."""
    return [
        {"table": table["place"], **column, "samples": "; ".join(column["samples"])}
        for table in plain(list(tables))
        for column in table["columns"]
    ]


def _table_text(table: Mapping[str, Any], width: int) -> str:
    columns = [
        {
            "column": each["column"],
            "heading": each["heading"],
            "meaning": each["meaning"] or "-",
            "says": each["unit"],
            "filled": "" if each["filled"] is None else f"{each['filled']} %",
            "for example": " | ".join(each["samples"]),
        }
        for each in table["columns"]
    ]
    shown = listing(columns, width, wrap=("heading", "for example"))
    return section(f"Table at {table['place']}", paragraphs([_settings(table, width), shown]))


def _settings(table: Mapping[str, Any], width: int) -> str:
    units = ", ".join(
        written if written == code else f"{written} = {code or 'not known'}"
        for written, code in table["units"]
    )
    priced = "" if table["rows"] is None else f"{table['rows']}, {table['priced']} with a net price"
    return card(
        {
            "header row": table["header_row"],
            "articles": priced,
            "columns separated by": _MARKS.get(table["delimiter"], table["delimiter"]),
            "encoding": table["encoding"],
            "decimal mark": table["decimal_mark"],
            "currency": table["currency"] or "not named",
            "price is per": table["price_per"] or "row, or 1",
            "tax in the prices": _TAXED.get(table["tax"], f"{table['tax']} %, taken out"),
            "discount": table["discount"],
            "units of sale": units,
            "settled by": table["confirmed"] or "nobody: assumed",
        },
        width,
    )
