"""What a price is for where packs are spoken of (handbook 8, defects 11 and 25; Rec 21 packages)."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from small_shop import BY, DAY, SmallShop, price_list

from partsdb.errors import InputRefusedError
from partsdb.jobs.intake import IntakeAsk, intake
from partsdb.jobs.layout_wishes import LayoutAsk
from partsdb.jobs.layouts import look_at
from partsdb.jobs.stored_list import stored_list
from partsdb.store import offers
from partsdb.store.connect import open_database

HEAD = "Part number,Manufacturer,Description,Price EUR,Price per,Pack,Unit,Min. qty"
Offers = list[tuple[int, int, int, int]]
Read = Callable[..., tuple[Offers, list[str]]]


@pytest.fixture
def read(bypass_shop: Path, tmp_path: Path) -> Iterator[Read]:
    """Return a function that reads one row and gives its offers and why there is none."""

    def take(row: str, head: str = HEAD) -> tuple[Offers, list[str]]:
        other = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, 3300 psi",61.90,1,1,EA,'
        path = price_list(tmp_path, [row, other], head=head)
        answer = intake(IntakeAsk(path, "Saltreeve", DAY), BY)
        found = [o for o in offers.offers_of_list(answer.batch or 0) if o.code != "24-1180"]
        lines = stored_list(answer.batch or 0).lines
        assert sum(line.offers for line in lines) == answer.offers, "the stored batch says the same"
        shown = [(o.price_e4, o.price_per, o.pack_units, o.min_units) for o in found]
        return shown, list(answer.problems)

    with open_database(shutil.copy(bypass_shop, tmp_path / "shop.db"), write=True):
        shop = SmallShop()
        shop.part("30-1", "o-ring", description="O-ring, dash 010, NBR")
        shop.part("30-2", "filter", description="Filter, gun handle, 60 mesh, pack of 2")
        yield take


RING = "30-1,Quillmere,{},8.00,{}"
FILTER = "30-2,Quillmere,{},8.00,{}"
PLAIN = '"O-ring, dash 010, NBR"'
TEN = '"O-ring, dash 010, NBR, pack of 10"'
PAIR = '"Filter, gun handle, 60 mesh, pack of 2"'


@pytest.mark.parametrize(
    ("row", "offer", "why"),
    [
        (RING.format(PLAIN, ",,EA,"), (80_000, 1, 1, 1), "no pack is spoken of"),
        (RING.format(TEN, "10,,EA,"), (80_000, 10, 1, 1), "the price is for the ten"),
        (RING.format(TEN, ",10,EA,"), (80_000, 1, 10, 1), "a piece, ten in the pack"),
        (RING.format(TEN, ",,PK,"), (80_000, 10, 10, 10), "a package of ten"),
        (RING.format(PLAIN, ",10,PK,2"), (80_000, 10, 10, 20), "two packages of ten at least"),
        (RING.format('"O-ring, dash 010, NBR, 1 pc"', ",,EA,"), (80_000, 1, 1, 1), "one is none"),
        (RING.format(PLAIN, ",,100 ST,"), (80_000, 100, 100, 1), "a unit of a hundred pieces"),
        (RING.format(PLAIN, ",,50 Stk.,"), (80_000, 50, 50, 1), "a unit of fifty pieces"),
        (FILTER.format(PAIR, ",,EA,"), (80_000, 1, 1, 1), "the article is the pair"),
        (FILTER.format(PAIR, ",,PK,"), (80_000, 1, 1, 1), "the package is the article"),
        (FILTER.format(PAIR, ",2,PK,"), (80_000, 1, 1, 1), "the package is the article"),
    ],
)
def test_the_price_is_for_what_the_columns_say(read, row, offer, why):
    assert read(row) == ([offer], []), why


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (RING.format(TEN, ",,EA,"), "a pack of 10: is the price for one or for all?"),
        (RING.format(TEN, ",,,"), "a pack of 10: is the price for one or for all?"),
        (RING.format('"O-ring, dash 010, price per 100 pcs"', "1,,EA,"), "a pack of 100"),
        (RING.format(PLAIN, ",,100 m,"), "the unit '100 m' counts something"),
        (RING.format(PLAIN, ",,25 bags,"), "the unit '25 bags' counts something"),
        (RING.format(PLAIN, ",,PK,"), "'PK' is a package and nobody says what it holds"),
        (RING.format(PLAIN, ",,BX,"), "'BX' is a package and nobody says what it holds"),
        (RING.format(TEN, ",5,EA,"), "the description says a pack of 10, the column 5"),
        (RING.format(PLAIN, "100,10,PK,"), "100 pieces or packages?"),
    ],
)
def test_what_nobody_can_tell_is_asked_and_makes_no_offer(read, row, said):
    found, problems = read(row)
    assert found == []
    (problem,) = problems
    assert problem.startswith("row 2: no offer: ")
    assert said in problem
    assert problem.endswith("ask the supplier")


@pytest.mark.parametrize("heading", ["Price EUR per pack", "Pack price EUR", "Preis/VPE EUR"])
def test_a_price_whose_heading_says_per_pack_is_for_what_the_pack_holds(read, heading):
    head = HEAD.replace("Price EUR,Price per", f"{heading},Colour")
    assert read(RING.format(PLAIN, "black,10,EA,"), head) == ([(80_000, 10, 10, 10)], [])
    found, problems = read(RING.format(PLAIN, "black,,EA,"), head)
    assert found == []
    assert any("the price basis 'pack' is a package and nobody says" in said for said in problems)


@pytest.mark.parametrize(
    ("basis", "offer"),
    [
        ("each", (80_000, 1, 1, 1)),
        ("Stk", (80_000, 1, 1, 1)),
        ("per piece", (80_000, 1, 1, 1)),
        ("dozen", (80_000, 12, 1, 1)),
        ("100 pcs", (80_000, 100, 1, 1)),
        ("CEN", (80_000, 100, 1, 1)),
    ],
)
def test_a_price_basis_may_be_a_word(read, basis, offer):
    assert read(RING.format(PLAIN, f"{basis},,EA,")) == ([offer], [])


@pytest.mark.parametrize(
    ("basis", "said"),
    [
        ("pack", "the price basis 'pack' is a package and nobody says what it holds"),
        ("M", "the price basis 'M' may be metre or thousand"),
        ("C", "the price basis 'C' may be hundred or carton"),
        ("lot", "the price basis 'lot' is no count of units"),
    ],
)
def test_a_price_basis_that_says_no_number_is_asked_about(read, basis, said):
    found, problems = read(RING.format(PLAIN, f"{basis},,EA,"))
    assert found == []
    assert said in problems[0]


def test_a_price_of_a_piece_is_preferred_to_that_of_a_pack(read):
    head = "Part number,Manufacturer,Description,Pack price EUR,Price each EUR,Pack,Unit,Min. qty"
    assert read(RING.format(PLAIN, "0.90,10,EA,"), head)[0] == [(9_000, 1, 10, 1)]


def test_a_letter_in_the_heading_is_asked_about_until_a_person_settles_it(read, tmp_path):
    head = HEAD.replace("Price EUR,Price per", "Price EUR/m,Colour")
    with pytest.raises(
        InputRefusedError, match="the price basis 'm' may be metre or thousand"
    ) as no:
        read(RING.format(PLAIN, "black,,EA,"), head)
    assert "pricelist layout" in no.value.hint
    ask = LayoutAsk(tmp_path / "list.csv", "Saltreeve", price_per="1", save=True)
    assert look_at(ask, BY).tables[0].priced == 2
    assert read(RING.format(PLAIN, "red,,EA,"), head) == ([(80_000, 1, 1, 1)], [])
