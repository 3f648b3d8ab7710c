"""A command that is interrupted, or whose answer has nowhere to go: one sentence, never half a batch."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from cli_calls import Call
from small_shop import DAY, price_list

ROOT = Path(__file__).parents[2]
KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi",61.90'
FULL = Path("/dev/full")
NEEDS_FULL = pytest.mark.skipif(not FULL.exists(), reason="no device that is always full here")


@pytest.fixture
def a_list(tmp_path: Path) -> Path:
    return price_list(tmp_path, [KIT])


def shell(bench: Path, line: str) -> subprocess.CompletedProcess[str]:
    """Run a line of shell in which $P is the console script."""
    command = f"P='{sys.executable} -m partsdb --db {bench} --quiet --as-of {DAY}'; {line}"
    return subprocess.run(
        ["/bin/sh", "-c", command], cwd=ROOT, capture_output=True, text=True, check=False
    )


def batches(partsdb: Call) -> int:
    shown = partsdb("--known-on", "2099-01-01", "--format", "json", "pricelist", "show")
    return len(shown.data["batches"])


@pytest.mark.parametrize(
    ("where", "stored", "said"),
    [
        ("partsdb.jobs.intake.read_list", 0, "error: interrupted before it was done: nothing was"),
        ("partsdb.jobs.store_lines.LineStore.store", 0, "error: interrupted before it was done"),
        ("partsdb.render.batch.batch_text", 1, "error: interrupted: the change is stored, only"),
    ],
)
def test_an_interrupt_says_whether_the_change_is_stored(
    partsdb: Call, a_list, monkeypatch, where, stored, said
):
    def interrupted(*given: object, **more: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(where, interrupted)
        answer = partsdb("pricelist", "read", a_list, "--supplier", "Kestrow")
    assert answer.code == 130
    assert answer.err.startswith(said)
    assert batches(partsdb) == stored


def test_an_interrupt_in_json_is_the_contracts_object(partsdb: Call, a_list, monkeypatch):
    def interrupted(*given: object, **more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("partsdb.jobs.intake.read_list", interrupted)
    answer = partsdb("--format", "json", "pricelist", "read", a_list, "--supplier", "Kestrow")
    assert answer.whole["error"]["code"] == "interrupted"


@pytest.mark.skipif(os.name != "posix", reason="signals to a group of processes")
@pytest.mark.parametrize("after", [0.3, 0.6])
def test_ctrl_c_while_the_child_process_parses_a_workbook_leaves_no_trace(partsdb, bench, after):
    command = [sys.executable, "-m", "partsdb", "--db", bench, "--as-of", DAY, "pricelist", "read",
               ROOT / "fixtures/lists/saltreeve_2026q4.xlsx", "--supplier", "Kestrow"]  # fmt: skip
    running = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
    )
    time.sleep(after)
    os.killpg(running.pid, signal.SIGINT)
    _, err = running.communicate(timeout=60)
    if running.returncode == 130:  # on a slow machine the interpreter itself may be loading still
        assert err.decode().startswith("error: interrupted before")
        assert batches(partsdb) == 0
    else:
        assert running.returncode in (0, 1, -signal.SIGINT)
        assert batches(partsdb) == (running.returncode == 0)


@NEEDS_FULL
def test_a_full_disk_under_the_answer_is_one_sentence(bench):
    done = shell(bench, "$P pricelist show > /dev/full")
    assert done.returncode == 2
    assert done.stderr.startswith("error: the answer cannot be written: No space left")
    assert "Traceback" not in done.stderr


@NEEDS_FULL
def test_a_change_that_stands_is_told_though_its_answer_is_lost(partsdb: Call, bench, a_list):
    done = shell(bench, f"$P pricelist read {a_list} --supplier Kestrow > /dev/full")
    assert "cannot be written" in done.stderr
    assert done.stderr.splitlines()[0].endswith("; the change itself is stored")
    assert batches(partsdb) == 1


@pytest.mark.skipif(os.name != "posix", reason="the shell's way to close a stream")
@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", ">&- 2>&- <&-"])
def test_a_stream_that_the_caller_closed_is_no_fault(partsdb: Call, bench, a_list, closed):
    done = shell(bench, f"$P pricelist read {a_list} --supplier Kestrow {closed}")
    assert (done.returncode, done.stderr) == (0, "")
    assert batches(partsdb) == 1
    assert partsdb("doctor").out.startswith("the database is sound")


@pytest.mark.skipif(os.name != "posix", reason="pipes of the shell")
def test_a_reader_of_the_pipe_that_has_seen_enough_ends_the_command_well(bench, a_list):
    shell(bench, f"$P pricelist read {a_list} --supplier Kestrow")
    done = shell(bench, "$P --format json pricelist show 1 | head -c 1; true")
    assert (done.stdout, done.stderr) == ("{", "")


@pytest.mark.skipif(os.name != "posix", reason="pipes of the shell")
@pytest.mark.parametrize("words", ["pricelist show", "doctor", "history"])
def test_a_pipe_that_is_closed_from_the_start_is_no_failure(bench, words):
    line = f"exec 3>&1; {{ $P {words}; echo ended $? >&3; }} | true"
    done = shell(bench, line)
    assert (done.stdout, done.stderr) == ("ended 0\n", "")


def test_a_list_that_vanishes_between_two_looks_is_one_sentence(partsdb: Call, bench, monkeypatch):
    from importers import bounded

    path = bench.with_name("gone.xlsx")
    path.write_bytes((ROOT / "fixtures/lists/saltreeve_2026q4.xlsx").read_bytes())
    is_small = bounded._is_small_text

    def looked_and_gone(seen: Path, limits: object) -> bool:
        small = is_small(seen, limits)
        seen.unlink()
        return small

    monkeypatch.setattr(bounded, "_is_small_text", looked_and_gone)
    answer = partsdb("pricelist", "read", path, "--supplier", "Kestrow")
    assert answer.code == 3
    assert answer.err.splitlines()[0] == "error: gone.xlsx: there is no such file"
