"""Quotation marks inside quoted cells that nobody doubled: inch marks, mostly ("1/4" NPT")."""

from __future__ import annotations

import csv
import io
import re


def with_marks_doubled(text: str, delimiter: str) -> tuple[str, int]:
    """Return the text with such marks doubled, and the first line that had one, 0 for none.

    Only a line that breaks the rule of quoted cells by itself is touched, and only where it keeps
    the rule then.
    """
    apart = re.escape(delimiter)
    within = re.compile(rf'(?:^|{apart})"[^"\r\n{apart}]*"[^{apart}"\r\n]', re.MULTILINE)
    at_end = re.compile(rf'(?<=[^"\r\n{apart}])""(?={apart}|\r?$)', re.MULTILINE)

    def has_stray(text: str) -> bool:
        return '"' in text and bool(within.search(text) or at_end.search(text))

    if not has_stray(text) or _keeps(text, delimiter):
        return text, 0
    quoted = re.compile(rf'(^|{apart})"(.*?)"(?={apart}|$)')
    lines = text.splitlines(keepends=True)
    first = 0
    for at, line in enumerate(lines):
        body = line.rstrip("\r\n")
        if not has_stray(body) or _keeps(body, delimiter):
            continue
        doubled = quoted.sub(_doubled, body)
        if _keeps(doubled, delimiter):
            lines[at] = doubled + line[len(body) :]
            first = first or at + 1
    return ("".join(lines), first) if first else (text, 0)


def _doubled(cell: re.Match[str]) -> str:
    inner = cell[2].replace('""', '"').replace('"', '""')
    return f'{cell[1]}"{inner}"'


def _keeps(text: str, delimiter: str) -> bool:
    """Say whether every quoted cell of a text ends at a delimiter or with its line."""
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        return all(True for _ in rows)
    except csv.Error:
        return False
