"""Plain tables for wide terminals, cards for narrow ones; nothing is ever cut."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain

CARDS_UNDER = 100  # columns
_GAP = 2
_NARROWEST_WRAP = 20


def listing(
    rows: Sequence[Mapping[str, Any]],
    width: int,
    *,
    wrap: Sequence[str] = (),
    nothing: str = "nothing found",
) -> str:
    """Return rows as one table, or as a card each where the table has no room.

    The columns named in `wrap` may be broken over lines (descriptions, reasons); all others, part
    numbers above all, stand whole.
    """
    if not rows:
        return nothing
    columns = _telling(rows)
    cells = [[_text(row.get(column)) for column in columns] for row in rows]
    widths = _widths(columns, cells, width, wrap)
    if width < CARDS_UNDER or sum(widths) + _GAP * (len(widths) - 1) > width:
        return "\n\n".join(card(row, width) for row in rows)
    return _table(columns, cells, widths, wrap)


def card(facts: Mapping[str, Any], width: int) -> str:
    """Return one thing as "name  value" lines, empty values left out, long ones broken."""
    told = {_label(name): _text(value) for name, value in facts.items()}
    told = {name: value for name, value in told.items() if value}
    label = max(map(len, told), default=0) + _GAP
    lines = []
    for name, value in told.items():
        room = max(width - label, _NARROWEST_WRAP)
        broken = [part for line in value.splitlines() for part in _broken(line, room)]
        lines.append(f"{name:<{label}}{broken[0]}")
        lines += [" " * label + part for part in broken[1:]]
    return "\n".join(lines)


def section(title: str, body: str) -> str:
    """Return a titled block."""
    return f"{title}\n{'-' * len(title)}\n{body}"


def paragraphs(blocks: Sequence[str]) -> str:
    """Return the blocks that say something, one empty line between them."""
    return "\n\n".join(block for block in blocks if block)


def wrapped(text: str, width: int) -> str:
    """Return a sentence broken at blanks."""
    return "\n".join(_broken(text, max(width, _NARROWEST_WRAP))) if text else ""


def bullets(lines: Sequence[str], width: int) -> str:
    """Return each line as an item of a list, broken at blanks."""
    return "\n".join(
        textwrap.fill(line, max(width, _NARROWEST_WRAP), initial_indent="- ",
                      subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
        for line in lines
    )  # fmt: skip


def _telling(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return the columns that have a value in any row."""
    columns = dict.fromkeys(key for row in rows for key in row)
    return [column for column in columns if any(_text(row.get(column)) for row in rows)]


def _label(name: str) -> str:
    return name.replace("_", " ")


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return "; ".join(_text(each) for each in value)
    return " ".join(str(plain(value)).split(" "))


def _broken(text: str, room: int) -> list[str]:
    # Hyphens stand in part numbers, and a long word may be one: neither is a place to break.
    return textwrap.wrap(text, room, break_long_words=False, break_on_hyphens=False) or [""]


def _widths(
    columns: Sequence[str], cells: Sequence[Sequence[str]], width: int, wrap: Sequence[str]
) -> list[int]:
    """Return each column's width; the wrapping ones share what the others leave."""
    widths = [max(len(_label(c)), *(len(row[i]) for row in cells)) for i, c in enumerate(columns)]
    loose = [i for i, column in enumerate(columns) if column in wrap]
    fixed = sum(w for i, w in enumerate(widths) if i not in loose) + _GAP * (len(widths) - 1)
    loose.sort(key=lambda i: widths[i])  # what a short column leaves goes to the longer ones
    for done, i in enumerate(loose):
        share = max((width - fixed) // (len(loose) - done), _NARROWEST_WRAP)
        widths[i] = min(widths[i], share)
        fixed += widths[i]
    return widths


def _table(
    columns: Sequence[str],
    cells: Sequence[Sequence[str]],
    widths: Sequence[int],
    wrap: Sequence[str],
) -> str:
    from tabulate import tabulate

    broken = [
        [
            "\n".join(_broken(cell, widths[i])) if columns[i] in wrap else cell
            for i, cell in enumerate(row)
        ]
        for row in cells
    ]
    numeric = [all(_is_number(row[i]) for row in cells) for i in range(len(columns))]
    return str(
        tabulate(
            broken,
            headers=[_label(column) for column in columns],
            tablefmt="simple",
            disable_numparse=True,
            colalign=["right" if each else "left" for each in numeric],
        )
    )


def _is_number(text: str) -> bool:
    return not text or text.removeprefix("-").replace(".", "", 1).isdecimal()
