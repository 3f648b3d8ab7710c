"""The maker's replacements of a number, followed to their end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.facts import EvidenceLevel
from partsdb.rules.supersession import Supersession, as_edge, covers, edges_to, follow, is_to_come

CHECKS = json.loads((Path(__file__).parents[2] / "fixtures/check_values.json").read_text("utf-8"))


def part(number: str) -> tuple[str, str]:
    return "Quillmere", number


def step(old: str, new: str | None, **more: str) -> Supersession:
    said = {"source": f"bulletin {old}"} | more
    return Supersession(part(old), part(new) if new else None, **said)


def steps_of(topic: str) -> tuple[dict[str, object], list[Supersession]]:
    [check] = [each for each in CHECKS if each["topic"] == topic]
    return check, [step(old, new) for old, new in check["inputs"]["edges"]]


def test_a_chain_is_followed_to_its_end() -> None:
    """Handbook 4 (CV152)."""
    check, steps = steps_of("equiv.supersession")
    [end] = follow(part("A"), steps)
    assert [each.new for each in end.steps] == [part(name) for name in check["expected"]]
    assert (end.part, end.state, end.code) == (part("C"), "current", "SUPERSEDED")


def test_a_cycle_is_reported_and_never_an_approval() -> None:
    """Handbook 4 (CV153)."""
    check, steps = steps_of("equiv.supersession_cycle")
    for start in "ABC":
        [end] = follow(part(start), steps)
        assert end.code == check["expected"]
        assert as_edge(part(start), end) is None


def test_superseded_without_successor_is_an_end_too() -> None:
    [end] = follow(part("A"), [step("A", "B"), step("B", None)])
    assert (end.part, end.state) == (None, "ended")
    assert as_edge(part("A"), end) is None


def test_a_successor_that_is_not_in_the_catalogue_dangles() -> None:
    [end] = follow(part("A"), [step("A", "B")], known={part("A")})
    assert (end.part, end.state) == (part("B"), "dangling")
    assert as_edge(part("A"), end) is None


def test_a_split_asks_the_serial() -> None:
    split = [step("A", "B", serial_to="3999"), step("A", "C", serial_from="4000")]
    ends = follow(part("A"), split)
    assert {(end.part, end.conditions, end.code) for end in ends} == {
        (part("B"), ("only for serials up to 3999",), "SERIAL_RANGE"),
        (part("C"), ("only for serials from 4000",), "SERIAL_RANGE"),
    }


@pytest.mark.parametrize(
    ("serial", "new"), [("3999", "B"), ("4000", "C"), ("12000", "C"), ("999", "B")]
)
def test_a_serial_decides_a_split_by_number_not_by_letter(serial: str, new: str) -> None:
    split = [step("A", "B", serial_to="3999"), step("A", "C", serial_from="4000")]
    [end] = follow(part("A"), split, serial=serial)
    assert (end.part, end.conditions) == (part(new), ())


def test_a_serial_with_a_figure_in_a_circle_is_told_apart_like_any_other() -> None:
    """A figure in a circle is a digit to Unicode, no decimal one (UAX 44, Numeric_Type): from memory."""
    split = [step("A", "B", serial_to="①"), step("A", "C", serial_from="②")]
    assert {end.part for end in follow(part("A"), split)} == {part("B"), part("C")}


def test_a_merge_goes_one_way_only() -> None:
    merged = [step("A", "C"), step("B", "C")]
    assert follow(part("A"), merged)[0].part == follow(part("B"), merged)[0].part == part("C")
    assert follow(part("C"), merged) == []


def test_a_followed_chain_is_the_makers_one_approval_with_all_its_ranges() -> None:
    chain = [
        step("A", "B", serial_from="100"),
        step("B", "C", serial_from="4000", serial_to="5000"),
    ]
    [end] = follow(part("A"), chain)
    edge = as_edge(part("A"), end)
    assert edge is not None
    assert (edge.asked, edge.fitted, edge.state) == (part("A"), part("C"), "accepted")
    assert edge.evidence == EvidenceLevel.MAKERS_DOCUMENT
    assert edge.conditions == ("only for serials from 100", "only for serials 4000 to 5000")
    assert "bulletin A; bulletin B" in edge.source


def test_an_open_range_covers_every_serial() -> None:
    assert covers(step("A", "B"), "X12")
    assert covers(step("A", "B", serial_from="Q33-0900"), "Q33-1000")
    assert not covers(step("A", "B", serial_from="Q33-0900"), "Q33-100")


NAMES = st.sampled_from("ABCDE")
GRAPHS = st.lists(st.tuples(NAMES, st.one_of(st.none(), NAMES)), max_size=8, unique=True)


@given(GRAPHS, NAMES, st.randoms())
def test_every_chain_ends_or_is_reported_in_whatever_order_it_was_stored(
    graph, start, random
) -> None:
    steps = [step(old, new) for old, new in graph if old != new]
    ends = follow(part(start), steps)
    shuffled = steps[:]
    random.shuffle(shuffled)
    assert follow(part(start), shuffled) == ends
    for end in ends:
        olds = [each.old for each in end.steps]
        assert len(olds) == len(set(olds))
        if end.state == "current":
            assert not any(each.old == end.part for each in steps)


@pytest.mark.parametrize(
    ("day", "ends"),
    [
        ("2026-12-31", "B"),  # the day before: B is still the current number
        ("2027-01-01", "C"),
        ("2027-06-30", "C"),
        ("", "C"),  # whenever: what the record holds at all
    ],
)
def test_a_replacement_of_the_future_is_none_yet(day: str, ends: str) -> None:
    steps = [step("A", "B"), step("B", "C", from_date="2027-01-01")]
    [end] = follow(part("A"), steps, day=day)
    assert (end.part, end.state) == (part(ends), "current")
    assert is_to_come(steps[1], day) is (ends == "B")


def test_a_part_that_will_only_be_replaced_has_no_successor_today() -> None:
    assert follow(part("A"), [step("A", "B", from_date="2027-01-01")], day="2026-11-20") == []


@pytest.mark.parametrize("source", ["", "-", "n/a", "unknown"])
@pytest.mark.parametrize("bare", [0, 1])
def test_a_chain_with_a_step_that_names_no_document_is_only_proposed(
    source: str, bare: int
) -> None:
    """Handbook 4: a pressure part needs a maker's document, directly."""
    steps = [step("A", "B"), step("B", "C")]
    steps[bare] = step(*("AB" if bare == 0 else "BC"), source=source)
    [end] = follow(part("A"), steps)
    edge = as_edge(part("A"), end)
    assert edge is not None
    assert (edge.state, edge.evidence) == ("proposed", EvidenceLevel.INFERRED)
    assert "no document of the maker is named" in edge.source


