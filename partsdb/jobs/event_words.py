"""What an event of the history did, in words: names for ids, money with its currency, no code."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from partsdb.errors import PartsdbError
from partsdb.jobs.event_names import PARTS, EventNames
from partsdb.rules.currencies import minor_digits
from partsdb.store.rows import EventRow

# What says nothing to people, or is told by the subject already.
_SILENT = frozenset(
    ("id", "line_id", "price_list_id", "position_id", "supplier_id", "reading_id", "sha256",
     "matcher_version", "decisions", "supersedes", "decided", "machine_id", "brokerage_currency",
     "called_before")
)  # fmt: skip
_COUNTED = frozenset(("lines", "offers", "claims", "edges", "parts", "answers", "added", "changed"))
_MOST = 8  # of a long list; --format json has all of it
Words = Callable[[Mapping[str, Any], EventNames], str]


def words_of(event: EventRow, names: EventNames) -> str:
    """Return what the event did, as people say it."""
    return _WORDS.get((event.action, event.subject_kind), _plainly)(event.detail, names)


def _plainly(detail: Mapping[str, Any], names: EventNames) -> str:
    """Tell a detail of any kind: what it was and is, and what else was noted."""
    said = []
    if "is" in detail or "was" in detail:
        said.append(_change(detail.get("was"), detail.get("is"), names))
    rest = {key: value for key, value in detail.items() if key not in ("is", "was")}
    said.append(_facts(rest, names))
    return "; ".join(filter(None, said))


def _change(was: Any, now: Any, names: EventNames) -> str:
    """Tell a change: of facts only those that differ."""
    if isinstance(was, Mapping) and was and isinstance(now, Mapping):
        keys = [key for key in dict.fromkeys((*was, *now)) if was.get(key) != now.get(key)]
        told = [_moved(key, was, now, names) for key in keys if key not in _SILENT]
        return "; ".join(filter(None, told))
    told_was, told_now = _value("", was, names), _value("", now, names)
    if told_was and told_now:
        return f"was {told_was}; is {told_now}"
    return told_now or (f"was {told_was}" if told_was else "")


def _moved(key: str, was: Mapping[str, Any], now: Mapping[str, Any], names: EventNames) -> str:
    old, new = _value(key, was.get(key), names, was), _value(key, now.get(key), names, now)
    if key not in now:  # not told of: nothing was said to have gone
        return ""
    if old and new:
        return f"{_label(key)} was {old}, is {new}"
    return f"{_label(key)} {new}" if new else f"{_label(key)} was {old}, is gone"


def _facts(facts: Mapping[str, Any], names: EventNames) -> str:
    told = []
    for key, value in facts.items():
        if key in _SILENT or not (text := _value(key, value, names, facts)):
            continue
        counted = key in _COUNTED
        word = _label(key).removesuffix("s") if counted and text == "1" else _label(key)
        told.append(f"{text} {word}" if counted else f"{word} {text}")
    return ", ".join(told)


def _value(key: str, value: Any, names: EventNames, beside: Mapping[str, Any] | None = None) -> str:
    """Return a value as text, "" for one that says nothing; `beside` holds its currency."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return _figure(key, value, names, beside or {})
    if isinstance(value, Mapping):
        return _facts(value, names)
    if isinstance(value, (list, tuple)):
        return str(len(value)) if key in _COUNTED and value else _several(value, names)
    return str(value)


def _figure(key: str, value: int, names: EventNames, beside: Mapping[str, Any]) -> str:
    """Return a whole number as what it is: the id of a thing, money, or a count."""
    if key in PARTS:
        return names.part(value)
    if key == "maker_id":
        return names.of("maker", value)
    return _money(key, value, beside) if key.endswith("_minor") else str(value)


def _several(values: Sequence[Any], names: EventNames) -> str:
    told = [text for each in values[:_MOST] if (text := _one(each, names))]
    more = [f"and {len(values) - _MOST} more"] if len(values) > _MOST else []
    return "; ".join([*told, *more])


