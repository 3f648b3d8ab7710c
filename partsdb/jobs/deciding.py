"""A person's decision that a part may stand in for another."""

from __future__ import annotations

from partsdb.errors import UsageError
from partsdb.jobs.named import the_part
from partsdb.store import edges


def decision_cells(
    asked: tuple[str, str | None], fitted: tuple[str, str | None]
) -> dict[str, str | None]:
    """Return the pair (number, maker) as cells of a stands-in row, with the conditions it has.

    Conditions travel: a decision that states none keeps those that the edge carries. Raises
    NotFoundError or AmbiguousError for a part that is not one.
    """
    if not (asked[0] and fitted[0]):
        raise UsageError(
            "two numbers are needed: what is called for, and what may be fitted",
            hint="partsdb part accept ASKED FITTED --evidence … --source …",
        )
    called, stands_in = the_part(*asked), the_part(*fitted)
    edge = edges.edge_of(called.id, stands_in.id)
    return {
        "asked_maker": called.maker,
        "asked_number": called.number,
        "fitted_maker": stands_in.maker,
        "fitted_number": stands_in.number,
        "conditions": "; ".join(edge.conditions) if edge else "",
    }
