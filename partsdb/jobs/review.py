"""The questions that a batch leaves to a person, the most harmful if answered wrong first.

A question shows what was stored with the reading: nothing is matched anew to show it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from importers.rows import RowKind
from partsdb.errors import UsageError
from partsdb.jobs.landing import home_currency
from partsdb.jobs.listed import ListedLine, ListedOffer
from partsdb.jobs.past import matcher_record, reading_of
from partsdb.jobs.review_question import Proposal, Question, pattern_of
from partsdb.jobs.stored_list import as_listed, live_head
from partsdb.matching.confidence import evidence_kind
from partsdb.matching.readings import Candidate, Reading, ReadingKind
from partsdb.matching.second_look import is_decided
from partsdb.rules.descriptions import parse
from partsdb.rules.money import Money, plain_decimal
from partsdb.rules.roles import role_named
from partsdb.store import catalogue, line_history, lists, machines, terms
from partsdb.store.rows import PartRow
from partsdb.store.rows_lists import LineRow, PriceListRow, ReadingRow

_SETTLED = (ReadingKind.OFFER, ReadingKind.REPLACEMENT)


@dataclass(frozen=True, slots=True)
class Review:
    """The questions of a batch in the order in which they are to be asked."""

    batch: int
    supplier: str
    file: str
    questions: tuple[Question, ...]
    unread: int
    decided: int


@dataclass(frozen=True, slots=True)
class ReviewAsk:
    """Which lines to ask about: those to review, one row, or so many settled ones to check."""

    batch: int
    as_of: str
    row: int = 0
    sheet: str = ""
    check: int = 0


def review(ask: ReviewAsk) -> Review:
    """Return the questions of a batch; raises UsageError for no such batch or row."""
    head = live_head(ask.batch)
    readings = lists.readings_of(ask.batch)
    lines = {line.id: line for line in lists.lines_of(ask.batch)}
    items = {i: line for i, line in lines.items() if line.kind == RowKind.ITEM.value}
    pairs = [(row, items[row.line_id]) for row in readings if row.line_id in items]
    chosen = _one_row(ask, pairs) if ask.row else _open(pairs) + to_check(ask.check, pairs)
    return Review(
        batch=head.id,
        supplier=head.supplier,
        file=head.file_name,
        questions=tuple(_Questions(head, chosen, ask.as_of).ordered()),
        unread=sum(line.kind == RowKind.REFUSED.value for line in lines.values()),
        decided=sum(is_decided(reading_of(row)) for row, _ in pairs),
    )


Pair = tuple[ReadingRow, LineRow]


def _open(pairs: Sequence[Pair]) -> list[Pair]:
    return [pair for pair in pairs if pair[0].kind == ReadingKind.TO_REVIEW.value]


def _one_row(ask: ReviewAsk, pairs: Sequence[Pair]) -> list[Pair]:
    found = [pair for pair in pairs if pair[1].row == ask.row and ask.sheet in ("", pair[1].sheet)]
    if not found:
        named = f"sheet {ask.sheet} row {ask.row}" if ask.sheet else f"row {ask.row}"
        raise UsageError(
            f"{named} of batch {ask.batch} is no item",
            hint=f"partsdb pricelist show {ask.batch} lists the rows",
        )
    return found


def to_check(wanted: int, pairs: Sequence[Pair]) -> list[Pair]:
    """Return some settled lines that nobody judged, of the kinds of evidence judged least here."""
    if not wanted:
        return []
    record = matcher_record()
    judged = Counter({kind: known.judged for kind, known in record.items()})
    settled = [
        (pair, evidence_kind(reading))
        for pair in pairs
        if (reading := reading_of(pair[0])).kind in _SETTLED and not is_decided(reading)
    ]
    chosen: list[Pair] = []
    while settled and len(chosen) < wanted:
        least = min(settled, key=lambda each: (judged[each[1]], each[0][1].id))
        settled.remove(least)
        judged[least[1]] += 1
        chosen.append(least[0])
    return chosen


class _Questions:
    """Puts lines as questions: what they say, what they cost, where they may go."""

    def __init__(self, head: PriceListRow, pairs: Sequence[Pair], as_of: str) -> None:
        self._pairs = pairs
        self._readings = {row.line_id: reading_of(row) for row, _ in pairs}
        listed = as_listed(head, [line for _, line in pairs])
        self._listed = {line.id: each for (_, line), each in zip(pairs, listed, strict=True)}
        ids = {each.part_id for r in self._readings.values() for each in shown(r)}
        self._parts = catalogue.part_rows(ids)
        self._machines = _machines_of(ids)
        self._home = home_currency()
        rates = {row.currency: plain_decimal(row.per_eur) for row in terms.latest_fx(as_of)}
        self._rates = {**rates, "EUR": Fraction(1)}

    def ordered(self) -> list[Question]:
        """Return the questions, the most harmful first: pressure parts, then by exposure."""
        found = [self._question(row, line) for row, line in self._pairs]
        return sorted(found, key=lambda q: (not q.holds_pressure, -q.exposure.minor, q.line_id))

    def _question(self, row: ReadingRow, line: LineRow) -> Question:
        reading, listed = self._readings[line.id], self._listed[line.id]
        proposals = tuple(_proposal(each, self._parts) for each in shown(reading))
        names = {name for each in proposals for name in self._machines.get(each.part_id, ())}
        unit = self._unit_price(listed.offer) if listed.offer else Money.zero(self._home)
        return Question(
            line_id=line.id,
            reading_id=row.id,
            place=listed.row.place(),
            fields=_fields(listed),
            written=listed.text.maker_number or listed.text.code,
            reading=row.kind,
            doubts=tuple(each.text for each in reading.evidence if each.weighs != "for"),
            proposals=proposals,
            price=_price(listed.offer) if listed.offer else "",
            holds_pressure=self._holds_pressure(listed, reading),
            machines=tuple(sorted(names)),
            exposure=Money(unit.minor * max(1, len(names)), self._home),
            pattern=pattern_of(reading, proposals, listed),
        )

    def _holds_pressure(self, listed: ListedLine, reading: Reading) -> bool:
        """Say whether the line, or any part that it may mean, holds pressure; unknown is yes."""
        roles = [self._parts[each.part_id].role for each in shown(reading)]
        own = parse(listed.text.description)
        if own.role or not (roles or own.pieces.head):
            roles.append(own.role)
        return any(role_named(role).holds_pressure for role in roles)

    def _unit_price(self, offer: ListedOffer) -> Money:
        """Return what one unit costs in the shop's currency, for the order of questions alone.

        A currency without a stored rate counts one for one.
        """
        per_home = self._rates.get(self._home, Fraction(1))
        rate = per_home / self._rates.get(offer.currency, per_home)
        price = Fraction(offer.price_e4, 10_000 * offer.price_per) * rate
        return Money.rounded(price, self._home)


def _machines_of(part_ids: Iterable[int]) -> dict[int, set[str]]:
    found: dict[int, set[str]] = {}
    for position in machines.positions_calling_for(part_ids):
        for part_id in position.part_ids:
            found.setdefault(part_id, set()).add(f"{position.machine_maker} {position.machine}")
    return found


def shown(reading: Reading) -> tuple[Candidate, ...]:
    """Return the candidates to choose from; of a settled line its own part is the first."""
    if reading.part_id is None:
        return reading.candidates
    chosen = [each for each in reading.candidates if each.part_id == reading.part_id]
    rest = [each for each in reading.candidates if each.part_id != reading.part_id]
    return (*(chosen or [Candidate(reading.part_id, 1.0, reading.evidence)]), *rest)


def _proposal(candidate: Candidate, parts: Mapping[int, PartRow]) -> Proposal:
    part = parts[candidate.part_id]
    return Proposal(
        part.id, part.maker, part.number, part.description, candidate.evidence, candidate.vetoed
    )


def _fields(listed: ListedLine) -> dict[str, str]:
    text = listed.text
    told = {
        "code": text.code,
        "maker": text.maker,
        "maker number": text.maker_number,
        "replaces": text.replaces,
        "description": text.description,
        "rating": text.rating,
        "material": text.material,
        "thread": text.thread,
        "section": text.section,
    }
    return {name: value for name, value in told.items() if value.strip()}


def _price(offer: ListedOffer) -> str:
    whole, part = divmod(offer.price_e4, 10_000)
    decimals = f"{part:04}".rstrip("0").ljust(2, "0")
    basis = f" for {offer.price_per}" if offer.price_per > 1 else ""
    return f"{whole}.{decimals} {offer.currency}{basis}"


def questions_of(batch: int, line_ids: Iterable[int], as_of: str) -> list[Question]:
    """Return the questions of certain lines of a batch as they are now, whatever their reading."""
    lines = line_history.line_rows(line_ids)
    readings = line_history.newest_readings(line.id for line in lines)
    pairs = [(readings[line.id], line) for line in lines]
    return _Questions(live_head(batch), pairs, as_of).ordered()


def read_anew_since(questions: Iterable[Question]) -> set[int]:
    """Return the lines that got another reading since their question was put."""
    put = {question.line_id: question.reading_id for question in questions}
    now = line_history.newest_readings(put)
    return {line_id for line_id, row in now.items() if row.id != put[line_id]}
