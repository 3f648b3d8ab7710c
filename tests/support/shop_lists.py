"""Names that several test modules share; conftest.py builds the databases."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FIXTURES = ROOT / "fixtures"
LISTS = (
    ("Kestrow", "kestrow_preisliste.csv"),
    ("Saltreeve", "saltreeve_2026q4.xlsx"),
    ("Ninefold", "ninefold_pricelist.csv"),
)
DAY = "2026-11-20"  # the invented rates and offers hold on this day
