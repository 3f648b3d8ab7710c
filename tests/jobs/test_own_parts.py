"""Whose number a supplier's own part is, and that it is stored once."""

from __future__ import annotations

from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop, price_list

from importers.rows import ListRow, RowKind
from partsdb.jobs.intake import IntakeAsk, intake
from partsdb.jobs.listed import ListedLine
from partsdb.jobs.own_parts import OwnParts
from partsdb.jobs.reading_list import ReadLine
from partsdb.matching.readings import LineText, Reading, ReadingKind
from partsdb.rules.facts import EvidenceLevel, KitItem
from partsdb.store import catalogue, claims, lists, makers, sql
from partsdb.store.rows_lists import NewList

ROD = KitItem("rod", "rod", 1, "wear item")


def line(kind: ReadingKind, part_id: int | None = None, **said: str) -> ReadLine:
    contents = (ROD,) if said.pop("contents", "") else None
    row = ListRow(RowKind.ITEM, "", 2, {"origin": "TW"})
    return ReadLine(
        ListedLine(row, LineText("row 2", **said)), Reading(kind, part_id), contents=contents
    )


@pytest.fixture
def asked(small: SmallShop) -> int:
    makers.add_maker("Corrowby")
    makers.add_supplier("Saltreeve")
    return small.part("24-1180", "valve kit")


@pytest.fixture
def own(asked: int) -> OwnParts:
    supplier = makers.find_supplier("Saltreeve")
    assert supplier is not None
    return OwnParts(supplier, BY)


def batch() -> int:
    supplier = makers.find_supplier("Saltreeve")
    assert supplier is not None
    return lists.add_list(NewList(supplier.id, "list.csv", "0" * 64, "csv"), by=BY)


def stored(own: OwnParts, *lines: ReadLine) -> list[Any]:
    ids = own.store(lines, batch())
    rows = catalogue.part_rows(i for i in ids if i is not None)
    return [None if i is None else rows[i] for i in ids]


def test_a_replacement_is_the_suppliers_own_with_the_role_of_what_it_replaces(own, asked):
    (part,) = stored(own, line(ReadingKind.REPLACEMENT, asked, code="SR 1", description="Kit"))
    assert (part.maker, part.number, part.role) == ("Saltreeve", "SR 1", "valve kit")
    assert part.origin == "TW"


def test_a_new_part_keeps_its_makers_number_and_name(own):
    new = line(
        ReadingKind.NEW_PART, code="SR 2", maker="Ambrelle", maker_number="AF-9",
        description="Hose 3/8, 5000 psi",
    )  # fmt: skip
    (part,) = stored(own, new)
    assert (part.maker, part.number, part.role) == ("Ambrelle", "AF-9", "hose")


@pytest.mark.parametrize(
    "kind",
    [ReadingKind.OFFER, ReadingKind.TO_REVIEW, ReadingKind.NOT_OURS, ReadingKind.NOT_A_PART],
)
def test_only_replacements_and_new_parts_are_stored(own, asked, kind):
    before = sql.rows("SELECT count(*) FROM part")
    assert stored(own, line(kind, asked, code="SR 3", maker="Quillmere")) == [None]
    assert sql.rows("SELECT count(*) FROM part") == before


def test_a_line_without_any_number_has_no_own_part(own, asked):
    assert stored(own, line(ReadingKind.REPLACEMENT, asked, description="Kit")) == [None]


def test_the_same_number_twice_is_one_part(own, asked):
    one, two = stored(own, *[line(ReadingKind.REPLACEMENT, asked, code="SR 1")] * 2)
    assert one == two


def test_known_parts_are_found_by_the_number_as_printed_alone(own, asked, small):
    one = small.part("SR 1-2", maker="Saltreeve")
    lines = [line(ReadingKind.REPLACEMENT, asked, code=code) for code in ("SR 1-2", "SR 12", "X")]
    assert own.known(lines) == [one, None, None]


@pytest.mark.parametrize(
    ("brand", "whose"),
    [("Corrowby", "Corrowby"), ("Corowby", "Corrowby"), ("Quillmere", "Saltreeve"), ("Nobody", "Saltreeve")],
)  # fmt: skip
def test_the_brand_on_a_replacement_counts_only_when_it_is_known_and_another(own, asked, brand, whose):  # fmt: skip
    replacement = line(ReadingKind.REPLACEMENT, asked, code="SR 1", maker=brand)
    assert [part.maker for part in stored(own, replacement)] == [whose]


def test_contents_that_a_list_states_are_kept_for_its_own_kits_only(own, asked, small):
    ours = small.part("CW 1", "valve kit", maker="Corrowby", contents=(ROD, ROD))
    said = {"contents": "yes", "maker": "Corrowby"}
    mine, theirs = stored(
        own,
        line(ReadingKind.REPLACEMENT, asked, code="CW 1", **said),
        line(ReadingKind.REPLACEMENT, asked, code="CW 2", **said),
    )
    facts = claims.part_facts([ours, theirs.id])
    assert mine.id == ours
    assert facts[ours].contents == (ROD, ROD)
    assert facts[theirs.id].contents == (ROD,)
    assert facts[ours].contents_evidence == EvidenceLevel.MAKERS_DOCUMENT
    assert facts[theirs.id].contents_evidence == EvidenceLevel.SUPPLIERS_WORD


def test_what_the_shop_states_of_a_sellers_kit_stays_when_the_next_list_comes(own, asked):
    said = {"contents": "yes", "maker": "Corrowby"}
    (theirs,) = stored(own, line(ReadingKind.REPLACEMENT, asked, code="CW 2", **said))
    assert theirs.contents_stated == claims.BY_A_SELLER
    claims.set_contents(theirs.id, (ROD, ROD))
    again = {"contents": "yes", "maker": "Corrowby"}
    own.store([line(ReadingKind.REPLACEMENT, asked, code="CW 2", **again)], theirs.price_list_id)
    facts = claims.part_facts([theirs.id])[theirs.id]
    assert facts.contents == (ROD, ROD)
    assert facts.contents_evidence == EvidenceLevel.MAKERS_DOCUMENT


def test_a_suppliers_brand_is_the_maker_of_its_own_numbers(small, tmp_path):
    small.part("24-1180", "valve kit")
    makers.add_supplier("Saltreeve", maker_id=makers.add_maker("Harbourline"))
    row = 'HL 5,,"Valve kit, bypass, replaces Quillmere 24-1180",30.00'
    intake(IntakeAsk(price_list(tmp_path, [row]), "Saltreeve", DAY), BY)
    (part,) = catalogue.find_parts("HL 5")
    assert part.maker == "Harbourline"
