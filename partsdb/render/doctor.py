"""A check-up and the history as text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, listing, paragraphs, section

_DETAIL = 240  # characters of what an event did in a table; --format json has all of it


def doctor_text(answer: object, width: int) -> str:
    """Return each finding with its examples and what to do, then the size of the database."""
    facts: dict[str, Any] = plain(answer)
    findings = facts["findings"]
    head = "the database is sound" if facts["is_sound"] else "the database has faults"
    if not findings:
        head += " and nothing is missing"
    sizes = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in facts["rows"].items())
    return paragraphs([head, *(_finding(each, width) for each in findings), f"rows: {sizes}"])


def _finding(finding: Mapping[str, Any], width: int) -> str:
    more = finding["count"] - len(finding["examples"])
    examples = "; ".join(finding["examples"]) + (f"; and {more} more" if more else "")
    title = f"{finding['level']} ({finding['check']}, {finding['count']}): {finding['message']}"
    return f"{title}\n{bullets([examples, finding['hint']], width)}"


def history_text(
    events: Sequence[Mapping[str, Any]], width: int, sources: Sequence[Mapping[str, Any]] = ()
) -> str:
    """Return one row for each event, its detail shortened; then where claims and prices stand."""
    rows = [
        {
            "at": event["at"],
            "who": event["who"],
            "action": event["action"],
            "subject": event["subject"],
            "what": _shortened(event["said"]),
        }
        for event in events
    ]
    done = listing(rows, width, wrap=("subject", "what"), nothing="nothing was done yet")
    told = listing(sources, width, wrap=("value", "file", "state")) if sources else ""
    return paragraphs([done, section("Where it comes from", told) if told else ""])


def _shortened(text: str) -> str:
    """Return a text cut between words; a number that stands in it is never cut."""
    if len(text) <= _DETAIL:
        return text
    return f"{text[:_DETAIL].rpartition(' ')[0]} …"
