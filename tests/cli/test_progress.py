"""Progress is for a person who waits at a terminal: on its stderr, wiped at the end, nowhere else."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from small_shop import DAY, price_list

ROOT = Path(__file__).parents[2]
KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi",61.90'
STEPS = ("reading the file", "matching the lines", "comparing with what is stored")
WIPED = "\r\x1b[K"  # back to the start of the line, and clear it


@pytest.fixture
def a_list(tmp_path: Path) -> Path:
    return price_list(tmp_path, [KIT])


def on_terminal(bench: Path, *words: str) -> tuple[str, str]:
    """Run a command whose stderr alone is a terminal; return what stdout and the terminal got."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "partsdb", "--db", str(bench), "--as-of", DAY, *words]
    done = subprocess.run(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=theirs, stdin=subprocess.DEVNULL,
        text=True, check=True,
    )  # fmt: skip
    os.close(theirs)
    seen = b""
    try:
        while piece := os.read(ours, 65536):
            seen += piece
    except OSError:  # so Linux says that the other end is closed
        pass
    os.close(ours)
    return done.stdout, seen.decode()


def test_each_step_of_a_read_is_shown_on_the_terminal_in_its_order_and_wiped(bench, a_list):
    out, seen = on_terminal(bench, "pricelist", "read", str(a_list), "--supplier", "Kestrow")
    places = [seen.index(f"{WIPED}{step} …") for step in (*STEPS, "storing the batch")]
    assert places == sorted(places)
    assert WIPED in seen[places[-1] + 1 :], "the last step is wiped"
    assert "…" not in out and "\x1b" not in out


def test_a_dry_run_shows_no_storing(bench, a_list):
    words = ("pricelist", "read", str(a_list), "--supplier", "Kestrow", "--dry-run")
    seen = on_terminal(bench, *words)[1]
    assert all(step in seen for step in STEPS) and "storing the batch" not in seen


def test_quiet_shows_none(bench, a_list):
    words = ("--quiet", "pricelist", "read", str(a_list), "--supplier", "Kestrow")
    assert "\x1b" not in on_terminal(bench, *words)[1]


def test_a_pipe_gets_none(bench, a_list):
    command = [
        sys.executable,
        "-m",
        "partsdb",
        "--db",
        str(bench),
        "pricelist",
        "read",
        str(a_list),
    ]
    done = subprocess.run(
        [*command, "--supplier", "Kestrow"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert not any(step in done.stderr for step in STEPS) and "\x1b" not in done.stderr
