"""What the README shows of an answer is what the command prints today, line by line."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DAY = "2026-11-20"
_SAMPLE = re.compile(r"^    partsdb (?P<typed>[^\n]+)\n\n```\n(?P<shown>.*?)\n```$", re.M | re.S)
_CUT = re.compile(r"(?:\d+\. )?…")
SAMPLES = {
    found["typed"]: found["shown"].splitlines()
    for found in _SAMPLE.finditer((ROOT / "README.md").read_text(encoding="utf-8"))
}


@pytest.mark.parametrize(
    "typed",
    [
        "instead 24-1180 --machine Q33",
        "vet fixtures/lists/saltreeve_2026q4.xlsx --supplier Saltreeve",
        'rebuild cost "Q33 bypass rebuild"',
    ],
)
def test_a_sample_in_the_readme_stands_in_what_the_command_prints(
    shop_with_lists: Path, monkeypatch: pytest.MonkeyPatch, typed: str
) -> None:
    monkeypatch.setenv("COLUMNS", "120")  # so wide are the samples
    words = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', typed)]
    command = [sys.executable, "-m", "partsdb", "--db", str(shop_with_lists), *words]
    done = subprocess.run(
        [*command, "--as-of", DAY], cwd=ROOT, capture_output=True, text=True, check=True, timeout=60
    )
    printed = iter(done.stdout.splitlines())
    shown = [line for line in SAMPLES[typed] if line and not _CUT.fullmatch(line)]
    stale = [line for line in shown if not any(line == each for each in printed)]
    assert stale == [], "in this order; a cut is a line of its own: …"
