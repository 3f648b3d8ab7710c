"""What is remembered is remembered for the very object, and never for another that is equal."""

from __future__ import annotations

from partsdb.rules import memo
from partsdb.rules.memo import once_per_object, once_per_object_and, once_per_pair


def test_the_same_object_is_asked_once_and_an_equal_one_again() -> None:
    asked = []

    @once_per_object
    def length(thing: tuple[int, ...]) -> int:
        asked.append(thing)
        return len(thing)

    one, other = tuple(range(2)), tuple(range(2))
    assert [length(one), length(one), length(other)] == [2, 2, 2]
    assert len(asked) == 2


def test_an_object_stays_alive_so_that_its_place_is_never_taken_by_another() -> None:
    @once_per_object
    def total(thing: tuple[int, ...]) -> int:
        return sum(thing)

    assert [total((n, n)) for n in range(500)] == [2 * n for n in range(500)]


def test_both_objects_of_a_pair_count() -> None:
    @once_per_pair
    def joined(one: str, two: str) -> str:
        return one + two

    assert joined("a", "b") == "ab" == joined("a", "b")
    assert joined("a", "c") == "ac"
    assert joined("b", "c") == "bc"


def test_an_object_and_a_value_are_remembered_by_identity_and_by_value() -> None:
    asked = []

    @once_per_object_and
    def times(thing: tuple[int, ...], factor: int) -> int:
        asked.append(thing)
        return sum(thing) * factor

    thing = tuple(range(5))
    assert [times(thing, 1000), times(thing, 500 + 500), times(thing, 2)] == [10_000, 10_000, 20]
    assert len(asked) == 2


def test_when_it_is_full_it_forgets_and_still_answers_right(monkeypatch) -> None:
    monkeypatch.setattr(memo, "MOST", 3)

    @once_per_object
    def total(thing: tuple[int, ...]) -> int:
        return sum(thing)

    things = [(n, 1) for n in range(10)]
    assert [total(t) for t in (*things, *things)] == [n + 1 for n in (*range(10), *range(10))]