def test_an_older_number_of_the_chain_was_the_makers_replacement_too() -> None:
    steps = [step("A", "B", serial_from="100"), step("B", "C"), step("C", "D", serial_to="900")]
    for end, conditions in (
        ("B", ("only for serials from 100",)),
        ("C", ("only for serials from 100",)),
        ("D", ("only for serials from 100", "only for serials up to 900")),
    ):
        [edge] = edges_to(part("A"), part(end), steps)
        assert (edge.state, edge.fitted, edge.conditions) == ("accepted", part(end), conditions)
    assert edges_to(part("D"), part("A"), steps) == []


def test_no_part_of_a_chain_in_disorder_is_approved() -> None:
    """Handbook 4: a cycle blocks and is reported, also for what hangs on it."""
    steps = [step("A", "B"), step("B", "C"), step("C", "B"), step("C", "D")]
    for end in "BCD":
        [edge] = edges_to(part("A"), part(end), steps)
        assert edge.state == "proposed"
        assert edge.source.startswith("CYCLE")


NAMES = st.sampled_from("ABCDEF")


@given(
    st.lists(st.tuples(NAMES, NAMES, st.sampled_from(["", "2026-01-01", "2027-01-01"])), max_size=9),
    NAMES, NAMES,
)  # fmt: skip
def test_whatever_the_chains_are_only_dated_steps_end_to_end_approve(links, asked, end) -> None:
    steps = [step(old, new, from_date=date) for old, new, date in links if old != new]
    if asked == end:
        return
    for edge in edges_to(part(asked), part(end), steps, day="2026-11-20"):
        if edge.state == "accepted":
            today = {(old, new) for old, new, date in links if date <= "2026-11-20"}
            assert reaches(asked, end, today)


def reaches(start: str, end: str, links: set[tuple[str, str]]) -> bool:
    seen = {start}
    while more := {new for old, new in links if old in seen} - seen:
        seen |= more
    return end in seen
