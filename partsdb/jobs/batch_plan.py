"""What reading a list would store, line by line: new, changed, same, gone, waiting, refused."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from importers.rows import RowKind
from partsdb.jobs.list_answers import PlanLine
from partsdb.jobs.list_compare import shown_price
from partsdb.jobs.listed import ListedOffer
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.store_lines import OWN
from partsdb.store.rows import NewOffer, OfferRow

KINDS = ("new", "changed", "same", "gone")


def plan_of(
    planned: Iterable[tuple[ReadLine, NewOffer]],
    unknown: Iterable[ReadLine],
    now: Sequence[OfferRow],
    renewed: int | None,
) -> list[PlanLine]:
    """Return a line per offer that comes or goes.

    `unknown` are lines whose own part is not stored yet; `now` is what the supplier offers now;
    `renewed` is the list whose place the new one takes: what only that list has is gone.
    """
    before = {(row.part_id, row.code): row for row in now}
    plan, kept = [], set()
    for line, offer in planned:
        row = before.get((offer.part_id, offer.code))
        kept.add((offer.part_id, offer.code))
        plan.append(_coming(line, offer.held, row))
    plan += [_coming(line, "", None) for line in unknown]
    plan += [
        PlanLine("gone", "", row.code, shown_price(_listed(row)), "", f"in batch {renewed} only")
        for key, row in before.items()
        if key not in kept and renewed is not None and row.price_list_id == renewed
    ]
    return plan


def counts_of(plan: Iterable[PlanLine]) -> dict[str, int]:
    """Return how many offers are new, changed, same and gone; waiting ones among them."""
    counts = Counter(line.what for line in plan)
    return {kind: counts[kind] for kind in KINDS}


def refused_of(lines: Iterable[ReadLine], sells_own: Callable[[ReadLine], bool]) -> list[PlanLine]:
    """Return the rows of which no offer is taken, each with its place and reasons."""
    return [
        PlanLine("refused", line.listed.row.place(), line.listed.text.code, "", "", why)
        for line in lines
        if line.listed.row.kind in (RowKind.ITEM, RowKind.REFUSED)
        for why in _reasons(line, sells_own)
    ]


def _reasons(line: ReadLine, sells_own: Callable[[ReadLine], bool]) -> list[str]:
    if line.listed.offer is None:
        return list(line.listed.problems)
    if line.reading.kind in OWN and not sells_own(line):
        return ["no offer: the article has no number of its own"]
    if line.unclear:
        return [f"no offer: {line.unclear}"]
    return [f"no offer: the code stands at {line.twin} with another price"] if line.twin else []


def _coming(line: ReadLine, held: str, before: OfferRow | None) -> PlanLine:
    offer, text = line.listed.offer, line.listed.text
    old = shown_price(_listed(before)) if before else ""
    new = shown_price(offer) if offer else ""
    moved = _moved(_listed(before), offer) if before and offer else []
    note = f"waits for a person: {held}" if held else ""
    if not note and moved and "price" not in moved:
        note = f"another {', '.join(moved)}"  # both prices read alike
    # What waits is offered to nobody, so it is not what the supplier offered before.
    what = "new" if before is None else "changed" if moved or held or offer is None else "same"
    return PlanLine(what, line.listed.row.place(), text.code, old, new, note)


def _listed(row: OfferRow) -> ListedOffer:
    return ListedOffer(
        row.price_e4, row.price_per, row.currency, row.pack_units, row.min_units, row.unit,
        breaks=row.breaks,
    )  # fmt: skip


def _moved(before: ListedOffer, offer: ListedOffer) -> list[str]:
    """Return what of an offer is not as it was, in words."""
    was, now = _facts(before), _facts(offer)
    return [name for name, value in now.items() if value != was[name]]


def _facts(offer: ListedOffer) -> dict[str, object]:
    return {
        "price": (offer.price_e4, offer.price_per, offer.currency),
        "pack": offer.pack_units,
        "minimum": offer.min_units,
        "unit": offer.unit.upper(),
        "price breaks": offer.breaks,
    }
