"""References to cells as workbooks write them: "B14", "B14:D20"."""

from __future__ import annotations

import re

from importers.rows import column_letters
from importers.wording import counted

_CORNER = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_COLUMNS: dict[str, int] = {}


def area(ref: str) -> tuple[int, int, int, int] | None:
    """Return (first row, first column, last row, last column), rows 1-based, columns 0-based."""
    found = [_CORNER.fullmatch(corner) for corner in ref.split(":")]
    if len(found) != 2 or not found[0] or not found[1]:
        return None
    (left, top), (right, bottom) = found[0].groups(), found[1].groups()
    return int(top), _index(left), int(bottom), _index(right)


def column(ref: str) -> int:
    """Return the 0-based column of "B14"; raise ValueError when it is no reference."""
    letters = ref.rstrip("0123456789")
    index = _COLUMNS.get(letters)
    if index is None:
        if not re.fullmatch(r"[A-Z]{1,3}", letters):
            raise ValueError(ref)
        index = _COLUMNS[letters] = _index(letters)
    return index


def _index(letters: str) -> int:
    index = 0
    for letter in letters:
        index = index * 26 + ord(letter) - 64
    return index - 1


def ranges(numbers: list[int]) -> str:
    """Return 5-7, 9 for [5, 6, 7, 9]; at most eight pieces."""
    pieces: list[list[int]] = []
    for number in numbers:
        if pieces and pieces[-1][1] == number - 1:
            pieces[-1][1] = number
        else:
            pieces.append([number, number])
    texts = [str(a) if a == b else f"{a}-{b}" for a, b in pieces]
    return ", ".join(texts[:8]) + (" …" if len(texts) > 8 else "")


def hidden_said(sheet: str, rows: list[int], columns: set[int]) -> list[str]:
    """Return one sentence each on the hidden rows and columns of a sheet that held cells."""
    said = []
    if rows:
        hidden = f"{len(rows)} hidden row{'s' if len(rows) > 1 else ''}"
        said.append(f'sheet "{sheet}": {hidden} not read ({ranges(rows)})')
    if columns:
        letters = ", ".join(column_letters(index) for index in sorted(columns))
        said.append(f'sheet "{sheet}": hidden columns not read ({letters})')
    return said


def white_said(sheet: str, cells: list[str]) -> list[str]:
    """Return a sentence on the cells of a sheet that are written in white, if there are any."""
    if not cells:
        return []
    named = ", ".join(cells[:8]) + (" …" if len(cells) > 8 else "")
    return [f'sheet "{sheet}": {counted(len(cells), "cell")} in white not read ({named})']
