"""What is to be done in a recall, in order."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.jobs.trace_answers import TraceAnswer, TracedLot
from partsdb.rules.counting import counted

_LYING = (("unit", "units", False), ("kit that holds it", "kits that hold it", True))


def to_do(answer: TraceAnswer) -> Iterable[str]:
    """Yield the steps of a recall, what stops more harm first."""
    open_lots = [each.lot for each in answer.lots if each.state == "accepted" and each.on_hand]
    if open_lots:
        named = " ".join(f'"{each}"' for each in open_lots)
        yield f"stop what is on the shelf: partsdb lot hold {named} --reason ..."
    for one, many, is_kit in _LYING:
        lying = [each for each in answer.lots if each.on_hand and bool(each.holds) is is_kit]
        if lying:
            where = _bins(lying)
            what = counted(sum(each.on_hand for each in lying), one, many)
            yield f"take {what} off the shelf{where} and count: partsdb lot count"
    for each in answer.lots:
        if each.forgotten:
            left = counted(each.on_hand, "unit")
            yield f"lot {each.lot} was not touched for over a year: {left} on hand"
        if each.gap:
            yield f"lot {each.lot} does not balance: look for {counted(abs(each.gap), 'unit')}"
    yield from _to_reach(answer)


def _bins(lying: Iterable[TracedLot]) -> str:
    places = sorted({each.bin for each in lying if each.bin})
    name = "bin" if len(places) == 1 else "bins"
    return f" ({name} {', '.join(places)})" if places else ""


def _to_reach(answer: TraceAnswer) -> Iterable[str]:
    if answer.machines:
        units = counted(sum(each.units for each in answer.machines), "unit")
        yield f"reach {counted(len(answer.customers), 'customer')}: {units} in their machines"
    if answer.may_carry:
        loose = counted(len(answer.may_carry), "fitting")
        yield f"look at {loose} without a lot as well: any may be of it"
    if nameless := sum(1 for each in answer.machines if not each.customer_ref):
        yield f"find out whose machine it is: {counted(nameless, 'fitting')} without a customer"
    if answer.same_evidence:
        rests = counted(len(answer.same_evidence), "other statement")
        yield f"check what rests on the same evidence: {rests}"
