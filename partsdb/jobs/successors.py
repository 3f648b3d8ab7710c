"""Articles that a list calls replaced: told to a person, never taken from a seller's word.

The maker alone replaces his numbers; "part supersede" records it with the maker's document.
"""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.jobs.listed import ListedLine
from partsdb.rules.counting import counted
from partsdb.rules.descriptions import names_successor

_NAMED = 8


def successor_of(line: ListedLine) -> str:
    """Return what the row says came after its article ("replaced by 24-1180A"), or ""."""
    number = line.row.fields.get("superseded_by", "").strip()
    return f"replaced by {number}" if number else names_successor(line.text.description)


def successors_said(lines: Iterable[ListedLine]) -> tuple[str, ...]:
    """Return the sentence that names the rows whose article the list calls replaced."""
    found = [
        f"{line.row.place()} ({line.text.code or line.text.maker_number}: {said})"
        for line in lines
        if (said := successor_of(line))
    ]
    if not found:
        return ()
    named = ", ".join(found[:_NAMED]) + (f" and {len(found) - _NAMED} more" * (len(found) > _NAMED))
    says = counted(len(found), "row says", "rows say")
    return (
        f"{says} that the article was replaced, which is not taken from a seller: {named}; "
        "with the maker's word in hand record it by partsdb part supersede OLD NEW",
    )