def _one(value: Any, names: EventNames) -> str:
    is_pair = isinstance(value, (list, tuple)) and all(isinstance(each, str) for each in value)
    return " ".join(value) if is_pair else _value("", value, names)


def _money(key: str, minor: int, beside: Mapping[str, Any]) -> str:
    own = beside.get(key.replace("_minor", "_currency"))
    code = str(own or beside.get("currency", ""))
    try:
        return f"{Decimal(minor).scaleb(-minor_digits(code)):f} {code}"
    except PartsdbError:  # no currency stands beside it
        return f"{minor} (smallest coins)"


def _label(key: str) -> str:
    return key.removesuffix("_minor").removesuffix("_id").replace("_", " ")


def _edge(detail: Mapping[str, Any], names: EventNames) -> str:
    """Tell who may stand in for whom, by which evidence, under which conditions."""
    now, was = detail.get("is") or {}, detail.get("was") or {}
    told = f"{names.part(now.get('fitted_id'))} for {names.part(now.get('asked_id'))}"
    told += f": {now.get('state', '')}, {now.get('evidence', '')}"
    if source := now.get("source"):
        told += f" ({source})"
    told += "".join(f"; {condition}" for condition in now.get("conditions") or ())
    return f"{told}; was {was['state']}, {was['evidence']}" if was else told


def _supersession(detail: Mapping[str, Any], names: EventNames) -> str:
    """Tell which number comes after which, from when."""
    now = detail.get("is") or {}
    new = now.get("new_id")
    told = f"{names.part(now.get('old_id'))} "
    told += f"is replaced by {names.part(new)}" if new else "has ended"
    for key, word in (("from_date", "from"), ("serial_from", "from serial"),
                      ("serial_to", "to serial")):  # fmt: skip
        told += f", {word} {now[key]}" if now.get(key) else ""
    return told + (f" ({now['source']})" if now.get("source") else "")


def _claims(detail: Mapping[str, Any], names: EventNames) -> str:
    """Tell the claims that were made, each with its evidence."""
    claims = detail.get("claims") or []
    told = []
    for claim in claims[:_MOST]:
        what = " ".join(str(claim[k]) for k in ("kind", "basis", "about", "value") if claim.get(k))
        told.append(f"{what} ({claim.get('evidence', '')})")
    more = [f"and {len(claims) - _MOST} more"] if len(claims) > _MOST else []
    return "; ".join([*told, *more])


def _contents(detail: Mapping[str, Any], names: EventNames) -> str:
    """Tell what is in a kit, and what was."""
    now, was = (_pieces(detail.get(key) or ()) for key in ("is", "was"))
    return f"{now}; was: {was}" if was else now


def _pieces(items: Sequence[Mapping[str, Any]]) -> str:
    told = []
    for item in items[:_MOST]:
        count = f"{item['quantity']} x " if item.get("quantity") else ""
        of = ", ".join(str(item[key]) for key in ("material", "size") if item.get(key))
        told.append(f"{count}{item.get('item', '')}{f' ({of})' if of else ''}")
    more = [f"and {len(items) - _MOST} more"] if len(items) > _MOST else []
    return ", ".join([*told, *more])


def _settled(detail: Mapping[str, Any], names: EventNames) -> str:
    """Tell what the columns of a list mean."""
    tables = "; ".join(
        ", ".join(f'"{heading}" = {meaning}' for heading, meaning in table.items() if meaning)
        for table in detail.get("columns") or ()
    )
    return f"by {detail.get('file', '')}: {tables}"


_WORDS: dict[tuple[str, str], Words] = {
    ("decide", "part"): _edge,
    ("supersede", "part"): _supersession,
    ("claim", "part"): _claims,
    ("contents", "part"): _contents,
    ("settle layout", "supplier"): _settled,
}
