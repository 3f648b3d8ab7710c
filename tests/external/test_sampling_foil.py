"""Sampling plans against two published packages: one right, one known to be wrong in 42 cells.

The wrong one leaves out the arrows of ISO 2859-1 table II-A (handbook 6.2, "Trap"): our table must
agree with it on every code letter and direct cell, and differ from it on every arrow cell.
"""

import ast
import math
from fractions import Fraction
from itertools import product

import pytest

from partsdb.rules.sampling import LETTERS, clean_sample, clean_sample_of_lot, code_letter, plan

pytestmark = pytest.mark.external

LEVELS = ("S-1", "S-2", "S-3", "S-4", "I", "II", "III")
AQLS = ("0.65", "1.0", "1.5", "2.5", "4.0", "6.5")
# Handbook 6.2 (ISO 2859-1 table II-A), the columns 0.65 to 6.5: "v" and "^" are the arrows.
HANDBOOK = {
    "A": "v v v v v 0", "B": "v v v v 0 ^", "C": "v v v 0 ^ v", "D": "v v 0 ^ v 1",
    "E": "v 0 ^ v 1 2", "F": "0 ^ v 1 2 3", "G": "^ v 1 2 3 5", "H": "v 1 2 3 5 7",
    "J": "1 2 3 5 7 10", "K": "2 3 5 7 10 14", "L": "3 5 7 10 14 21", "M": "5 7 10 14 21 ^",
    "N": "7 10 14 21 ^ ^", "P": "10 14 21 ^ ^ ^", "Q": "14 21 ^ ^ ^ ^", "R": "21 ^ ^ ^ ^ ^",
}  # fmt: skip
CELLS = {
    (letter, aql): cell
    for letter, row in HANDBOOK.items()
    for aql, cell in zip(AQLS, row.split(), strict=True)
}
ARROWS = {cell for cell, said in CELLS.items() if said in "v^"}


def assigned(source, name):
    """The value of a module's constant: a literal, in which float("inf") may stand."""
    [node] = [
        node.value
        for node in ast.parse(source).body
        if isinstance(node, ast.Assign) and node.targets[0].id == name
    ]
    text = ast.unparse(node).replace("float('inf')", "10000000000000")
    return ast.literal_eval(text)


@pytest.fixture(scope="module")
def foil(package_text):
    text = package_text("garment-aql-calculator", "1.0.0", "garment_aql_calculator/__init__.py")
    sizes, plans = assigned(text, "_SAMPLE_SIZE_BY_LETTER"), assigned(text, "_TABLE_B")
    return {
        "letters": assigned(text, "_SAMPLE_SIZE_CODE_LETTERS"),
        "cells": {
            (letter, aql): (sizes[letter], plans[letter][float(aql)][0])
            for letter, aql in product(LETTERS, AQLS)
        },
    }


def test_every_code_letter_agrees(foil):
    rows = foil["letters"]
    assert len(rows) * len(LEVELS) == 105
    for low, high, *letters in rows:
        for lot in {low, min(high, 10_000_000)}:
            assert [code_letter(lot, level) for level in LEVELS] == letters, lot


def test_the_handbook_has_42_arrows():
    assert len(CELLS) == 96
    assert len(ARROWS) == 42


def test_it_differs_from_us_on_the_arrow_cells_and_nowhere_else(foil):
    ours = {cell: plan(*cell) for cell in CELLS}
    wrong = {cell for cell in CELLS if foil["cells"][cell] != (ours[cell].n, ours[cell].ac)}
    assert wrong == ARROWS


def test_the_direct_cells_are_those_of_the_handbook(foil):
    for cell in CELLS.keys() - ARROWS:
        assert plan(*cell).ac == int(CELLS[cell]) == foil["cells"][cell][1], cell


@pytest.mark.parametrize(
    ("letter", "n", "ac"),
    [("D", 5, 0), ("E", 20, 1)],
)
def test_two_cells_named_in_the_reference_are_right_here(letter, n, ac):
    """references.md: at AQL 2.5 letter D should be 5/0, letter E 20/1."""
    assert (plan(letter, "2.5").n, plan(letter, "2.5").ac) == (n, ac)


@pytest.fixture(scope="module")
def lotsampling(package_text, external):
    """The two functions that size c = 0 plans, run without what else their package imports."""
    shared = {"hypergeom": external("scipy.stats").hypergeom, "np": external("numpy")}
    found = {}
    for member in ("hypergeometric", "binomial"):
        text = package_text("lotsampling", "0.2.0", f"lotsampling/{member}.py")
        functions = [node for node in ast.parse(text).body if isinstance(node, ast.FunctionDef)]
        for node in functions:
            node.returns = None
        names = dict(shared)
        exec(compile(ast.Module(functions, []), member, "exec"), names)
        found[member] = names[f"calculate_{member}_sample_size"]
    return found


@pytest.mark.parametrize(
    ("lot", "bad"), [(n, d) for n in (2, 10, 20, 50, 100, 365) for d in (1, 2, 5, 10) if d <= n]
)
@pytest.mark.parametrize("risk", ["0.05", "0.10"])
def test_clean_samples_of_a_lot_agree_with_lotsampling(lotsampling, lot, bad, risk):
    theirs = lotsampling["hypergeometric"](lot, bad, float(risk))
    ours = clean_sample_of_lot(lot, bad, Fraction(risk))
    # At equality its floating point may ask for one piece more; never for one less.
    assert ours in (theirs, theirs - 1)
    if ours != theirs:
        assert Fraction(math.comb(lot - bad, ours), math.comb(lot, ours)) == Fraction(risk)


@pytest.mark.parametrize("rate", ["0.20", "0.10", "0.05", "0.02", "0.01"])
@pytest.mark.parametrize("risk", ["0.05", "0.10"])
def test_clean_samples_of_a_stream_agree_with_lotsampling(lotsampling, rate, risk):
    theirs = lotsampling["binomial"](float(rate), float(risk))
    assert clean_sample(Fraction(rate), Fraction(risk)) == theirs
