"""What a line shows before it is judged: of a line that nobody has identified, of an old number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsdb.rules.verdict import Check, Outcome
from partsdb.store.catalogue import part_rows
from partsdb.store.edges import supersessions_touching
from partsdb.store.rows import PartRow

# What the line's own words can fail; whether it stands in for a part is not asked before it is
# known which part that is.
_BY_ITS_WORDS = ("pressure", "thread", "material", "size", "temperature")


def failing(checks: Sequence[Check]) -> list[Check]:
    """Return the checks that the line fails by its own words."""
    return [
        check
        for check in checks
        if check.outcome is Outcome.FAILS and check.check.startswith(_BY_ITS_WORDS)
    ]


def holds_against_all(found: Sequence[Sequence[Check]]) -> tuple[Check, ...]:
    """Return the checks that come out for every part that the line may be, in the first's words.

    One part that the line does not contradict is reason enough to ask which it is, and no sign.
    """
    if not found:
        return ()
    first, *others = found
    return tuple(check for check in first if all(_has(check, other) for other in others))


def _has(check: Check, others: Sequence[Check]) -> bool:
    return any((each.check, each.code) == (check.check, check.code) for each in others)


def newer_numbers(parts: Mapping[int, PartRow], as_of: str) -> dict[int, str]:
    """Return for each part that its maker has replaced by the day what took its place, in words."""
    rows = [row for row in supersessions_touching(parts) if row.old_id in parts]
    names = part_rows(row.new_id for row in rows if row.new_id is not None)
    found: dict[int, list[str]] = {}
    for row in rows:
        # Replaced for some serials only, it is no old number for the others.
        if (row.from_date or "") > as_of or row.serial_from or row.serial_to:
            continue
        new = names.get(row.new_id or 0)
        said = f"{new.maker} {new.number}" if new else "ended without successor"
        said += f" since {row.from_date}" if row.from_date else ""
        found.setdefault(row.old_id, []).append(said)
    return {part_id: "; ".join(dict.fromkeys(each)) for part_id, each in found.items()}


def newer_note(newer: str) -> tuple[str, ...]:
    """Return the note on a line whose part its maker has replaced, none where he has not."""
    return (f"the maker has replaced it: {newer}",) if newer else ()
