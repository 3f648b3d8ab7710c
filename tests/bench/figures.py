"""Prints what a benchmark measured: a table for people, then one JSON object for programs."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from typing import Any


def table(headings: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    """Print rows under headings, figures to the right."""
    cells = [[_shown(cell) for cell in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(headings, *cells, strict=True)]
    for row in [list(headings), ["-" * width for width in widths], *cells]:
        first, *rest = zip(row, widths, strict=True)
        print(first[0].ljust(first[1]), *(cell.rjust(width) for cell, width in rest), sep="  ")


def _shown(cell: Any) -> str:
    return (
        f"{cell:.4f}"
        if isinstance(cell, float)
        else f"{cell:,}"
        if isinstance(cell, int)
        else str(cell)
    )


def targets(rows: Sequence[tuple[str, float, str, float]]) -> dict[str, bool]:
    """Print figure against target, "<=" or ">=", and return which are met."""
    met = {
        name: value <= bound if sign == "<=" else value >= bound
        for name, value, sign, bound in rows
    }
    shown = [
        (name, f"{value:.4g}", f"{sign} {bound:g}", "met" if met[name] else "NOT MET")
        for name, value, sign, bound in rows
    ]
    table(("target", "reached", "wanted", ""), shown)
    return met


def finish(figures: dict[str, Any]) -> None:
    """Print the figures as the last line."""
    print(json.dumps(figures, sort_keys=True))


def missing(what: str) -> None:
    """Say plainly that the data are not there, and stop with success: nothing was measured."""
    print(f"not measured: {what} is not there; give its folder as an argument")
    finish({"measured": False, "missing": str(what)})
    sys.exit(0)
