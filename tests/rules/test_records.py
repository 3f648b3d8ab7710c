"""A record is a dataclass: the standard library's own is the reference for all that it does."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules import records


def pair(**options: Any) -> tuple[type, type]:
    """Return the same class twice: made by the library, and made as a record."""

    def piece() -> type:
        class Piece:
            """A piece of a kit."""

            name: str
            count: int = 1
            notes: list[str] = records.field(default_factory=list)
            text: str = records.field(default="", compare=False, repr=False)
            seen: int = records.field(default=0, init=False)

        return Piece

    theirs = dataclasses.dataclass(slots=True, **options)(piece())
    return theirs, records.dataclass(slots=True, **options)(piece())


@records.dataclass(frozen=True, slots=True)
class Bore:
    """A bore, and what is worked out of it."""

    mm: int
    area: int = records.field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "area", self.mm * self.mm)


@records.dataclass(frozen=True, slots=True)
class DeepBore(Bore):
    """A record made out of another."""

    depth_mm: int = 0


@records.dataclass(slots=True)
class Tally:
    """A record that may change."""

    count: int = 0

    def __repr__(self) -> str:
        return f"tally of {self.count}"


@records.dataclass(frozen=True, slots=True)
class Nothing: ...


OPTIONS = [{}, {"frozen": True}, {"order": True}, {"frozen": True, "order": True}]
ARGUMENTS = [
    (("ball",), {}),
    (("ball", 2), {}),
    (("ball", 2, ["loose"], "Ball x2"), {}),
    ((), {"name": "seat", "text": "Seat"}),
    ((), {"count": 3, "name": "seat"}),
    ((), {}),
    (("ball", 2, [], "", 5), {}),
    (("ball",), {"seen": 5}),
    (("ball",), {"colour": "red"}),
    (("ball",), {"name": "seat"}),
]


def outcome(asked: Any) -> Any:
    """Return what is answered, or the kind and words of the error."""
    try:
        return asked()
    except Exception as error:
        return type(error), str(error)


@pytest.mark.parametrize("options", OPTIONS)
@pytest.mark.parametrize(("given", "named"), ARGUMENTS)
def test_an_object_is_made_or_refused_in_the_same_words(options, given, named):
    theirs, ours = pair(**options)
    expected = outcome(lambda: repr(theirs(*given, **named)))
    assert outcome(lambda: repr(ours(*given, **named))) == expected
    # again, now that its method is compiled
    assert outcome(lambda: repr(ours(*given, **named))) == expected


@pytest.mark.parametrize("options", OPTIONS)
@given(st.data())
def test_objects_compare_alike(options, data):
    theirs, ours = pair(**options)
    values = st.tuples(
        st.sampled_from("ab"), st.integers(0, 2), st.lists(st.just("x"), max_size=1), st.text("c", max_size=1)
    )
    one, other = data.draw(values), data.draw(values)
    for ask in (
        lambda made: made(*one) == made(*other),
        lambda made: made(*one) != made(*other),
        lambda made: made(*one) == one,
        lambda made: made(*one) < made(*other),
        lambda made: made(*one) >= made(*other),
        lambda made: hash(made(one[0], one[1], tuple(one[2]))) == hash((one[0], one[1], tuple(one[2]), 0)),
    ):
        assert outcome(lambda ask=ask: ask(ours)) == outcome(lambda ask=ask: ask(theirs))


@pytest.mark.parametrize("options", OPTIONS)
def test_fields_are_set_deleted_and_invented_alike(options):
    theirs, ours = pair(**options)

    def set_name(made: Any) -> Any:
        piece = made("ball")
        piece.name = "seat"
        return piece.name

    def delete_name(made: Any) -> Any:
        piece = made("ball")
        del piece.name
        return piece.name

    for ask in (set_name, delete_name):
        assert outcome(lambda ask=ask: ask(ours)) == outcome(lambda ask=ask: ask(theirs))
    with pytest.raises((AttributeError, TypeError)):  # it has slots, and no others
        ours("ball").colour = "red"


@pytest.mark.parametrize("options", OPTIONS)
def test_the_librarys_own_functions_take_records(options):
    theirs, ours = pair(**options)
    for ask in (
        lambda made: [f.name for f in dataclasses.fields(made)],
        lambda made: dataclasses.asdict(made("ball", 2)),
        lambda made: dataclasses.astuple(made("ball", 2)),
        lambda made: repr(records.replace(made("ball", 2), name="seat")),
        lambda made: repr(records.replace(made("ball", 2), seen=1)),
        lambda made: repr(copy.deepcopy(made("ball", 2, ["x"]))),
        lambda made: dataclasses.is_dataclass(made),
        lambda made: made.__match_args__,
        lambda made: made.__slots__,
        lambda made: made.__doc__,
        lambda made: (made.__name__, made.__qualname__, made.__module__),
    ):
        assert outcome(lambda ask=ask: ask(ours)) == outcome(lambda ask=ask: ask(theirs))


def test_each_object_gets_a_list_of_its_own():
    _, ours = pair()
    one, other = ours("ball"), ours("seat")
    one.notes.append("worn")
    assert other.notes == []


def test_what_follows_the_making_is_done_and_passed_on():
    assert repr(Bore(3)) == "Bore(mm=3, area=9)"
    assert repr(DeepBore(3, 4)) == "DeepBore(mm=3, area=9, depth_mm=4)"
    assert Bore(3) != DeepBore(3)
    assert hash(Bore(3)) == hash((3, 9))


def test_a_record_is_copied_and_sent_to_another_process_whole():
    for record in (Bore(3), DeepBore(3, 4), Tally(2)):
        assert copy.copy(record) == record
        assert pickle.loads(pickle.dumps(record)) == record


def test_a_method_of_its_own_stays():
    assert repr(Tally(2)) == "tally of 2"
    assert Tally(2) == Tally(2) and Tally(2) != Tally(3)
    with pytest.raises(TypeError, match="unhashable"):
        hash(Tally(2))


def test_a_record_without_fields_is_one():
    assert Nothing() == Nothing() and hash(Nothing()) == hash(()) and repr(Nothing()) == "Nothing()"


def test_a_record_that_holds_itself_can_be_shown():
    _, ours = pair()
    piece = ours("ball")
    piece.notes.append(piece)
    assert "notes=[...]" in repr(piece)


def test_without_slots_the_library_makes_it():
    @records.dataclass(frozen=True)
    class Loose:
        name: str

    assert Loose("x").__dict__ == {"name": "x"}


def test_nothing_is_compiled_before_it_is_called(monkeypatch):
    compiled: list[str] = []
    monkeypatch.setattr(records, "exec", lambda text, values: (compiled.append(text.split("(")[0]), exec(text, values)), raising=False)
    _, ours = pair(frozen=True, order=True)
    assert compiled == []
    piece = ours("ball")
    ours("seat")
    assert compiled == ["def __init__"]
    assert piece == ours("ball")
    assert compiled == ["def __init__", "def __eq__"]
