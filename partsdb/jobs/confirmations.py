"""What a person at the bench has confirmed about a part: remembered with who, when and why."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.errors import UsageError
from partsdb.jobs.named import the_part
from partsdb.rules.facts import PartFacts
from partsdb.rules.ratings import working_rating
from partsdb.rules.roles import role_named
from partsdb.store import catalogue, events
from partsdb.store.claims import part_facts
from partsdb.store.rows import PartRow, Stamp

NOMINAL = "confirmed nominal"
WITHDRAWN = "withdrew nominal"
_ALL_EVENTS = 100_000


@dataclass(frozen=True, slots=True)
class Confirmation:
    """That `figure`, as written, is a rounded form of the nominal rating in another unit."""

    maker: str
    number: str
    figure: str
    confirmed: bool
    reason: str
    who: str
    at: str

    @property
    def words(self) -> str:
        """Who confirmed it, when and why."""
        return f"confirmed as nominal by {self.who} on {self.at[:10]}: {self.reason}"


def confirm_nominal(
    number: str, maker: str | None, reason: str, by: Stamp, *, withdraw: bool = False
) -> Confirmation:
    """Remember that the part's rating is a nominal one, rounded in another unit; or take it back.

    It holds for the figure as it is written now: another rating must be confirmed anew. Raises
    NotFoundError, AmbiguousError, and UsageError without a reason or without a stated rating.
    """
    if not reason.strip():
        raise UsageError(
            "a confirmation needs a reason", hint='say with --reason "…" what shows it'
        )
    part = the_part(number, maker)
    if withdraw and nominal_of(part_facts([part.id])[part.id]) is None:
        raise UsageError(f"nothing is confirmed of {part.maker} {part.number}")
    figure = _figure(part_facts([part.id])[part.id])
    if not figure:
        raise UsageError(
            f"{part.maker} {part.number} has no stated working rating to be confirmed",
            hint="record one with: partsdb part claim NUMBER rating VALUE --evidence … --source …",
        )
    action = WITHDRAWN if withdraw else NOMINAL
    events.record(action, ("part", part.id), {"figure": figure, "reason": reason.strip()}, by=by)
    return Confirmation(
        part.maker, part.number, figure, not withdraw, reason.strip(), by.who, by.at
    )


def nominal_of(part: PartFacts) -> Confirmation | None:
    """Return the confirmation that counts for the part's rating as it is written now, or None."""
    figure, row = _figure(part), _stored(part)
    if not figure or row is None:
        return None
    for event in events.history("part", row.id, limit=_ALL_EVENTS):
        if event.action in (NOMINAL, WITHDRAWN) and event.detail.get("figure") == figure:
            if event.action == WITHDRAWN:
                return None
            reason = str(event.detail.get("reason", ""))
            return Confirmation(part.maker, part.number, figure, True, reason, event.who, event.at)
    return None


def _figure(part: PartFacts) -> str:
    """Return the lowest stated working figure as written, "" where none is stated."""
    rating = working_rating(part.claims, role_named(part.role).component_class)
    return rating.pressure.as_written if rating.pressure and not rating.is_derived else ""


def _stored(part: PartFacts) -> PartRow | None:
    found = catalogue.find_parts(part.number, part.maker) if part.number else []
    exact = [row for row in found if (row.maker, row.number) == (part.maker, part.number)]
    return exact[0] if len(exact) == 1 else None
