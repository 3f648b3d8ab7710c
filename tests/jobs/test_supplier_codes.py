"""A supplier's own code in place of a number: taken by questions, which say whose it is."""

from __future__ import annotations

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.errors import AmbiguousError, NotFoundError
from partsdb.jobs.cards import part_card
from partsdb.jobs.chain import machine_chain
from partsdb.jobs.found import found_parts
from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.jobs.kits import kit_contents
from partsdb.jobs.lots import ReceiveAsk, receive
from partsdb.jobs.named import part_asked, the_part
from partsdb.jobs.why_not import why_not
from partsdb.store import lists, offers, withdrawal
from partsdb.store.rows import NewOffer
from partsdb.store.rows_lists import NewList

WHOSE = "KE-10 is Kestrow's code for Quillmere 27-1"


@pytest.fixture
def hoses(small: SmallShop) -> dict[str, int]:
    """A hose that Kestrow sells as KE-10, and one that is proposed in its place as KE-20."""
    ids = {
        "27-1": small.part("27-1", "hose", rating="3600 psi"),
        "27-2": small.part("27-2", "hose", rating="3400 psi", maker="Tarnbeck"),
    }
    ids["Kestrow"] = small.supplier("Kestrow")
    small.edge(ids["27-1"], ids["27-2"], "proposed")
    small.position(small.machine(), "hose", "hose", (ids["27-1"],), "3300 psi")
    small.offer(ids["Kestrow"], ids["27-1"], "60", code="KE-10")
    small.offer(ids["Kestrow"], ids["27-2"], "40", code="KE-20")
    return ids


@pytest.mark.usefixtures("hoses")
@pytest.mark.parametrize("written", ["KE-10", " KE-10 ", "ke10", "KE 10", "KE.10", "ke/10"])
def test_a_code_however_written_is_told_with_its_supplier_and_the_makers_part(written):
    asked = part_asked(written)
    assert (asked.part.number, asked.said) == ("27-1", WHOSE)


@pytest.mark.usefixtures("hoses")
def test_every_question_asked_by_a_code_says_so():
    answer = instead(InsteadAsk("KE-10", DAY))
    assert (answer.asked.maker, answer.asked.number) == ("Quillmere", "27-1")
    assert answer.notes[0] == WHOSE
    assert part_card("KE-10", None, as_of=DAY).asked_as == WHOSE
    assert kit_contents("KE-10", None).said == WHOSE
    assert WHOSE in machine_chain("Q33", None, ["KE-10"], as_of=DAY).notes
    assert WHOSE in machine_chain("Q33", None, ["hose=KE-10"], as_of=DAY).notes
    other = why_not(InsteadAsk("KE-10", DAY), "KE-20")
    assert other.candidate.number == "27-2"
    assert other.notes[:2] == (WHOSE, "KE-20 is Kestrow's code for Tarnbeck 27-2")
    [found] = found_parts("KE-10").parts
    assert (found.part.number, found.way) == ("27-1", WHOSE)


@pytest.mark.usefixtures("hoses")
def test_asked_by_its_number_nothing_is_said_of_codes():
    assert instead(InsteadAsk("27-1", DAY)).notes == ()
    assert part_card("27-1", None, as_of=DAY).asked_as == ""
    assert machine_chain("Q33", None, ["27-2"], as_of=DAY).notes == ()


@pytest.mark.usefixtures("hoses")
def test_what_is_recorded_goes_by_the_number_and_the_refusal_says_which():
    with pytest.raises(NotFoundError) as refused:
        receive(ReceiveAsk("KE-10", "Kestrow", 4, DAY), BY)
    assert refused.value.hint == f"{WHOSE}: write the maker's number"


def test_a_makers_number_comes_before_a_code_that_reads_alike(small, hoses):
    other = small.part("KE-10", "hose", maker="Corrowby")
    assert part_asked("KE-10").part.id == other
    assert part_asked("KE-10").said == ""


@pytest.mark.usefixtures("hoses")
def test_with_a_maker_named_a_code_is_not_looked_for():
    with pytest.raises(NotFoundError):
        part_asked("KE-10", "Quillmere")


def test_a_code_of_two_parts_is_asked_about_and_a_shared_one_names_both_sellers(small, hoses):
    ninefold = small.supplier("Ninefold")
    small.offer(ninefold, hoses["27-1"], "61", code="KE-10")
    assert part_asked("KE-10").said == f"{WHOSE}; KE-10 is Ninefold's code for Quillmere 27-1"
    small.offer(small.supplier("Saltreeve"), hoses["27-2"], "62", code="KE-10")
    with pytest.raises(AmbiguousError) as refused:
        part_asked("KE-10")
    assert "Tarnbeck 27-2 (KE-10 is Saltreeve's code for Tarnbeck 27-2)" in str(refused.value)


def test_a_code_that_waits_for_a_person_or_was_withdrawn_means_nothing(small, hoses):
    waits = NewOffer(hoses["Kestrow"], hoses["27-1"], 10_000, "EUR", "KE-30", held="decide first")
    offers.add_offers([waits], by=BY)
    batch = lists.add_list(NewList(hoses["Kestrow"], "k.csv", "ab" * 32, "csv"), by=BY)
    gone = NewOffer(hoses["Kestrow"], hoses["27-1"], 10_000, "EUR", "KE-31", price_list_id=batch)
    offers.add_offers([gone], by=BY)
    assert part_asked("KE-31").part.number == "27-1"
    withdrawal.withdraw_list(batch, "wrong quarter", by=BY)
    for code in ("KE-30", "KE-31"):
        with pytest.raises(NotFoundError):
            part_asked(code)


@pytest.mark.parametrize("written", ["KE-1", "KE-1O", "KE-100", "", "-"])
def test_another_code_is_no_code_of_it(small, hoses, written):
    small.offer(hoses["Kestrow"], hoses["27-1"], "60", code=".")
    with pytest.raises(NotFoundError) as refused:
        part_asked(written)
    assert "Kestrow" not in refused.value.hint


def test_a_part_that_only_stands_in_says_for_what(small, hoses):
    note = instead(InsteadAsk("27-2", DAY)).notes[0]
    assert note.startswith("Tarnbeck 27-2 is to stand in for Quillmere 27-1 (proposed)")
    small.edge(hoses["27-1"], hoses["27-2"], "rejected")
    assert "is to stand in" not in " ".join(instead(InsteadAsk("27-2", DAY)).notes)


def test_the_number_itself_is_still_what_the_part_answers_to(hoses):
    assert the_part("27-1").id == hoses["27-1"]
