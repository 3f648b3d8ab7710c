"""A batch as it was stored gives the rows, readings and claims that its file gave."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from small_shop import BY, DAY, price_list

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.intake import IntakeAsk, intake, withdraw
from partsdb.jobs.reading_list import ReadList, read_list
from partsdb.jobs.stored_list import stored_list
from partsdb.store import makers
from partsdb.store.connect import open_database

ROWS = [
    "Spares,,,,,",
    '24-1180,Quillmere,"Valve kit, bypass, Q33, WC ball and seat",3300 psi,61.90,EUR',
    '24-1182,Quillmere,"Valve kit, bypass, Q33, WC ball and seat",3600 psi,POA,',
    'SR 7,,"Valve kit, replaces 24-1180, contents: 440C ball, seat",,33.50,GBP',
    'SR 8,,"Valve kit, replaces 24-1180",,33.50,',
    'SR 8,,"Valve kit, replaces 24-1180",,3.50,',
    '1.23E+11,Quillmere,"Valve kit",,5.00,',
    "Total,,,,140.00,",
]
HEAD = "Part number,Manufacturer,Description,Working pressure,Price,Currency"


@pytest.fixture
def read(bypass_shop: Path, tmp_path: Path) -> Iterator[tuple[ReadList, int]]:
    """The list as read from its file, and the batch that it became."""
    place = Path(shutil.copy(bypass_shop, tmp_path / "shop.db"))
    path = price_list(tmp_path, ROWS, head=HEAD)
    with open_database(place, write=True):
        supplier = makers.find_supplier("Saltreeve")
        yield (
            read_list(path, supplier, as_of=DAY),
            intake(IntakeAsk(path, "Saltreeve", DAY), BY).batch or 0,
        )


def test_every_row_comes_back_as_it_was_read(read):
    fresh, batch = read
    kept = stored_list(batch)
    assert len(kept.lines) == len(fresh.lines) >= len(ROWS)
    for old, new in zip(fresh.lines, kept.lines, strict=True):
        assert new.listed.row == old.listed.row
        assert new.reading == old.reading
        assert new.claims == old.claims
        assert new.contents == old.contents
        assert new.twin == old.twin


def test_the_offers_are_the_same_where_the_list_has_several_currencies(read):
    # Rows without a currency are in that of the terms, GBP; others name theirs.
    fresh, batch = read
    offers = [line.listed.offer for line in stored_list(batch).lines]
    assert offers == [line.listed.offer for line in fresh.lines]
    assert {offer.currency for offer in offers if offer} == {"EUR", "GBP"}


def test_file_supplier_and_assumptions_are_kept(read):
    fresh, batch = read
    kept = stored_list(batch)
    assert kept.supplier == fresh.supplier
    assert kept.assumptions == fresh.assumptions
    assert kept.source.sha256 == fresh.source.sha256
    assert kept.source.file_name == "list.csv"


def test_a_batch_that_does_not_stand_is_refused(read):
    _, batch = read
    with pytest.raises(NotFoundError, match="no price list '99'"):
        stored_list(99)
    withdraw(batch, "", BY)
    with pytest.raises(UsageError, match="was withdrawn"):
        stored_list(batch)
