"""Backup, restore and history."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsdb.errors import UsageError
from partsdb.jobs.event_names import EventNames
from partsdb.jobs.event_words import words_of
from partsdb.jobs.named import the_machine, the_maker, the_part, the_supplier
from partsdb.jobs.who import now_utc
from partsdb.store import events
from partsdb.store.backup import backup, restore

if TYPE_CHECKING:
    from partsdb.jobs.provenance import Provenance


@dataclass(frozen=True, slots=True)
class Copied:
    """A copy that was made and checked; `kept` is where a replaced database was put aside."""

    file: str
    size_bytes: int
    kept: str = ""


@dataclass(frozen=True, slots=True)
class EventShown:
    """One event of the history; `subject` and `said` tell it in words, `detail` is for programs."""

    at: str
    who: str
    action: str
    subject_kind: str
    subject_id: int | None
    detail: dict[str, Any]
    subject: str
    said: str


def make_backup(path: Path, target: Path | None) -> Copied:
    """Copy the database to `target`, else beside it with the time in its name, and check it."""
    moment = now_utc().replace(":", "").replace("-", "")
    copy = target or path.with_name(f"{path.stem}-{moment}.backup")
    if copy.is_dir():
        copy = copy / f"{path.stem}-{moment}.backup"
    return Copied(str(copy), backup(path, copy))


def bring_back(path: Path, source: Path) -> Copied:
    """Put a backup in the place of the database; the old one is kept beside it."""
    kept = restore(path, source)
    return Copied(str(path), path.stat().st_size, str(kept or ""))


def history(kind: str, name: str, limit: int) -> list[EventShown]:
    """Return the newest events, of a kind of subject or of one subject by name."""
    subject_id = _subject_id(kind, name) if name else None
    found = events.history(kind, subject_id, limit=limit)
    names = EventNames(found)
    return [
        EventShown(
            e.at, e.who, e.action, e.subject_kind, e.subject_id, e.detail, names.subject(e),
            words_of(e, names),
        )
        for e in found
    ]  # fmt: skip


KINDS = ("part", "supplier", "maker", "machine", "price list", "setting", "lot", "job", "grade")


def named_kind(kind: str, name: str) -> tuple[str, str]:
    """Return kind and name of a subject; a word that is no kind of event is a part's number."""
    if kind and not name and kind not in KINDS and not events.history(kind, None, limit=1):
        return "part", kind
    return kind, name


def part_sources(kind: str, name: str) -> list[Provenance]:
    """Return where each claim and price of a part came from, nothing for other subjects."""
    if kind != "part" or not name:
        return []
    from partsdb.jobs.provenance import provenance

    return provenance(_subject_id(kind, name))


def _subject_id(kind: str, name: str) -> int:
    if kind == "part":
        maker, mark, number = name.partition("|")
        return the_part(number, maker).id if mark else the_part(name).id
    if kind == "supplier":
        return the_supplier(name).id
    if kind == "maker":
        return the_maker(name).id
    if kind == "machine":
        return the_machine(name).id
    if kind == "price list" and name.isdecimal():
        return int(name)
    raise UsageError(
        f"the history of {kind} {name!r} cannot be looked up by name",
        hint="kinds with a name: part, supplier, maker, machine, price list (by its number)",
    )
