"""The demo as a process: three answers, and an interruption that leaves no traceback."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from cli_calls import Call

INTERRUPTED = 130
LONGEST_S = 120  # the demo itself takes a quarter of it; a busy machine is no failure


def demo(folder: Path, *more: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "partsdb", "demo", str(folder), *more]
    return subprocess.run(command, capture_output=True, text=True, timeout=LONGEST_S, check=False)


def test_the_demo_prints_three_answers_and_leaves_a_shop_to_ask(tmp_path):
    done = demo(tmp_path / "demo")
    assert done.returncode == 0, done.stderr
    for number in ("1. ", "2. ", "3. "):
        assert any(row.startswith(number) for row in done.stdout.splitlines())
    # The story of fixtures/README.md.
    assert "24-1182: fit" in done.stdout
    assert "only with the maker's sealant" in done.stdout
    assert "Signs of a bad list" in done.stdout
    assert "sum of the steps" in done.stdout
    assert "\x1b" not in done.stdout
    assert "Traceback" not in done.stderr
    assert (tmp_path / "demo" / "demo.db").exists()
    assert "instead 24-1180 --machine Q33" in done.stdout


@pytest.mark.skipif(os.name != "posix", reason="signals as POSIX has them")
def test_an_interrupted_demo_leaves_no_traceback_and_may_be_run_again(tmp_path):
    folder = tmp_path / "demo"
    command = [sys.executable, "-m", "partsdb", "demo", str(folder)]
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    end = time.monotonic() + LONGEST_S
    while not (folder / "demo.db").exists() and time.monotonic() < end:
        time.sleep(0.02)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=LONGEST_S)
    assert running.returncode == INTERRUPTED
    assert "Traceback" not in out + err
    assert "KeyboardInterrupt" not in out + err
    assert "fault of partsdb" not in err


def test_a_database_that_is_no_demo_is_left_alone(partsdb: Call, bench, tmp_path):
    place = tmp_path / "mine" / "demo.db"
    place.parent.mkdir()
    place.write_bytes(bench.read_bytes())
    answer = partsdb("demo", place.parent)
    assert answer.code == 2
    assert "is not a demo and is left as it is" in answer.err
    assert place.read_bytes() == bench.read_bytes()
