"""Work on two processors gives what one gives, whatever becomes of the other."""

from __future__ import annotations

import multiprocessing
import os
import random
import struct
import threading
from collections.abc import Callable

import pytest

from partsdb.matching import halves
from partsdb.matching.context import ListContext
from partsdb.matching.halves import in_halves
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText
from tests.bench import invented

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no second process is made there")


@pytest.fixture
def always(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two processors at least, and no list too short for both."""
    monkeypatch.setattr(halves, "_WORTH_A_COPY", 2)
    monkeypatch.setattr(os, "sched_getaffinity", lambda process: {0, 1}, raising=False)


def whose(numbers: object) -> list[tuple[int, int]]:
    return [(number * number, os.getpid()) for number in numbers]  # type: ignore[attr-defined]


def test_the_second_half_is_done_by_another_process_in_order(always: None):
    found = in_halves(whose, range(7))
    assert [square for square, _ in found] == [0, 1, 4, 9, 16, 25, 36]
    assert {pid for _, pid in found[:3]} == {os.getpid()}
    assert os.getpid() not in {pid for _, pid in found[3:]}


def _alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda process: {0}, raising=False)


def _elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(halves.sys, "platform", "win32")


@pytest.mark.parametrize("change", [_alone, _elsewhere])
def test_with_one_processor_or_without_safe_copies_all_is_done_here(
    always: None, monkeypatch: pytest.MonkeyPatch, change: Callable[[pytest.MonkeyPatch], None]
):
    change(monkeypatch)
    assert {pid for _, pid in in_halves(whose, range(7))} == {os.getpid()}


def test_beside_another_thread_no_copy_is_made(always: None):
    done = threading.Event()
    thread = threading.Thread(target=done.wait)
    thread.start()
    try:
        assert {pid for _, pid in in_halves(whose, range(7))} == {os.getpid()}
    finally:
        done.set()
        thread.join()


def test_a_copy_does_not_copy_itself_again(always: None):
    found = in_halves(lambda some: [pid for _, pid in in_halves(whose, some)], range(12))
    assert len(set(found)) == 3  # this process made two, one after the other; they made none


def test_what_a_copy_that_died_left_undone_is_done_here(always: None):
    here = os.getpid()

    def dying(numbers: object) -> list[tuple[int, int]]:
        if os.getpid() != here:
            os._exit(3)
        return whose(numbers)

    assert in_halves(dying, range(7)) == [(number * number, here) for number in range(7)]


def test_what_goes_wrong_in_the_copy_is_told_once_and_by_this_process(always: None, capfd):
    def failing(numbers: object) -> list[int]:
        return [1 // (4 - number) for number in numbers]  # type: ignore[attr-defined]

    with pytest.raises(ZeroDivisionError):
        in_halves(failing, range(7))
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("processors", [1, 2, 3])
def test_a_list_is_read_alike_by_any_number_of_processors_and_in_any_order(
    always: None, monkeypatch: pytest.MonkeyPatch, processors: int
):
    monkeypatch.setattr(
        os, "sched_getaffinity", lambda process: set(range(processors)), raising=False
    )
    parts = list(invented.parts(500, seed=3))
    entries = [CatalogueEntry(*row) for row in parts]
    lines = [
        LineText(f"row {at}", code, text, maker)
        for at, (code, text, maker, *_) in enumerate(invented.lines(parts, 400, seed=4))
    ]
    context = ListContext("Kestrow", frozenset(), {name: name for name in invented.MAKERS})
    monkeypatch.setattr(halves, "_WORTH_A_COPY", 10**9)
    expected = read_lines(lines, entries, context=context)
    monkeypatch.setattr(halves, "_WORTH_A_COPY", 2)
    assert read_lines(lines, entries, context=context) == expected
    order = random.Random(processors).sample(range(len(lines)), len(lines))
    shuffled = read_lines([lines[at] for at in order], entries[::-1], context=context)
    assert shuffled == [expected[at] for at in order]


def test_a_copy_with_a_long_answer_does_not_outlive_a_failure_here(always: None):
    """Its answer fills the pipe between the two, which nobody empties any more."""
    here = os.getpid()

    def failing_here(numbers: object) -> list[str]:
        if os.getpid() == here:
            raise ZeroDivisionError
        return ["x" * 1_000_000 for _ in numbers]  # type: ignore[attr-defined]

    with pytest.raises(ZeroDivisionError):
        in_halves(failing_here, range(7))
    assert multiprocessing.active_children() == []


def test_an_answer_that_breaks_off_in_the_middle_is_none():
    receiving, sending = multiprocessing.Pipe(duplex=False)
    os.write(sending.fileno(), struct.pack("!i", 100) + b"only a part")
    sending.close()
    assert halves._received(receiving) is None
