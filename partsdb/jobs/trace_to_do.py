"""What is to be done in a recall, in order."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.jobs.trace_answers import TraceAnswer, TracedLot

_PLURALS = {"kit that holds it": "kits that hold it"}


def to_do(answer: TraceAnswer) -> Iterable[str]:
    """Yield the steps of a recall, what stops more harm first."""
    open_lots = [each.lot for each in answer.lots if each.state == "accepted" and each.on_hand]
    if open_lots:
        named = " ".join(f'"{each}"' for each in open_lots)
        yield f"stop what is on the shelf: partsdb lot hold {named} --reason ..."
    for name, stock in (("unit", False), ("kit that holds it", True)):
        lying = [each for each in answer.lots if each.on_hand and bool(each.holds) is stock]
        if lying:
            where = _bins(lying)
            what = _many(sum(each.on_hand for each in lying), name)
            yield f"take {what} off the shelf{where} and count: partsdb lot count"
    for each in answer.lots:
        if each.forgotten:
            left = _many(each.on_hand, "unit")
            yield f"lot {each.lot} was not touched for over a year: {left} on hand"
        if each.gap:
            yield f"lot {each.lot} does not balance: look for {_many(abs(each.gap), 'unit')}"
    yield from _to_reach(answer)


def _bins(lying: Iterable[TracedLot]) -> str:
    places = sorted({each.bin for each in lying if each.bin})
    return f" ({_many(len(places), 'bin', number=False)} {', '.join(places)})" if places else ""


def _to_reach(answer: TraceAnswer) -> Iterable[str]:
    if answer.machines:
        units = _many(sum(each.units for each in answer.machines), "unit")
        yield f"reach {_many(len(answer.customers), 'customer')}: {units} in their machines"
    if answer.may_carry:
        loose = _many(len(answer.may_carry), "fitting")
        yield f"look at {loose} without a lot as well: any may be of it"
    if nameless := sum(1 for each in answer.machines if not each.customer_ref):
        yield f"find out whose machine it is: {_many(nameless, 'fitting')} without a customer"
    if answer.same_evidence:
        rests = _many(len(answer.same_evidence), "other statement")
        yield f"check what rests on the same evidence: {rests}"


def _many(count: int, what: str, *, number: bool = True) -> str:
    said = what if count == 1 else _PLURALS.get(what, f"{what}s")
    return f"{count} {said}" if number else said
