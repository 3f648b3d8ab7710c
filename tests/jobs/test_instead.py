"""What may be fitted instead: the order of the candidates, what each says, and what is refused."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.errors import AmbiguousError, NotFoundError, UsageError
from partsdb.jobs.answers import CandidateAnswer, InsteadAnswer
from partsdb.jobs.instead import InsteadAsk, best_of, instead
from partsdb.rules.facts import ClaimKind, EvidenceLevel, KitItem
from partsdb.store import edges
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import SupersessionRow

HERE = EvidenceLevel.MEASURED_HERE
PROVEN = EvidenceLevel.PROVEN_HERE
WORD = EvidenceLevel.SUPPLIERS_WORD


def asked(number: str = "A", **more: Any) -> InsteadAnswer:
    return instead(InsteadAsk(number, DAY, **more))


def candidates(number: str = "A", **more: Any) -> dict[str, CandidateAnswer]:
    return {each.number: each for each in asked(number, **more).candidates}


def order(number: str = "A", **more: Any) -> list[str]:
    return [each.number for each in asked(number, **more).candidates]


@pytest.fixture
def collar(small: SmallShop) -> int:
    """A collar that the Q33 calls for: hardware, so that only the edge decides."""
    part = small.part("A")
    small.position(small.machine(), "lock collar", "collar", (part,))
    return part


# Order


@pytest.mark.parametrize(
    ("top", "shown", "others"),
    [
        (1, ["fit"], {"fit with conditions": 1, "ask first": 1, "do not fit": 1}),
        (3, ["fit", "conditions", "open"], {"do not fit": 1}),
        (4, ["fit", "conditions", "open", "rejected"], {}),
        (9, ["fit", "conditions", "open", "rejected"], {}),
    ],
)
def test_the_best_are_a_beginning_of_the_whole_and_the_others_are_counted(
    small, collar, top, shown, others
):
    small.edge(collar, small.part("rejected"), "rejected", HERE)
    small.edge(collar, small.part("open"), "proposed", WORD)
    small.edge(collar, small.part("conditions"), conditions=("from serial 4000",))
    small.edge(collar, small.part("fit"))
    best = best_of(asked(), top)
    assert [each.number for each in best.candidates] == shown
    assert best.not_shown == others
    assert list(best.not_shown) == list(others)  # best first, as the candidates stand
    assert best.cautions == asked().cautions


def test_the_verdict_comes_first(small, collar):
    small.edge(collar, small.part("rejected"), "rejected", HERE)
    small.edge(collar, small.part("open"), "proposed", WORD)
    small.edge(collar, small.part("conditions"), conditions=("from serial 4000",))
    small.edge(collar, small.part("fit"))
    assert [(e.number, str(e.verdict)) for e in asked().candidates] == [
        ("fit", "fit"),
        ("conditions", "fit with conditions"),
        ("open", "ask first"),
        ("rejected", "do not fit"),
    ]


def test_then_the_evidence(small, collar):
    levels = {"B": PROVEN, "C": HERE, "D": EvidenceLevel.MAKERS_DOCUMENT}
    for number, level in levels.items():
        small.edge(collar, small.part(number), evidence=level)
    assert order() == ["D", "C", "B"]


def test_then_what_is_on_offer(small, collar):
    small.edge(collar, small.part("B"))
    on_offer = small.part("C")
    small.edge(collar, on_offer)
    small.offer(small.supplier("Kestrow"), on_offer, "10.00")
    assert order() == ["C", "B"]


def test_an_offer_of_a_barred_supplier_puts_nothing_forward(small, collar):
    barred = small.supplier("Ninefold")
    small.grade("supplier", barred, "barred")
    for number, seller in (("B", barred), ("C", small.supplier("Kestrow"))):
        part = small.part(number)
        small.edge(collar, part)
        small.offer(seller, part, "1.00" if seller == barred else "10.00")
    assert order() == ["C", "B"]
    assert candidates()["B"].offers[0].grade == "barred"


def test_then_the_grade_an_ungraded_part_between_c_and_d(small, collar):
    for grade in ("D", "B", "", "C", "A"):
        part = small.part(f"graded {grade}".strip())
        small.edge(collar, part)
        if grade:
            small.grade("part", part, grade)
    found = asked().candidates
    # D asks for an inspection of every piece, so it is fit with conditions and comes last anyway.
    assert [each.grade for each in found] == ["A", "B", "C", "", "D"]


def test_then_the_days_until_it_is_here_and_then_the_money(small, collar):
    offered = {"slow": ("1.00", 9), "dear": ("20.00", 2), "cheap": ("10.00", 2), "unknown": ("0.50", None)}  # fmt: skip
    supplier = small.supplier("Kestrow", lead_days=None)
    for number, (price, days) in offered.items():
        part = small.part(number)
        small.edge(collar, part)
        small.offer(supplier, part, price, lead_days=days)
    assert order() == ["cheap", "dear", "slow", "unknown"]


def test_at_last_maker_and_number(small, collar):
    for number, maker in (("Z", "Corrowby"), ("M", "Quillmere"), ("B", "Quillmere"), ("Y", "Ambrelle")):  # fmt: skip
        small.edge(collar, small.part(number, maker=maker))
    assert order() == ["Y", "Z", "B", "M"]


def test_what_is_barred_stands_last_and_is_never_fitted(small, collar):
    barred, open_one = small.part("B"), small.part("C")
    small.edge(collar, barred)
    small.edge(collar, open_one, "proposed", WORD)
    small.grade("part", barred, "barred")
    found = asked().candidates
    assert [each.number for each in found] == ["C", "B"]
    assert (found[-1].verdict, found[-1].grade) == ("do not fit", "barred")
    assert any("barred" in check.text for check in found[-1].checks)


# What each candidate says


def test_conditions_travel_from_every_edge_of_the_way(small, collar):
    one, two = small.part("B"), small.part("C")
    small.edge(collar, one, conditions=("from serial 4000",))
    small.edge(one, two, conditions=("needs a longer pin",))
    found = candidates()
    assert found["B"].conditions == ("from serial 4000",)
    assert set(found["C"].conditions) >= {"from serial 4000", "needs a longer pin"}
    assert found["C"].verdict == "ask first"  # a path is a lead, never an approval
    assert len(found["C"].path) == 2


def test_a_rejection_is_said_with_its_source(small, collar):
    small.edge(collar, small.part("B"), "rejected", HERE)
    (found,) = asked().candidates
    assert found.verdict == "do not fit"
    assert any("rejected" in c.text and "QB-1" in c.text for c in found.checks)
    assert found.path == ("Quillmere A → Quillmere B: rejected, measured here (QB-1)",)


def test_a_successor_is_a_candidate_and_the_chain_is_noted(small, collar):
    new = small.part("B")
    edges.add_supersession(SupersessionRow(0, collar, new, "2022-03-01", "", "", "QB-98"), by=BY)
    answer = asked()
    assert [each.number for each in answer.candidates] == ["B"]
    assert answer.candidates[0].verdict == "fit"
    assert answer.notes == ("Quillmere A is superseded: Quillmere A → Quillmere B",)


def test_a_circle_of_successors_gives_no_candidate(small, collar):
    other = small.part("B")
    for old, new in ((collar, other), (other, collar)):
        edges.add_supersession(SupersessionRow(0, old, new, None, "", "", ""), by=BY)
    answer = asked()
    assert answer.candidates == ()
    assert answer.notes[0].startswith("CYCLE")


def test_no_candidate_is_said_with_what_to_do(collar):
    answer = asked()
    assert answer.candidates == ()
    (note,) = answer.notes
    assert "nothing here is known to stand in for it" in note
    assert "part accept" in note


def test_a_kit_says_what_it_lacks_and_that_is_given_up(small):
    ball = KitItem("Ball", "ball", 1, "wear item", "440C stainless")
    ring = KitItem("Gland ring", "gland ring", 1, "wear item", "bronze")
    full = small.part("A", "packing kit", contents=(ball, ring))
    short = small.part("B", "packing kit", contents=(ball,))
    small.position(small.machine(), "packing set", "packing kit", (full,))
    small.edge(full, short)
    (found,) = asked().candidates
    assert found.missing == ("gland ring x1",)
    assert "without gland ring x1" in found.gives_up
    assert "no supplier offers it today" in found.gives_up
    assert found.verdict != "fit"


def test_a_rating_below_the_machines_fails_with_both_figures(small):
    original, weak = small.part("A", "hose", rating="3300 psi"), small.part("B", "hose", rating="3000 psi")  # fmt: skip
    small.position(small.machine(), "hose", "hose", (original,), "3300 psi")
    small.edge(original, weak)
    (found,) = asked().candidates
    (check,) = [c for c in found.checks if c.check == "pressure"]
    assert found.verdict == "do not fit"
    assert check.outcome == "fails"
    assert check.code == "PRESSURE_LOW"
    assert "3000 psi" in check.text
    assert "3300 psi" in check.text


def test_the_offers_of_the_very_part_are_told_too(small, collar):
    small.offer(small.supplier("Kestrow"), collar, "61.90", stock="0")
    (offer,) = asked().asked_offers
    assert (offer.supplier, offer.landed_minor, offer.stock) == ("Kestrow", 6190, "0")


# What narrows the question


def test_a_machine_or_position_narrows_where_it_is_judged(small):
    hose = small.part("A", "hose", rating="5000 psi")
    other = small.part("B", "hose", rating="3500 psi")
    for part in (hose, other):
        small.claim(part, ClaimKind.PORT, "9/16-18 JIC female", about="inlet")
    q28, q40 = small.machine("Q28"), small.machine("Q40")
    port = {"ports": ("9/16-18 JIC male",)}
    small.position(q28, "hose", "hose", (hose,), "2800 psi", **port)
    small.position(q40, "hose", "hose", (hose,), "4000 psi", **port)
    small.position(q40, "tail hose", "hose", (hose,), "3000 psi", **port)
    small.edge(hose, other)

    def verdict(**more: str) -> str:
        return str(candidates(**more)["B"].verdict)

    assert verdict() == "do not fit"  # the worst of all its positions
    assert verdict(machine="Q28") == "fit"
    assert verdict(machine="Q40") == "do not fit"
    assert verdict(machine="Q40", position="tail hose") == "fit"
    assert asked(machine="Q28").positions == ("Quillmere Q28 hose, 2800 psi",)
    assert len(asked().positions) == 3


def test_a_quantity_is_landed_as_one_order(small, collar):
    part = small.part("B")
    small.edge(collar, part)
    small.offer(small.supplier("Kestrow", freight_minor=1000), part, "10.00", pack_units=4)
    (offer,) = candidates(quantity=5)["B"].offers
    assert (offer.units, offer.landed_minor) == (8, 8 * 1000 + 1000)


def test_what_comes_too_late_or_nobody_knows_when_is_no_offer(small, collar):
    part = small.part("B")
    small.edge(collar, part)
    supplier = small.supplier("Kestrow", lead_days=None)
    for code, days in (("in time", 5), ("late", 6), ("unknown", None)):
        small.offer(supplier, part, "10.00", code=code, lead_days=days)
    assert len(candidates()["B"].offers) == 3
    (left,) = candidates(by="2026-11-25")["B"].offers  # five days after the day asked
    assert left.code == "in time"


# What is refused


def test_one_number_of_two_makers_asks_whose(small, collar):
    small.part("A", maker="Corrowby")
    with pytest.raises(AmbiguousError) as refused:
        asked()
    assert refused.value.choices == ["Corrowby A", "Quillmere A"]
    assert "--maker" in refused.value.hint
    assert asked(maker="Quillmere").asked.maker == "Quillmere"


@pytest.mark.parametrize(
    ("more", "error", "said"),
    [
        ({"number": "no such"}, NotFoundError, "no part 'no such'"),
        ({"maker": "Nobody"}, NotFoundError, "no maker 'Nobody'"),
        ({"machine": "Q99"}, NotFoundError, "no machine 'Q99'"),
        ({"machine": "Q33", "position": "roof"}, NotFoundError, "no position 'Q33: roof'"),
        ({"position": "lock collar"}, UsageError, "--position needs --machine"),
        ({"quantity": 0}, UsageError, "quantity of 0"),
        ({"by": "2026-11-19"}, UsageError, "lies before"),
    ],
)
def test_what_cannot_be_answered_is_refused(collar, more, error, said):
    with pytest.raises(error, match=said) as refused:
        asked(**{"number": "A", **more})
    assert refused.value.hint


@pytest.mark.parametrize("typed", ["30-118O", "3O-1180", "30-1181", "30-11800", "030-1180"])
def test_a_number_that_only_looks_like_ours_is_asked_back_and_never_answered(small, typed):
    small.part("30-1180")
    with pytest.raises(NotFoundError) as refused:
        asked(typed)
    assert "did you mean Quillmere 30-1180?" in (refused.value.hint or "")


def test_a_machine_that_does_not_call_for_the_part_is_said(small, collar):
    other = small.machine("Q50")
    for name in ("upper packing", "gun"):
        small.position(other, name, "collar", (small.part(f"P-{name}"),))
    with pytest.raises(NotFoundError) as refused:
        asked(machine="Q50")
    assert str(refused.value) == "no position of Quillmere Q50 calls for Quillmere A"
    assert refused.value.hint.startswith("called for by: Q33 lock collar; Q50 has: ")
    assert {"upper packing", "gun"} <= set(refused.value.hint.split(": ")[2].split(";")[0].split(", "))
    assert "--position" in refused.value.hint


def test_where_no_machine_calls_for_the_part_that_is_said_too(small, collar):
    small.part("B")
    with pytest.raises(NotFoundError) as refused:
        asked("B", machine="Q33")
    assert str(refused.value) == "no position of Quillmere Q33 calls for Quillmere B"
    assert refused.value.hint.startswith("called for by: no machine here; Q33 has: lock collar; ")


# The same whatever was stored first


def story(small: SmallShop, shuffled: Callable[[Sequence[Any]], list[Any]]) -> None:
    """The same facts, put into the store in the order that `shuffled` gives."""
    numbers = ["A", *(f"B{n}" for n in range(8))]
    parts = {number: small.part(number) for number in shuffled(numbers)}
    small.position(small.machine(), "lock collar", "collar", (parts["A"],))
    levels = (HERE, PROVEN, WORD)
    for n in shuffled(range(8)):
        state = "accepted" if n % 2 else "proposed"
        small.edge(parts["A"], parts[f"B{n}"], state, levels[n % 3])
    suppliers = {name: small.supplier(name) for name in shuffled(["Kestrow", "Saltreeve"])}
    offered = [(name, n) for name in suppliers for n in range(0, 8, 2)]
    for name, n in shuffled(sorted(offered)):
        small.offer(suppliers[name], parts[f"B{n}"], "10.00", code="same")


def test_the_answer_does_not_hang_on_the_order_in_which_things_were_stored(tmp_path: Path):
    found = []
    for seed in range(4):
        place = tmp_path / f"{seed}.db"
        init_database(place)
        dice = random.Random(seed)
        with open_database(place, write=True):
            story(SmallShop(), lambda each, dice=dice: dice.sample(list(each), len(each)))
            found.append(asked())
    assert all(answer == found[0] for answer in found)
    assert len(found[0].candidates) == 8
