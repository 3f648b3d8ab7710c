"""Words beside a thread: plain ones change nothing, any other leaves open what it is."""

from __future__ import annotations

import pytest
from thread_writings import READ

from partsdb.rules.port_words import port_doubt
from partsdb.rules.threads import check_ports
from partsdb.rules.verdict import GRAVITY, Outcome


@pytest.mark.parametrize(
    "text", [text for text, form, *_ in READ if form != "quick coupling" and text != "M8x1.25x30"]
)
def test_what_the_trade_writes_is_plain(text: str) -> None:
    assert port_doubt(text) == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("not 1/4 NPT", "'not'"),
        ("no 1/4 NPT male", "'no'"),
        ("1/4 NPT male, left hand", "'left hand'"),
        ("1/4 NPT LH", "'lh'"),
        ("1/4 NPT male, metric", "'metric'"),
        ("1/4 NPT male (BSPT)", "'bspt'"),
        ("like 1/4 NPT", "'like'"),
        ("1/4 NPT?", "'?'"),
        ("1/4 NPT special", "'special'"),
        ("1/4 NPT worn", "'worn'"),
        ("1/4 NPT or G 1/4", "'or'"),
        ("1/4 NPT / G 1/4", "which of the threads"),
        ("1/4 NPT (G 1/4)", "which of the threads"),
        ("1/4 NPT, G 1/4", "which of the threads"),
        ("M8x1.25x30", "'30'"),
    ],
)
def test_any_other_word_is_a_doubt(text: str, said: str) -> None:
    assert said in port_doubt(text)


@pytest.mark.parametrize(
    "text",
    ["1/4 NPT M x 1/4 NPT F", "1/4 NPT male x G 1/4 female", "1/4 NPT male, 3/8 NPT female",
     "1/4 NPT male to 3/8 NPT female", "2 x 1/4 NPT male", "as drawing", ""],
)  # fmt: skip
def test_two_ends_of_one_piece_are_no_choice(text: str) -> None:
    assert port_doubt(text) == ""


@pytest.mark.parametrize("word", ["worn", "special", "?", "left hand", "or G 1/4"])
@pytest.mark.parametrize("side", ["machine", "part"])
def test_a_doubt_on_either_side_is_never_a_pass(word: str, side: str) -> None:
    ours, theirs = "1/4-18 NPT female", "1/4-18 NPT male"
    assert check_ports((ours,), (theirs,)).outcome is Outcome.MEETS
    doubted = check_ports(
        (f"{ours} {word}" if side == "machine" else ours,),
        (f"{theirs} {word}" if side == "part" else theirs,),
    )
    assert GRAVITY[doubted.outcome] >= GRAVITY[Outcome.NOT_SHOWN]


def test_a_doubt_does_not_soften_a_failure() -> None:
    assert check_ports(("1/4 NPT female",), ("G 1/4 male, worn",)).outcome is Outcome.FAILS
