"""The recall sheet: as text for the terminal, as a page to print, as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section
from partsdb.rules.counting import counted

_LOTS = (
    "lot", "part", "supplier", "supplier_label", "order_ref", "document", "received_at", "bin",
    "state", "on_hand", "balance", "holds",
)  # fmt: skip
_MACHINES = (
    "customer_ref", "machine", "serial", "job", "fitted_at", "position", "part", "units", "lot",
    "came_back", "inside",
)  # fmt: skip
_EVIDENCE = ("document", "part", "what", "fitted")
_PARTS = ("part", "description", "labels")
_WRAP = ("balance", "what", "document", "part", "position", "inside", "holds", "description")
_MAY = "Machines that may carry it: no lot of it is named"


def trace_text(answer: object, width: int) -> str:
    """Return the recall sheet."""
    facts: dict[str, Any] = plain(answer)
    return paragraphs(
        [
            card(_head(facts), width),
            section("To do", bullets(facts["to_do"], width)) if facts["to_do"] else "",
            section("Whoever has one, now", bullets(facts["now"], width)) if facts["now"] else "",
            *(
                section(title, listing(rows, width, wrap=_WRAP)) if rows else ""
                for title, rows in _tables(facts)
            ),
        ]
    )


def _head(facts: Mapping[str, Any]) -> dict[str, Any]:
    total = facts["total"]
    units = sum(each["units"] for each in facts["machines"])
    return {
        "recall of": facts["about"],
        "reason": facts["reason"],
        "as of": facts["as_of"],
        "received": total["received"],
        "fitted": f"{total['fitted']} ({counted(units, 'unit')} listed below)",
        "built into kits": total["built_in"] or "",
        "written off": total["written_off"],
        "returned": total["returned"],
        "on hand": facts["on_hand"],
        "gap": f"{total['gap']}: these units are not accounted for" if total["gap"] else "none",
        "customers": facts["customers"] or "none named",
        "remedy": facts["remedy"],
        "contact": facts["contact"],
    }


def _tables(facts: Mapping[str, Any]) -> list[tuple[str, list[dict[str, Any]]]]:
    return [
        ("What is recalled", [_only(row, _PARTS) for row in facts["parts"]]),
        ("Lots", [_only(row, _LOTS) for row in facts["lots"]]),
        ("Machines that carry it", [_only(row, _MACHINES) for row in facts["machines"]]),
        (_MAY, [_only(row, _MACHINES) for row in facts["may_carry"]]),
        (
            "Accepted on the same evidence",
            [_only(row, _EVIDENCE) for row in facts["same_evidence"]],
        ),
    ]


def _only(row: Mapping[str, Any], names: Sequence[str]) -> dict[str, Any]:
    return {name: row[name] for name in names}


def trace_rows(answer: object) -> list[dict[str, Any]]:
    """Return one row per fitting, for CSV; `certain` is no where the fitting names no lot."""
    facts: dict[str, Any] = plain(answer)
    return [
        {"certain": certain, **_only(row, _MACHINES)}
        for certain, rows in (("yes", facts["machines"]), ("no", facts["may_carry"]))
        for row in rows
    ]


# Filled in by hand: proof of notice and what was found (handbook 7).
_TICKED = ("told on, by", "found", "done")
_STYLE = """
body { font: 11pt/1.4 sans-serif; margin: 2em; color: #000; background: #fff; }
h1 { font-size: 16pt; } h2 { font-size: 12pt; margin: 1.5em 0 .3em; }
table { border-collapse: collapse; width: 100%; } thead { display: table-header-group; }
th, td { border: 1px solid #777; padding: .2em .4em; text-align: left; vertical-align: top; }
th { background: #eee; } tr { break-inside: avoid; }
td.done { width: 5em; } .caution { border: 2px solid #000; padding: .5em 1em; }
@media print { body { margin: 0; } }
"""


def trace_html(answer: object) -> str:
    """Return the recall sheet as one page to print, with columns to fill in for each machine."""
    facts: dict[str, Any] = plain(answer)
    head = "".join(
        f"<tr><th>{escape(name)}</th><td>{_cell(value)}</td></tr>"
        for name, value in _head(facts).items()
        if value not in ("", None)
    )
    tables = "".join(
        f"<h2>{escape(title)}</h2>{_table(rows, to_tick='achine' in title)}"
        for title, rows in _tables(facts)
        if rows
    )
    to_do = "".join(f"<li>{escape(each)}</li>" for each in facts["to_do"])
    cautions = "".join(f"<p>{escape(each)}</p>" for each in facts["cautions"])
    now = "".join(f"<li>{escape(each)}</li>" for each in facts["now"])
    title = f"Recall of {escape(facts['about'])}"
    return (
        f"<!doctype html><html lang='en'><head><meta charset='utf-8'><title>{title}</title>"
        f"<style>{_STYLE}</style></head><body><h1>{title}</h1><table>{head}</table>"
        f"<h2>Whoever has one, now</h2><ol>{now}</ol>"
        f"<h2>To do</h2><ol>{to_do}</ol>{tables}<h2>Safety</h2>"
        f"<div class='caution'>{cautions}</div>"
        "<p>Checked by: ______________________ on: ______________</p></body></html>\n"
    )


def _table(rows: Sequence[Mapping[str, Any]], *, to_tick: bool) -> str:
    columns = list(rows[0])
    head = "".join(f"<th>{escape(column.replace('_', ' '))}</th>" for column in columns)
    body = "".join(
        "<tr>"
        + "".join(f"<td>{_cell(row[column])}</td>" for column in columns)
        + ("<td class='done'></td>" * len(_TICKED) if to_tick else "")
        + "</tr>"
        for row in rows
    )
    tick = "".join(f"<th>{escape(each)}</th>" for each in _TICKED) if to_tick else ""
    return f"<table><thead><tr>{head}{tick}</tr></thead><tbody>{body}</tbody></table>"


def _cell(value: Any) -> str:
    text = "; ".join(map(str, value)) if isinstance(value, list) else str(value)
    return escape(text)
