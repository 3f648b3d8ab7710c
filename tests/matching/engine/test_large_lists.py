"""A large list read in bulk: stricter than line by line, never laxer."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from partsdb.matching import bulk
from partsdb.matching.context import ListContext, PastDecision, decision_key, wrong_key
from partsdb.matching.engine.build import Catalogue
from partsdb.matching.engine.make import build_index
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, Reading, ReadingKind
from partsdb.rules.makers import name_key
from partsdb.rules.numbers import number_key
from partsdb.rules.pieces import abbreviations
from tests.bench import invented

LINES, PARTS = 3000, 4000
CONTEXT = ListContext("Kestrow", frozenset({"Kestrow"}), {name: name for name in invented.MAKERS})


class Shop:
    """A catalogue, indexed, and both ways of reading lines against it."""

    def __init__(self, folder: Path, entries: list[CatalogueEntry]) -> None:
        self.folder, self.entries = folder, {entry.part_id: entry for entry in entries}
        columns = Catalogue(
            [entry.part_id for entry in entries],
            [entry.number for entry in entries],
            [entry.description for entry in entries],
            [name_key(entry.maker) for entry in entries],
        )
        build_index(folder, columns, stamp="test", abbreviations=abbreviations())

    def in_bulk(self, lines: list[LineText], context: ListContext = CONTEXT) -> list[Reading]:
        proposed = bulk.proposals(self.folder, lines, context)
        named = bulk.claim_proposals(self.folder, lines)
        ids = {part for each in (*proposed, *named) for part, _ in each.offered}
        keys = bulk.written_keys(lines)
        ids |= {e.part_id for e in self.entries.values() if number_key(e.number) in keys}
        entries = [self.entries[part_id] for part_id in sorted(ids)]
        return bulk.read_proposed(lines, proposed, entries, context=context)

    def by_line(self, lines: list[LineText], context: ListContext = CONTEXT) -> list[Reading]:
        return read_lines(lines, self.entries.values(), context=context)


@pytest.fixture(scope="module")
def parts() -> list[tuple[int, str, str, str]]:
    return list(invented.parts(PARTS, seed=11))


@pytest.fixture(scope="module")
def shop(parts, tmp_path_factory: pytest.TempPathFactory) -> Shop:
    entries = [CatalogueEntry(i, maker, number, text) for i, maker, number, text in parts]
    return Shop(tmp_path_factory.mktemp("large"), entries)


@pytest.fixture(scope="module")
def rows(parts) -> list[tuple[LineText, int, str]]:
    """Lines with the part that each truly is (0: none) and what was done to its number."""
    rng = random.Random(5)
    found = []
    for at, (code, text, maker, truth, kind) in enumerate(invented.lines(parts, LINES, seed=12)):
        replaces = ""
        if rng.random() < 0.1:
            _, other, number, _ = parts[rng.randrange(len(parts))]
            replaces = f"{other} {number}" if rng.random() < 0.5 else number
        line = LineText(f"row {at}", code, text, maker, replaces=replaces)
        found.append((line, int(truth), str(kind)))
    return found


@pytest.fixture(scope="module")
def both(shop: Shop, rows) -> list[tuple[Reading, Reading]]:
    lines = [line for line, _, _ in rows]
    return list(zip(shop.in_bulk(lines), shop.by_line(lines), strict=True))


def test_every_offer_of_the_bulk_way_is_that_offer_line_by_line_or_a_question_there(both):
    laxer = [
        (bulk_, small)
        for bulk_, small in both
        if bulk_.kind is ReadingKind.OFFER
        and (small.kind, small.part_id) != (bulk_.kind, bulk_.part_id)
        and small.kind is not ReadingKind.TO_REVIEW
    ]
    assert laxer == []
    offers = sum(bulk_.kind is ReadingKind.OFFER for bulk_, _ in both)
    assert offers > LINES / 4


def test_no_near_miss_becomes_an_offer_by_either_way(both, rows):
    made = [
        (line.code, bulk_.kind, small.kind)
        for (bulk_, small), (line, truth, kind) in zip(both, rows, strict=True)
        if kind in ("near", "transposition") and not truth
        and ReadingKind.OFFER in (bulk_.kind, small.kind)
    ]  # fmt: skip
    assert made == []
    assert sum(kind == "near" for _, _, kind in rows) > LINES / 10


def test_no_offer_of_the_bulk_way_is_another_part_than_the_line_truly_is(both, rows):
    wrong = [
        (line.code, bulk_.part_id, truth)
        for (bulk_, _), (line, truth, _) in zip(both, rows, strict=True)
        if bulk_.kind is ReadingKind.OFFER and bulk_.part_id != truth
    ]
    assert wrong == []


def test_a_claim_to_replace_names_the_same_part_by_both_ways(both, rows):
    outcomes = Counter(
        (bulk_.part_id == small.part_id, bulk_.kind.value)
        for bulk_, small in both
        if ReadingKind.REPLACEMENT in (bulk_.kind, small.kind)
    )
    assert outcomes[True, "replacement"] > 100
    assert not outcomes[False, "replacement"]


def test_a_question_carries_the_candidates_that_the_whole_catalogue_offers(both, rows):
    near = [
        bulk_
        for (bulk_, _), (_, _, kind) in zip(both, rows, strict=True)
        if kind == "near" and bulk_.kind is ReadingKind.TO_REVIEW
    ]
    assert near
    assert all(1 <= len(each.candidates) <= 5 for each in near)
    assert all(len({c.part_id for c in each.candidates}) == len(each.candidates) for each in near)


def _exact(shop: Shop, rows) -> tuple[LineText, int]:
    """A line that the bulk way takes for an offer by its number as printed."""
    lines = [line for line, _, kind in rows if kind == "exact" and not line.replaces]
    found = zip(lines, shop.in_bulk(lines), strict=True)
    return next((line, r.part_id) for line, r in found if r.kind is ReadingKind.OFFER)


def test_what_a_person_decided_stands_and_what_was_a_wrong_match_is_no_offer(shop: Shop, rows):
    line, part_id = _exact(shop, rows)
    decided = PastDecision(ReadingKind.NEW_PART)
    told = ListContext("Kestrow", decisions={decision_key(line): decided})
    assert shop.in_bulk([line], told)[0].kind is ReadingKind.NEW_PART
    told = ListContext("Kestrow", wrong={wrong_key(line): frozenset({part_id})})
    (reading,) = shop.in_bulk([line], told)
    assert (reading.kind, reading.part_id) == (ReadingKind.TO_REVIEW, None)


@pytest.mark.parametrize(
    ("changed", "why"),
    [({"maker": "Brindlemoor"}, "another maker"), ({"thread": "M30x2"}, "another thread")],
)
def test_what_the_columns_contradict_is_no_offer_though_the_engine_settles(
    tmp_path: Path, changed: dict[str, str], why: str
):
    text = "Nipple, outlet, 1/4 NPT, carbon steel"
    shop = Shop(tmp_path, [CatalogueEntry(1, "Quillmere", "28-1222", text, "nipple")])
    fields = {"place": "row 1", "code": "28-1222", "description": text, "maker": "Quillmere"}
    assert shop.in_bulk([LineText(**fields)])[0].kind is ReadingKind.OFFER
    assert shop.in_bulk([LineText(**(fields | changed))])[0].kind is not ReadingKind.OFFER, why


def test_where_the_engine_does_not_settle_the_rules_alone_make_no_offer(tmp_path: Path):
    text = "Nipple, outlet, 1/4 NPT, carbon steel"
    entries = [CatalogueEntry(1, "Quillmere", "28-1222", text, "nipple")]
    shop = Shop(tmp_path, entries)
    line = LineText("row 1", "28-1222", text, "Quillmere")
    settled = bulk.proposals(tmp_path, [line], CONTEXT)[0]
    unsettled = bulk.Proposal(None, settled.offered)
    other = bulk.Proposal(99, ((99, settled.offered[0][1]),))
    for proposal in (unsettled, other):
        (reading,) = bulk.read_proposed([line], [proposal], entries, context=CONTEXT)
        assert (reading.kind, reading.part_id) == (ReadingKind.TO_REVIEW, None)
        assert 1 in [each.part_id for each in reading.candidates]
    assert shop.in_bulk([line])[0].part_id == 1


def test_a_line_of_a_number_alone_is_read_as_it_is_line_by_line(shop: Shop, rows):
    lines = [LineText(line.place, line.code) for line, _, kind in rows if kind == "exact"][:50]
    bulk_, small = shop.in_bulk(lines), shop.by_line(lines)
    assert [r.kind for r in bulk_] == [r.kind for r in small]
    assert [r.part_id for r in bulk_] == [r.part_id for r in small]
    assert ReadingKind.OFFER in {r.kind for r in bulk_}
