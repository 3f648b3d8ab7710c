"""A pressure chain as text."""

from __future__ import annotations

import pytest

from partsdb.jobs.chain import ChainAnswer, PieceAnswer
from partsdb.render.chain import chain_text
from partsdb.rules.verdict import Check, Outcome, Verdict

SAID = (
    "the weakest known piece is the filter: Quillmere 26-1213, 3300 psi (227 bar) against 3300 psi "
    "(228 bar) needed; unknown: bypass valve: Kestrow KS 20216"
)
WHOSE = "KS-7 is Kestrow's code for Quillmere 26-1213"


@pytest.mark.parametrize("width", [40, 60, 100, 200])
def test_what_the_chain_comes_to_and_its_notes_keep_the_width(width):
    piece = PieceAnswer("filter: Quillmere 26-1213", Check("pressure", Outcome.MEETS, "rated", ""))
    answer = ChainAnswer(
        "Quillmere", "Q33", "3300 psi (228 bar)", "", "filter: Quillmere 26-1213",
        Verdict.ASK_FIRST, SAID, (piece,), ("bypass valve",), notes=(WHOSE,),
    )  # fmt: skip
    text = chain_text(answer, width)
    assert max(map(len, text.splitlines())) <= width
    words = " ".join(text.split())
    assert SAID in words
    assert WHOSE in words
