"""Where a part is used: for itself, and where it may stand in for another."""

from __future__ import annotations

from itertools import pairwise

import pytest
from small_shop import BY, SmallShop

from partsdb.jobs.places import Places
from partsdb.rules.facts import EvidenceLevel
from partsdb.store import edges
from partsdb.store.rows import SupersessionRow


def where(places: Places, part: int) -> list[tuple[str, str]]:
    """Machine and, where it stands in for another part, the state of the edge."""
    return [
        (row.machine, place.edge.state if place.edge else "")
        for place in places.of(part)
        for row in place.positions
    ]


def test_a_part_is_used_where_it_is_called_for_and_where_it_may_stand_in(small: SmallShop):
    asked, other = small.part("A"), small.part("B")
    small.position(small.machine("Q28"), "collar", "collar", (asked,))
    small.position(small.machine("Q33"), "collar", "collar", (other,))
    small.edge(asked, other, conditions=("from serial 4000",))
    assert where(Places(None), other) == [("Q33", ""), ("Q28", "accepted")]
    assert where(Places(None), asked) == [("Q28", "")]
    (_, stand_in) = Places(None).of(other)
    assert stand_in.edge is not None
    assert stand_in.edge.conditions == ("from serial 4000",)
    assert stand_in.called_for_id == asked


def test_what_was_rejected_is_among_its_places(small: SmallShop):
    asked, other = small.part("A"), small.part("B")
    small.position(small.machine(), "collar", "collar", (asked,))
    small.edge(asked, other, "rejected", EvidenceLevel.MEASURED_HERE)
    assert where(Places(None), other) == [("Q33", "rejected")]


@pytest.mark.parametrize(
    ("serials", "condition"),
    [
        (("4000", "4999"), ("only for serials 4000 to 4999",)),
        (("4000", ""), ("only for serials from 4000",)),
        (("", "3999"), ("only for serials up to 3999",)),
        (("", ""), ()),
    ],
)
def test_a_successor_stands_in_for_the_old_number_on_the_makers_word(small, serials, condition):
    old, new = small.part("A"), small.part("B")
    small.position(small.machine(), "collar", "collar", (old,))
    edges.add_supersession(SupersessionRow(0, old, new, "2022-03-01", *serials, "QB-98"), by=BY)
    (place,) = Places(None).of(new)
    assert place.edge is not None
    assert (place.edge.state, place.edge.evidence) == ("accepted", "maker's document")
    assert place.edge.conditions == condition
    assert "QB-98" in place.edge.source
    assert where(Places(None), old) == [("Q33", "")]  # not the other way round


def test_only_the_machines_that_count_are_looked_at(small: SmallShop):
    part = small.part("A")
    q28, q33 = small.machine("Q28"), small.machine("Q33")
    for machine in (q28, q33):
        small.position(machine, "collar", "collar", (part,))
    assert where(Places([q33]), part) == [("Q33", "")]
    assert where(Places([]), part) == []
    assert len(where(Places(None), part)) == 2


def test_a_part_that_nothing_calls_for_has_no_place(small: SmallShop):
    assert Places(None).of(small.part("A")) == ()


def test_replacements_that_run_in_a_circle_approve_nothing(small: SmallShop):
    """The handbook's CYCLE (4): A by B, B by C, C by B proves nothing for A."""
    parts = [small.part(number) for number in "ABC"]
    small.position(small.machine(), "collar", "collar", (parts[0],))
    steps = [(parts[0], parts[1]), (parts[1], parts[2])]
    for old, new in steps:
        edges.add_supersession(SupersessionRow(0, old, new, None, "", "", "QB-1"), by=BY)
    assert where(Places(None), parts[1]) == [("Q33", "accepted")]
    back = SupersessionRow(0, parts[2], parts[1], None, "", "", "QB-2")
    edges.add_supersession(back, by=BY)
    (place,) = Places(None).of(parts[1])
    assert place.edge is not None
    assert place.edge.state == "proposed"
    assert "CYCLE" in place.edge.source


def replaced(*pairs: tuple[int, int], **more: str) -> None:
    for old, new in pairs:
        said = {"from_date": None, "serial_from": "", "serial_to": "", "source": "QB-1"} | more
        edges.add_supersession(SupersessionRow(0, old, new, **said), by=BY)


def test_a_chain_of_replacements_is_followed_over_all_its_steps(small: SmallShop):
    a, b, c = (small.part(number) for number in "ABC")
    small.position(small.machine(), "collar", "collar", (a,))
    replaced((a, b), serial_from="4000")
    replaced((b, c))
    for part in (b, c):
        (place,) = Places(None).of(part)
        assert place.edge is not None
        assert (place.edge.state, place.called_for_id) == ("accepted", a)
        assert place.edge.conditions == ("only for serials from 4000",)
    assert where(Places(None), a) == [("Q33", "")]


def test_two_numbers_that_became_one_are_both_places_of_it(small: SmallShop):
    """Handbook 4: a merge, one way only."""
    a, b, c = (small.part(number) for number in "ABC")
    small.position(small.machine("Q28"), "collar", "collar", (a,))
    small.position(small.machine("Q33"), "collar", "collar", (b,))
    replaced((a, c), (b, c))
    assert sorted(where(Places(None), c)) == [("Q28", "accepted"), ("Q33", "accepted")]


@pytest.mark.parametrize(("day", "states"), [("2026-12-31", []), ("2027-01-01", ["accepted"])])
def test_a_replacement_of_the_future_opens_no_place_yet(small: SmallShop, day, states):
    a, b = small.part("A"), small.part("B")
    small.position(small.machine(), "collar", "collar", (a,))
    replaced((a, b), from_date="2027-01-01")
    assert [state for _, state in where(Places(None, day), b)] == states


def test_a_long_chain_that_turns_back_on_itself_approves_nothing_and_ends(small: SmallShop):
    parts = [small.part(f"N{n}") for n in range(12)]
    small.position(small.machine(), "collar", "collar", (parts[0],))
    replaced(*pairwise(parts))
    assert where(Places(None), parts[-1]) == [("Q33", "accepted")]
    replaced((parts[-1], parts[4]))
    for part in parts[1:]:
        assert {state for _, state in where(Places(None), part)} == {"proposed"}


def test_what_was_rejected_stays_so_beside_the_makers_replacement(small: SmallShop):
    a, b, c = (small.part(number) for number in "ABC")
    small.position(small.machine(), "collar", "collar", (a,))
    replaced((a, b), (b, c))
    small.edge(a, c, "rejected", EvidenceLevel.MEASURED_HERE)
    assert sorted(where(Places(None), c)) == [("Q33", "accepted"), ("Q33", "rejected")]


def test_what_is_looked_up_in_one_go_is_what_is_found_one_by_one(small):
    parts = [small.part(f"24-{n}") for n in range(4)]
    for model in ("Q28", "Q33"):
        small.position(small.machine(model), "gun", "gun", tuple(parts[:2]))
        small.position(small.machine(f"{model}E"), "hose", "hose", tuple(parts[1:3]))
    at_once, one_by_one = Places(None), Places(None)
    at_once.look_up(parts)
    for part in parts:
        assert at_once.calling_for(part) == one_by_one.calling_for(part)
    at_once.look_up(parts)
    assert [len(at_once.calling_for(part)) for part in parts] == [2, 4, 2, 0]
