"""Figures and sides that two descriptions state otherwise: each is a veto with a name."""

from __future__ import annotations

import pytest

from partsdb.matching.context import ListContext
from partsdb.matching.figures import contradicted_figure
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, ReadingKind


@pytest.mark.parametrize(
    ("mine", "theirs", "what"),
    [
        ("Board, control, 230V", "Board, control, 115 V", "voltage"),
        ("Board 0.23 kV", "Board 230V", ""),
        ("Tip, 0.019", "Tip, 0.017", "decimal figure"),
        ("Tip, 0,019", "Tip, 0.019", ""),
        ("Seal, upper", "Seal, lower", "side"),
        ("Dichtung, oben", "Seal, upper", ""),
        ("Valve, inlet", "Ventil, Auslass", "side"),
        ("Hose, 15 m", "Hose, 15 mm", "size"),
        ("Nipple 1-1/4", "Nipple 1 1/4", ""),
        ("Nipple 1-1/4", "Nipple 1/4", "size"),
        # What only one of them states, or a figure cut short at the end, contradicts nothing.
        ("Board, control", "Board, control, 115 V", ""),
        ("Tip, upper", "Tip, 0.017", ""),
        ("Lance, 90", "Lance, 900 mm", ""),
        # Pieces are counted and models named elsewhere.
        ("Ball, 2 pcs", "Ball, 4 pcs", ""),
        ("Kit for AP450", "Kit for AP500", ""),
        ("", "Board 115V", ""),
    ],
)
def test_a_figure_of_one_kind_stated_otherwise_is_named(mine: str, theirs: str, what: str):
    assert contradicted_figure(mine, theirs) == what


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("Board, control, 230V, pump drive", ReadingKind.OFFER),
        ("Board, control, 115V, pump drive", ReadingKind.TO_REVIEW),
        ("Board, control, lower, 230V, pump drive", ReadingKind.TO_REVIEW),
        ("Board, control, pump drive", ReadingKind.OFFER),
    ],
)
def test_the_exact_number_does_not_outweigh_another_figure(said: str, kind: ReadingKind):
    part = CatalogueEntry(1, "Quillmere", "24-1180", "Board, control, upper, 230V, pump drive")
    line = LineText("1", "24-1180", said, "Quillmere")
    (reading,) = read_lines([line], [part], context=ListContext("Saltreeve"))
    assert reading.kind is kind
    vetoes = [e.text for c in reading.candidates for e in c.evidence if e.weighs == "veto"]
    assert bool(vetoes) == (kind is ReadingKind.TO_REVIEW)
