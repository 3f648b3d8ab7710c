"""JSON lines, one object per article; also one array of such objects. Numbers keep their digits."""

from __future__ import annotations

import json
from typing import Any

from importers.decoding import decode
from importers.limits import Limits, check_cells, refuse
from importers.raw import EMPTY, NUMBER, TEXT, RawFile, RawRow, RawSheet, Source
from importers.rows import Profile, ReaderError

_DEEPEST = 3  # {"price": {"net": {"amount": 1}}} is the heading "price.net.amount"


class _Number(str):
    """A number as it is written: it must not become a binary fraction."""

    __slots__ = ()


class JsonLines:
    """Reads one article per line; the keys are the headings, in the order of their coming."""

    name = "JSON lines"
    grows = False

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes start as an object or an array of objects."""
        head = source.data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
        return (head.startswith(b"{") and not head.startswith(b"{\\rtf")) or (
            head.startswith(b"[") and head[1:].lstrip().startswith(b"{")
        )

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the articles under a header of all their keys."""
        decoded = decode(source, profiles)
        is_array = decoded.text.lstrip("\ufeff \t\r\n").startswith("[")
        counted = "item" if is_array else "line"
        objects = _array(decoded.text, source) if is_array else _lines(decoded.text, source)
        keys: dict[str, int] = {}
        rows = []
        for number, each in objects:
            place = f"{source.name} {counted} {number}"
            rows.append(_row(number, each, keys, place))
            if len(rows) > limits.rows:
                raise refuse("rows", len(rows), limits.rows, place=source.name)
            if len(keys) > limits.columns:
                raise refuse("columns", len(keys), limits.columns, place=place)
            check_cells(rows[-1].cells, limits, place=place)
        header = RawRow(0, list(keys), TEXT * len(keys))
        return RawFile(
            self.name,
            [RawSheet(counted, [header, *rows])],
            encoding=decoded.encoding,
            assumptions=[decoded.assumption, "the keys of the objects are taken as headings"],
        )


def _lines(text: str, source: Source) -> list[tuple[int, Any]]:
    return [
        (number, _object(line, f"{source.name} line {number}"))
        for number, line in enumerate(text.split("\n"), start=1)
        if line.strip()
    ]


def _array(text: str, source: Source) -> list[tuple[int, Any]]:
    found = _object(text, source.name)
    return list(enumerate(found, start=1)) if isinstance(found, list) else []


def _object(text: str, place: str) -> Any:
    try:
        return json.loads(
            text, parse_float=_Number, parse_int=_Number, parse_constant=_refuse_constant,
            object_pairs_hook=_once,
        )  # fmt: skip
    except (ValueError, RecursionError) as error:
        why = "nested too deep" if isinstance(error, RecursionError) else str(error)
        raise ReaderError(
            f"this is no JSON ({why})", place=place, hint="each line must be one JSON object"
        ) from error


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is no JSON number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return an object; one that has a key twice may mean either, and is refused."""
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f"the key {twice[:40]!r} stands twice in one object")
    return found


def _row(number: int, each: Any, keys: dict[str, int], place: str) -> RawRow:
    if not isinstance(each, dict):
        raise ReaderError(
            "this is no JSON object", place=place, hint="write one object per article"
        )
    cells: list[str] = [""] * len(keys)
    kinds: list[str] = [EMPTY] * len(keys)
    odd: list[str] = []
    for key, value in _flat(each, "", place).items():
        index = keys.setdefault(key, len(keys))
        if index == len(cells):
            cells.append("")
            kinds.append(EMPTY)
        if isinstance(value, list):
            value, said = _joined(value, key)
            odd += said
        cells[index], kinds[index] = _cell(value)
    return RawRow(number, cells, "".join(kinds), odd=tuple(odd))


def _joined(values: list[Any], key: str) -> tuple[str, list[str]]:
    """Return a list as one text, and what of it is no plain value and is left out."""
    plain = [each for each in values if not isinstance(each, (dict, list))]
    left_out = len(values) - len(plain)
    said = f"{left_out} of {len(values)} entries under the key {key[:60]!r} are no plain value"
    return "; ".join(_cell(each)[0] for each in plain), [f"{said}: not read"] if left_out else []


def _flat(each: dict[str, Any], before: str, place: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in each.items():
        if not isinstance(value, dict):
            found[before + key] = value
        elif before.count(".") + 1 >= _DEEPEST:
            raise ReaderError(
                f"the key {(before + key)[:60]!r} is nested too deep", place=place,
                hint=f"at most {_DEEPEST} keys within each other are read",
            )  # fmt: skip
        else:
            found |= _flat(value, f"{before}{key}.", place)
    return found


def _cell(value: Any) -> tuple[str, str]:
    if value is None or value == "":
        return "", EMPTY
    if isinstance(value, _Number):
        return _shown(value), NUMBER
    return ("true" if value else "false") if isinstance(value, bool) else str(value), TEXT


def _shown(written: str) -> str:
    """Return the digits of a number; 1.25e3 is written out, as no price list shows it."""
    from decimal import Decimal

    if "e" not in written.casefold():
        return str(written)
    exact = Decimal(written)
    return f"{exact:f}" if abs(exact.adjusted()) < 40 else str(written)
