"""A list as plain tuples, and back: what crosses from the child process that parsed the file.

Only text, numbers, tuples and dicts cross, so that a parser that a file took over could send
nothing that runs here.
"""

from __future__ import annotations

import marshal
from typing import Any

from importers.rows import Alarm, Column, ListRow, PriceListText, Profile, ReaderError, RowKind


def to_bytes(read: PriceListText | ReaderError) -> bytes:
    """Return a list, or the refusal of one, as bytes."""
    if isinstance(read, ReaderError):
        return marshal.dumps(("refused", read.message, read.place, read.hint))
    rows = [
        (str(r.kind), r.sheet, r.row, r.fields, r.amounts, r.section, r.notes, r.cells)
        for r in read.rows
    ]
    alarms = [(alarm.text, alarm.key) for alarm in read.alarms]
    head = (read.file_name, read.sha256, read.reader, read.assumptions, read.skipped, alarms)
    return marshal.dumps(("read", *head, [_profile(each) for each in read.profiles], rows))


def from_bytes(data: bytes) -> PriceListText:
    """Return the list; raise the ReaderError that was sent instead, ValueError for anything else.

    marshal raises EOFError, TypeError or ValueError for bytes that are none of its own.
    """
    kind, *rest = marshal.loads(data)
    if kind == "refused":
        message, place, hint = rest
        raise ReaderError(message, place=place, hint=hint)
    name, sha256, reader, assumptions, skipped, alarms, profiles, rows = rest
    kinds = {str(each): each for each in RowKind}
    return PriceListText(
        file_name=name,
        sha256=sha256,
        reader=reader,
        rows=tuple(ListRow(kinds[row[0]], *row[1:]) for row in rows),
        profiles=tuple(_to_profile(each) for each in profiles),
        assumptions=assumptions,
        skipped=skipped,
        alarms=tuple(Alarm(*alarm) for alarm in alarms),
    )


def _profile(profile: Profile) -> tuple[Any, ...]:
    columns = tuple((c.index, c.heading, c.meaning, c.unit) for c in profile.columns)
    return (columns, profile.header_row, profile.sheet, profile.delimiter, profile.encoding,
            profile.decimal_mark, profile.currency, profile.price_per, profile.units,
            profile.confirmed, profile.settled)  # fmt: skip


def _to_profile(data: tuple[Any, ...]) -> Profile:
    columns, *rest = data
    return Profile(tuple(Column(*column) for column in columns), *rest)
