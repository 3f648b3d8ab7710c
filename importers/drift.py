"""A remembered layout against a file: does the profile still fit, and if not, what moved."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from importers.rows import Column, PriceListText, Profile, column_letters


def layout_key(text: PriceListText) -> str:
    """Return a short key of a list's layout: sheets, headings and meanings, in order.

    Two lists with the same key can be read with the same profiles.
    """
    parts = [
        "\x1f".join((profile.sheet, *(f"{c.index}\x1e{c.heading}\x1e{c.meaning}" for c in columns)))
        for profile in text.profiles
        for columns in (profile.columns,)
    ]
    return hashlib.sha256("\x1d".join(parts).encode()).hexdigest()[:16]


def best_profile(
    columns: list[Column], sheet: str, profiles: tuple[Profile, ...]
) -> Profile | None:
    """Return the profile that shares most headings with a table; the same sheet wins a tie.

    A trade document has no header row, and so nothing to remember for a table.
    """
    headings = {_folded(c.heading) for c in columns}

    def shared(profile: Profile) -> tuple[int, bool]:
        common = sum(_folded(c.heading) in headings for c in profile.columns if c.heading)
        return common, profile.sheet == sheet

    return max((p for p in profiles if p.header_row), key=shared, default=None)


def apply_profile(
    columns: list[Column], profile: Profile, *, place: str
) -> tuple[list[Column], list[str]]:
    """Return the columns with the profile's meanings, and one sentence per drift found.

    A column of the profile is found by its heading wherever it stands; one that vanished is named,
    and what was proposed for the others stays.
    """
    remembered = {_folded(c.heading): c for c in profile.columns if c.heading}
    here = {_folded(c.heading): c for c in columns if c.heading}
    said = [_missing(c, place) for key, c in remembered.items() if key not in here]
    taken = {c.meaning for key, c in remembered.items() if key in here} - {"other"}
    result = []
    for column in columns:
        known = remembered.get(_folded(column.heading))
        if known is None:
            doubled = column.meaning in taken
            result.append(replace(column, meaning="other") if doubled else column)
            if column.heading:
                said.append(f'layout drift: {place} has a new column "{column.heading}"')
            continue
        if known.index != column.index:
            said.append(_moved(known, column, place))
        result.append(replace(column, meaning=known.meaning, unit=column.unit or known.unit))
    return result, said


def delimiter_drift(delimiter: str, profiles: tuple[Profile, ...]) -> list[str]:
    """Return the sentence that a text list now separates its columns another way, if it does."""
    remembered = sorted({repr(p.delimiter) for p in profiles if p.delimiter})
    if not delimiter or not remembered or repr(delimiter) in remembered:
        return []
    before = " or ".join(remembered)
    return [f"layout drift: columns are separated by {delimiter!r}, remembered was {before}"]


def _missing(column: Column, place: str) -> str:
    return (
        f'layout drift: {place} no longer has the column "{column.heading}" '
        f"({column.meaning}) of the remembered layout"
    )


def _moved(known: Column, column: Column, place: str) -> str:
    return (
        f'layout drift: column "{column.heading}" of {place} moved '
        f"from {column_letters(known.index)} to {column_letters(column.index)}"
    )


def _folded(heading: str) -> str:
    return " ".join(heading.split()).casefold()
