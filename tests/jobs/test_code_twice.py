"""A code that stands twice in a list: another price is disputed, the same one is stored once."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from small_shop import BY, DAY, price_list

from partsdb.jobs.decisions import Answer, decide, undo
from partsdb.jobs.intake import IntakeAsk, intake
from partsdb.jobs.list_answers import BatchAnswer
from partsdb.store import line_history, lists, offers
from partsdb.store.connect import open_database

HEAD = "Part number,Manufacturer,Description,Price EUR,Price per,Pack,Min. qty,Stock,Lead days"
KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'
SOLD = "1,1,1,5,3"

Read = Callable[..., BatchAnswer]


@pytest.fixture
def read(bypass_shop: Path, tmp_path: Path) -> Iterator[Read]:
    def take(*rows: str, name: str = "list.csv", supplier: str = "Saltreeve") -> BatchAnswer:
        path = price_list(tmp_path, rows, name=name, head=HEAD)
        return intake(IntakeAsk(path, supplier, DAY), BY)

    with open_database(shutil.copy(bypass_shop, tmp_path / "shop.db"), write=True):
        yield take


def stored(answer: BatchAnswer) -> list[tuple[str, int, int]]:
    return [(o.code, o.price_e4, o.pack_units) for o in offers.offers_of_list(answer.batch or 0)]


def live(batch: int) -> set[int]:
    """Return the lines of the batch that make a live offer."""
    return set(line_history.offer_holds(batch, (line.id for line in lists.lines_of(batch))))


@pytest.mark.parametrize(
    ("again", "why"),
    [
        (f"{KIT},61.90,{SOLD}", "the same row"),
        (f"{KIT},6190,100,1,1,5,3", "61.90 each is 6190 per 100"),
        (f"{KIT},61.90,1,1,1,0,9", "another stock or lead time is no other price"),
        (f"{KIT.replace('24-1180', '24 1180')},61.90,{SOLD}", "the same key of the code"),
    ],
)
def test_one_article_twice_at_one_price_is_one_offer_and_said_once(read, again, why):
    answer = read(f"{KIT},61.90,{SOLD}", again)
    assert stored(answer) == [("24-1180", 619_000, 1)], why
    assert (answer.offers, answer.changes["new"], answer.problems) == (1, 1, ())
    said = [each for each in answer.assumptions if "again at the same price" in each]
    assert len(said) == 1
    assert said[0].startswith("1 row offers an article again at the same price, stored once: row 3")


@pytest.mark.parametrize(
    ("again", "why"),
    [
        (f"{KIT},61.90,1,10,1,5,3", "a pack of ten is bought otherwise"),
        (f"{KIT},61.90,1,1,5,5,3", "five at least"),
    ],
)
def test_another_pack_or_minimum_at_the_same_price_is_an_offer_of_its_own(read, again, why):
    answer = read(f"{KIT},61.90,{SOLD}", again)
    assert len(stored(answer)) == 2, why


def test_a_part_of_their_own_that_stands_twice_is_stored_once(read):
    own = 'SR 7001,,"Valve kit, bypass, Q33, 1/4 NPT, replaces 24-1180, WC ball and seat, 3400 psi"'
    answer = read(f"{own},33.50,{SOLD}", f"{own},33.50,{SOLD}", f"{own},33.50,{SOLD}")
    assert stored(answer) == [("SR 7001", 335_000, 1)]
    assert (answer.offers, answer.changes["new"]) == (1, 1)
    assert any("2 rows offer an article again" in said for said in answer.assumptions)


def test_a_third_row_with_another_price_disputes_all_of_them(read):
    answer = read(f"{KIT},61.90,{SOLD}", f"{KIT},61.90,{SOLD}", f"{KIT},16.90,{SOLD}")
    assert stored(answer) == []
    assert [problem.partition(":")[0] for problem in answer.problems] == ["row 2", "row 3", "row 4"]


def test_a_row_that_repeated_what_is_another_part_now_makes_an_offer_of_its_own(read):
    other = KIT.replace("bypass, Q33", "bypass, long, Q33")
    answer = read(f"{KIT},61.90,{SOLD}", f"{other},61.90,{SOLD}")
    assert len(stored(answer)) == 1
    batch = answer.batch or 0
    first = min((r for r in lists.readings_of(batch) if r.kind == "offer"), key=lambda r: r.line_id)
    decide(batch, [Answer(first.line_id, first.id, "not ours")], BY)
    assert live(batch) == {first.line_id + 1}
    undo(batch, BY)
    assert live(batch) == {first.line_id}


def test_codes_that_differ_in_a_letter_of_another_script_are_two_articles(read):
    answer = read(
        f'КЛ-100,,"Seal kit, 18 mm",10.00,{SOLD}', f'КШ-100,,"Seal kit, 18 mm",10.00,{SOLD}',
        f'Ä-5,,"Seal kit, 20 mm",5.00,{SOLD}', f'Ö-5,,"Seal kit, 20 mm",6.00,{SOLD}',
    )  # fmt: skip
    assert [code for code, _, _ in stored(answer)] == ["КЛ-100", "КШ-100", "Ä-5", "Ö-5"]
