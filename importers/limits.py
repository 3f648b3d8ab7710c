"""How large a price list may be before it is refused; every refusal names the limit it met."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from importers.rows import ReaderError


@dataclass(frozen=True, slots=True)
class Limits:
    """Upper bounds for one file.

    `ratio` is unpacked bytes over packed bytes of a workbook; `segments` are those of EDIFACT and
    X12, `elements` those of a UBL catalogue, `depth` that of any XML; `seconds` and `memory_bytes`
    bound the child process.
    """

    file_bytes: int = 64 * 1024 * 1024
    unpacked_bytes: int = 768 * 1024 * 1024
    ratio: int = 250
    parts: int = 5_000
    tables: int = 200
    rows: int = 500_000
    columns: int = 512
    cell_chars: int = 32_767
    segments: int = 5_000_000
    depth: int = 60
    elements: int = 20_000_000
    pages: int = 1_000
    seconds: int = 300
    memory_bytes: int = 3 * 1024 * 1024 * 1024


DEFAULT = Limits()
# What a limit counts, where its name alone does not say so.
_TOLD = {
    "ratio": "so many times its size the file has unpacked: it may be made to fill the memory",
    "unpacked_bytes": "the size of the file unpacked",
    "parts": "files packed into the workbook",
    "cell_chars": "letters in one cell",
    "depth": "elements within each other",
    "elements": "elements of the document",
    "segments": "segments of the message",
    "memory_bytes": "what reading the file takes at most",
}
# The environment variable that raises limits: "rows=900000,columns=600".
VARIABLE = "PARTSDB_LIMITS"


def current() -> Limits:
    """Return the default limits with those changed that the environment variable names."""
    changed: dict[str, int] = {}
    known = {each.name for each in fields(Limits)}
    for each in filter(None, os.environ.get(VARIABLE, "").replace(" ", "").split(",")):
        name, _, number = each.partition("=")
        if name not in known or not number.isdecimal() or not int(number):
            raise ReaderError(
                f"{each!r} is no limit",
                place=VARIABLE,
                hint=f"write NAME=NUMBER; the names are {', '.join(sorted(known))}",
            )
        changed[name] = int(number)
    return replace(DEFAULT, **changed)


def refuse(limit: str, found: int, allowed: int, *, place: str) -> ReaderError:
    """Return the refusal for one limit, saying how to raise it."""
    words = limit.replace("_", " ")
    told = f" ({_TOLD[limit]})" if limit in _TOLD else ""
    return ReaderError(
        f"{words}: {found} is over the limit of {allowed}{told}",
        place=place,
        hint=f"if you trust the file, set {VARIABLE}={limit}={found} and read again, or split it",
    )


def check_cells(cells: Sequence[str], limits: Limits, *, place: str) -> None:
    """Refuse a row with too many cells or with a cell that is too long."""
    if len(cells) > limits.columns:
        raise refuse("columns", len(cells), limits.columns, place=place)
    longest = max(map(len, cells), default=0)
    if longest > limits.cell_chars:
        raise refuse("cell_chars", longest, limits.cell_chars, place=place)


def used_up(limit: str, allowed: int, *, place: str) -> ReaderError:
    """Return the refusal of a file that was given up: how much it would take, nobody knows."""
    words = limit.replace("_", " ")
    return ReaderError(
        f"{words}: the file could not be read within the limit of {allowed}",
        place=place,
        hint=f"if you trust the file, set {VARIABLE}={limit}={2 * allowed or 60} and read again, "
        "or split it",
    )
