"""Old binary workbooks record by record ([MS-XLS]), as programs other than xlwt may write them."""

from __future__ import annotations

import io
import struct
from collections.abc import Sequence

from xlwt.CompoundDoc import XlsDoc

BIFF8, BIFF5 = 0x0600, 0x0500
_GLOBALS, _SHEET = 0x0005, 0x0010


def record(kind: int, form: str = "", *values: object) -> bytes:
    """Return a record: its type, its size, and its data packed as `form` says."""
    data = struct.pack(f"<{form}", *values)
    return struct.pack("<HH", kind, len(data)) + data


def number(row: int, column: int, value: float, style: int = 0) -> bytes:
    return record(0x0203, "HHHd", row, column, style, value)


def rk(row: int, column: int, word: int, style: int = 0) -> bytes:
    return record(0x027E, "HHHI", row, column, style, word)


def mul_rk(row: int, column: int, words: Sequence[int], style: int = 0) -> bytes:
    cells = b"".join(struct.pack("<HI", style, word) for word in words)
    last = column + len(words) - 1
    return record(0x00BD, f"HH{len(cells)}sH", row, column, cells, last)


def formula(row: int, column: int, result: bytes, style: int = 0) -> bytes:
    """Return a formula (=1) with this result of eight bytes."""
    return record(0x0006, "HHH8sHIH3s", row, column, style, result, 0, 0, 3, b"\x1e\x01\x00")


def label(row: int, column: int, text: str, *, version: int = BIFF8, style: int = 0) -> bytes:
    wide = version == BIFF8 and any(ord(letter) > 255 for letter in text)
    data = bytes([wide]) if version == BIFF8 else b""
    data += text.encode("utf-16-le" if wide else "latin-1")
    return record(0x0204, f"HHHH{len(data)}s", row, column, style, len(text), data)


def row(index: int, *, height: int = 255, flags: int = 0) -> bytes:
    return record(0x0208, "HHHHHHHH", index, 0, 9, height, 0, 0, flags, 0)


def col_info(first: int, last: int, *, width: int = 2560, flags: int = 0) -> bytes:
    return record(0x007D, "HHHHHH", first, last, width, 0, flags, 0)


def number_format(identifier: int, code: str, *, version: int = BIFF8) -> bytes:
    if version == BIFF5:
        data = code.encode("cp1252")
        return record(0x041E, f"HB{len(data)}s", identifier, len(data), data)
    wide = any(ord(letter) > 255 for letter in code)
    data = code.encode("utf-16-le" if wide else "latin-1")
    return record(0x041E, f"HHB{len(data)}s", identifier, len(code), wide, data)


def cell_format(identifier: int = 0, *, version: int = BIFF8, font: int = 0) -> bytes:
    filler = 16 if version == BIFF8 else 12
    return record(0x00E0, f"HH{filler}x", font, identifier)


def stream(
    sheets: Sequence[tuple[str, bytes]],
    before: bytes = b"",
    *,
    version: int = BIFF8,
    charts: Sequence[str] = (),
    first: bytes | None = None,
) -> bytes:
    """Return the workbook's stream: `before` stands in the globals, the sheets' records in them.

    Sheets named in `charts` are no worksheets; `first` stands where the code page is named, if given.
    """
    named = _code_page(version) if first is None else first
    head = _begin(version, _GLOBALS) + named + before
    size = sum(len(_bound(name, 0, 0, version)) for name, _ in sheets)
    at, bounds, bodies = len(head) + size + 4, b"", b""
    for name, records in sheets:
        bounds += _bound(name, at + len(bodies), 2 * (name in charts), version)
        bodies += _begin(version, _SHEET) + records + record(0x000A)
    return head + bounds + record(0x000A) + bodies


def _code_page(version: int) -> bytes:
    return record(0x0042, "H", 1200 if version == BIFF8 else 1252)


def _begin(version: int, kind: int) -> bytes:
    return record(0x0809, "HHHH8x" if version == BIFF8 else "HHHH", version, kind, 0, 0)


def _bound(name: str, at: int, kind: int, version: int) -> bytes:
    data = (b"\0" if version == BIFF8 else b"") + name.encode("latin-1")
    return record(0x0085, f"IBBB{len(data)}s", at, 0, kind, len(name), data)


def container(records: bytes) -> bytes:
    """Return the compound file around a workbook's stream."""
    out = io.BytesIO()
    XlsDoc().save(out, records)
    return out.getvalue()
