"""People's decisions about lines: stored, applied at once, and taken back.

A decision is remembered under supplier, code and what the line said, and applies to every line of
the supplier's live lists that says the same: they get a new reading, and what they brought under
the old one is taken back or added, as if the list had been read with the decision.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from importers.rows import RowKind
from partsdb.errors import UsageError
from partsdb.jobs.changes import batch_before, waiting_since
from partsdb.jobs.list_compare import by_code, key_of
from partsdb.jobs.list_reader import ListReader
from partsdb.jobs.listed import ListedLine
from partsdb.jobs.past import past_decisions, reading_of, wrong_matches
from partsdb.jobs.reading_list import ReadList, context_of
from partsdb.jobs.store_lines import LineStore
from partsdb.jobs.stored_list import as_listed, as_read, live_head
from partsdb.matching.context import decision_key, wrong_key
from partsdb.matching.lines import decided_reading
from partsdb.matching.readings import Reading, ReadingKind
from partsdb.matching.second_look import is_decided, without
from partsdb.rules.numbers import number_key
from partsdb.store import events, line_history, lists, makers, withdrawal
from partsdb.store.rows import Stamp, SupplierRow
from partsdb.store.rows_lists import WRONG_MATCH, LineRow, NewDecision, PriceListRow

_DECIDE = "decide lines"
_UNDONE_AT_MOST = 1000


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person says a line is: a kind of reading with its part, or WRONG_MATCH and the part.

    `reading_id` is the reading that was judged; a line read anew since is not decided on it.
    """

    line_id: int
    reading_id: int
    kind: str
    part_id: int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Decided:
    """What answers came to: decisions stored, and lines of all live lists that were read anew."""

    decisions: tuple[int, ...]
    lines: int


def decide(batch: int, answers: Sequence[Answer], by: Stamp) -> Decided:
    """Store the answers and apply them, all or none; raises UsageError for what cannot be."""
    head = live_head(batch)
    supplier = _supplier(head)
    lines = line_history.line_rows(answer.line_id for answer in answers)
    listed = {
        row.id: each for row, each in zip(lines, as_listed(head, lines), strict=True)
        if row.price_list_id == batch and each.row.kind is RowKind.ITEM
    }  # fmt: skip
    _refuse_stale(answers, listed)
    ids, keys = [], set()
    for answer in answers:
        text = listed[answer.line_id].text
        code_key, said = number_key(text.code), decision_key(text)[1]
        new = NewDecision(
            supplier.id, code_key, said, answer.kind, answer.part_id, answer.reason,
            answer.reading_id,
        )  # fmt: skip
        ids.append(lists.add_decision(new, by=by))
        keys.add(code_key)
    changed = refresh(supplier, keys, by)
    events.record(_DECIDE, ("price list", batch), {"decisions": ids, "lines": changed}, by=by)
    return Decided(tuple(ids), changed)


def _refuse_stale(answers: Sequence[Answer], listed: dict[int, ListedLine]) -> None:
    now = line_history.newest_readings(answer.line_id for answer in answers)
    for answer in answers:
        if answer.line_id not in listed:
            raise UsageError(f"line {answer.line_id} is no item of this batch")
        if now[answer.line_id].id != answer.reading_id:
            place = listed[answer.line_id].row.place()
            raise UsageError(
                f"{place} was read anew since the question was put",
                hint="ask again: partsdb pricelist review",
            )


def undo(batch: int, by: Stamp) -> Decided:
    """Take the newest answer (or group, or sheet of answers) about a batch back.

    Raises UsageError when none stands.
    """
    supplier = _supplier(live_head(batch))
    for event in events.history("price list", batch, limit=_UNDONE_AT_MOST):
        if event.action != _DECIDE:
            continue
        standing = line_history.standing(event.detail["decisions"])
        if standing:
            ids = tuple(row.id for row in standing)
            line_history.take_back(ids, by=by)
            changed = refresh(supplier, {row.code_key for row in standing}, by)
            detail = {"decisions": list(ids), "lines": changed}
            events.record("undo decisions", ("price list", batch), detail, by=by)
            return Decided(ids, changed)
    raise UsageError(f"no decision about batch {batch} stands: there is nothing to undo")


def _supplier(head: PriceListRow) -> SupplierRow:
    found = makers.find_supplier(head.supplier)
    if found is None:
        raise UsageError(f"the supplier of batch {head.id} is not known any more")
    return found


def refresh(supplier: SupplierRow, code_keys: Iterable[str], by: Stamp) -> int:
    """Read the lines of those codes anew as decided now; return how many of them changed."""
    keys = sorted(set(code_keys))
    return sum(
        _refresh_list(live_head(list_id), supplier, keys, by)
        for list_id in line_history.live_list_ids(supplier.id)
    )


def _refresh_list(head: PriceListRow, supplier: SupplierRow, keys: list[str], by: Stamp) -> int:
    lines = line_history.lines_with_codes(head.id, keys)
    if not lines:
        return 0
    wanted = _Wanted(head, supplier, lines).readings()
    stored = line_history.newest_readings(wanted)
    changed = {
        line_id: reading for line_id, reading in wanted.items()
        if reading != reading_of(stored[line_id])
    }  # fmt: skip
    if changed:
        restore(head, supplier, changed, by)
    return len(changed)


