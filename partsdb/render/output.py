"""One place that turns an answer into JSON (the contract's envelope) or CSV text."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from enum import Enum
from functools import cache
from json.encoder import encode_basestring
from typing import Any

SCHEMA = 1
# A spreadsheet runs a cell that begins so as a formula; an apostrophe makes it text again.
_RUNS = ("=", "+", "-", "@", "\t")
_AS_IT_IS = frozenset((str, int, float, bool, type(None)))
_NUMERIC = re.compile(r"[+-]?\d+([.,]\d+)?", re.ASCII)


def plain(value: Any) -> Any:
    """Return `value` as JSON knows it: dataclasses and named tuples as objects, others as lists."""
    kind = type(value)
    if kind in _AS_IT_IS:
        return value
    if names := _fields_of(kind):
        return {name: plain(getattr(value, name)) for name in names}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Mapping):
        return {str(plain(key)): plain(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, (set, frozenset)):
        return sorted((plain(each) for each in value), key=str)
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    return str(value)


@cache
def _fields_of(kind: type) -> tuple[str, ...]:
    """Return the names of the fields of a dataclass or named tuple, none of any other class."""
    if dataclasses.is_dataclass(kind):
        return tuple(field.name for field in dataclasses.fields(kind))
    named: tuple[str, ...] = getattr(kind, "_fields", ()) if issubclass(kind, tuple) else ()
    return named


def envelope(data: Any, cautions: Iterable[str] = ()) -> str:
    """Return the JSON object of a successful answer."""
    return _json({"schema": SCHEMA, "ok": True, "data": plain(data), "cautions": list(cautions)})


def failure(code: str, message: str, hint: str = "") -> str:
    """Return the JSON object of a refusal or failure."""
    error = {"code": code, "message": message, "hint": hint}
    return _json({"schema": SCHEMA, "ok": False, "error": error})


def _json(whole: dict[str, Any]) -> str:
    return _written(whole, "\n")


def _written(value: Any, margin: str) -> str:
    """Return what json.dumps writes with indent=2: that one takes thrice as long over long lists.

    `margin` is the line break and blanks in front of what surrounds the value; a number that JSON
    does not know raises ValueError.
    """
    if isinstance(value, str):
        return encode_basestring(value)
    if value is None:
        return "null"
    inner = f"{margin}  "
    if isinstance(value, dict) and value:
        pairs = [f"{encode_basestring(k)}: {_written(v, inner)}" for k, v in value.items()]
        return "{" + inner + f",{inner}".join(pairs) + margin + "}"
    if isinstance(value, list) and value:
        return "[" + inner + f",{inner}".join(_written(v, inner) for v in value) + margin + "]"
    return json.dumps(value, allow_nan=False)


def csv_text(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return rows as CSV with a header of all their keys; no cell can run as a formula."""
    columns = list(dict.fromkeys(key for row in rows for key in row))
    if not columns:
        return ""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([_cell(row.get(column)) for column in columns] for row in rows)
    return text.getvalue().removesuffix("\n")


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, (list, tuple)):
        return _cell("; ".join(str(plain(each)) for each in value))
    text = str(plain(value)).replace("\r\n", "\n").replace("\r", "\n")  # a bare CR ends a row
    if text.startswith(_RUNS) and not _NUMERIC.fullmatch(text):
        return f"'{text}"
    return text