class _Wanted:
    """What lines are to be read as: as decided, else as the matcher had it, wrong matches last."""

    def __init__(self, head: PriceListRow, supplier: SupplierRow, lines: list[LineRow]) -> None:
        self._head, self._supplier = head, supplier
        self._listed = dict(zip((row.id for row in lines), as_listed(head, lines), strict=True))
        self._decisions = past_decisions(supplier.id)
        self._wrong = wrong_matches(supplier.id)
        self._base = line_history.matcher_readings(self._listed)
        self._anew: dict[int, Reading] | None = None

    def readings(self) -> dict[int, Reading]:
        """Return the wanted reading of each line that is an item."""
        return {
            line_id: self._reading(line_id, line)
            for line_id, line in self._listed.items()
            if line.row.kind is RowKind.ITEM
        }

    def _reading(self, line_id: int, line: ListedLine) -> Reading:
        decided = self._decisions.get(decision_key(line.text))
        if decided:
            return decided_reading(decided)
        wrong = self._wrong.get(wrong_key(line.text), frozenset())
        row = self._base.get(line_id)
        base = reading_of(row) if row else self._read_anew(line_id)
        return without(base, wrong)

    def _read_anew(self, line_id: int) -> Reading:
        """Return what the matcher takes a line for that was read with a decision at first."""
        if self._anew is None:
            self._anew = read_anew(self._head, self._supplier)
        return self._anew[line_id]


def read_anew(head: PriceListRow, supplier: SupplierRow) -> dict[int, Reading]:
    """Return what the matcher takes each line of a stored list for today, by line id."""
    lines = lists.lines_of(head.id)
    listed = as_listed(head, lines)
    found = ListReader().read(listed, context_of(supplier))
    return {line.id: reading for line, reading in zip(lines, found, strict=True)}


def restore(
    head: PriceListRow, supplier: SupplierRow, readings: dict[int, Reading], by: Stamp
) -> None:
    """Give lines of a list new readings, and take back or add what they bring."""
    before = line_history.newest_readings(readings)
    rows = line_history.line_rows(readings)
    # A code that stands twice with two prices makes no offer: its other lines are looked at too.
    beside = line_history.lines_with_codes(head.id, {row.code_key for row in rows})
    newest = line_history.newest_readings(row.id for row in beside)
    known = {line_id: reading_of(row) for line_id, row in newest.items()}
    whole, was = as_read(head, beside, known | readings), as_read(head, beside, known)
    # A row that repeated one which is another part now makes an offer of its own, and the reverse.
    chosen = [
        (row.id, line)
        for row, line, old in zip(beside, whole.lines, was.lines, strict=True)
        if row.id in readings or line.repeats != old.repeats
    ]
    read = replace(whole, lines=tuple(line for _, line in chosen))
    store = LineStore(read, supplier, by, _held(head, [line_id for line_id, _ in chosen], read))
    _refuse_own_as_ours(read, store)
    withdrawal.take_back_lines(head.id, [line_id for line_id, _ in chosen], by=by)
    store.store([line_id for line_id, _ in chosen], head.id)
    own = {row.own_part_id for row in before.values() if row.own_part_id is not None}
    withdrawal.release_parts(head.id, sorted(own), by=by)


def _held(head: PriceListRow, line_ids: list[int], read: ReadList) -> dict[int, str]:
    """Return by index why the offer of a line waits for a person: as it did, or as on intake."""
    known = line_history.offer_holds(head.id, line_ids)
    before = batch_before(head)
    old = lists.list_row(before) if before is not None else None
    waiting: dict[int, str] = {}
    if old is not None and not old.withdrawn_at:
        keys = set(map(number_key, map(key_of, read.lines))) - {""}
        rows = line_history.lines_with_keys(old.id, keys)
        newest = line_history.newest_readings(row.id for row in rows)
        readings = {line_id: reading_of(row) for line_id, row in newest.items()}
        waiting = waiting_since(
            read.lines, by_code(as_read(old, rows, readings).lines), old.id
        )
    return {
        index: why
        for index, line_id in enumerate(line_ids)
        if (why := known.get(line_id, waiting.get(index, "")))
    }


def _refuse_own_as_ours(read: ReadList, store: LineStore) -> None:
    """Refuse a decision to keep as the supplier's own what bears our maker's name and number."""
    for line, own in zip(read.lines, store.known_parts(), strict=True):
        ours = {line.reading.part_id} if line.reading.kind is ReadingKind.REPLACEMENT else set()
        if line.reading.kind is ReadingKind.NEW_PART and own is not None:
            ours = {own} if _is_of_the_catalogue(own) else set()
        if own is not None and own in ours and is_decided(line.reading):
            raise UsageError(
                f"{line.listed.row.place()} names the maker and number of a part of ours, so it"
                " cannot be kept as the supplier's own",
                hint="answer w and the candidate's number (not that part), or o (not ours)",
            )


def _is_of_the_catalogue(part_id: int) -> bool:
    from partsdb.store import catalogue

    return catalogue.part_rows([part_id])[part_id].price_list_id is None


__all__ = ["WRONG_MATCH", "Answer", "Decided", "decide", "read_anew", "refresh", "restore", "undo"]
