"""The review at the command line: in a pipe, at a terminal, on a sheet; and what recheck tells."""

from __future__ import annotations

import io
import os
import sys
from contextlib import suppress
from pathlib import Path

import contract
import jsonschema
import pytest
from cli_calls import Call
from decided_shop import HOSE, NEAR, NEARER, SURE, about, asked, held, read

from partsdb.store.connect import open_database

DAY = "2026-11-20"
ROWS = [NEAR, NEAR.replace("24-1183", "24-1185"), NEARER, HOSE, SURE]


@pytest.fixture
def batch(bench: Path, tmp_path: Path) -> int:
    with open_database(bench, write=True):
        return read(tmp_path, ROWS)


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch):
    """Return a function that lays lines into the pipe."""
    return lambda *lines: monkeypatch.setattr(
        sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines))
    )


def readings(bench: Path, batch: int) -> dict[int, str]:
    with open_database(bench):
        return {row[0]: row[1] for row in held(batch)["reading"]}


def test_answers_in_a_pipe_are_stored_one_by_one(partsdb: Call, bench: Path, batch: int, typed):
    with open_database(bench):
        order = [question.fields["code"] for question in asked(batch)]
    typed("?", "nonsense", "1", "s", "9", "o")
    answer = partsdb("pricelist", "review", batch)
    assert (answer.code, answer.err) == (0, "")
    assert "'nonsense' is no answer" in answer.out
    assert "9 names none" in answer.out
    assert "this candidate is the very part" in answer.out
    assert (
        answer.out.rstrip()
        .splitlines()[-1]
        .startswith("2 lines decided, 1 skipped; 1 question left")
    )
    with open_database(bench):
        left = [question.fields["code"] for question in asked(batch)]
    assert left == [order[1], order[3]]


def test_a_pipe_that_ends_keeps_what_was_decided(partsdb: Call, bench: Path, batch: int, typed):
    typed("o")
    assert partsdb("pricelist", "review", batch).code == 0
    with open_database(bench):
        assert len(asked(batch)) == 3


def test_undo_brings_the_question_back_at_once_and_later(partsdb: Call, bench: Path, batch, typed):
    before = readings(bench, batch)
    typed("o", "u", "q")
    partsdb("pricelist", "review", batch)
    assert readings(bench, batch) == before
    typed("o", "q")
    partsdb("pricelist", "review", batch)
    assert readings(bench, batch) != before
    answer = partsdb("--format", "json", "pricelist", "review", batch, "--undo")
    assert answer.data["review"] == {"batch": batch, "taken_back": 1, "lines_read_anew": 1}
    assert readings(bench, batch) == before
    assert partsdb("pricelist", "review", batch, "--undo").code == 2


def test_lines_alike_are_shown_and_settled_together(partsdb: Call, bench: Path, batch: int, typed):
    with open_database(bench):
        order = [question.pattern for question in asked(batch)]
    skips = next(at for at, each in enumerate(order) if order.count(each) > 1)
    typed(*["s"] * skips, "g", "q", "g", "n")
    answer = partsdb("pricelist", "review", batch)
    assert "2 lines like it (g)" in answer.out
    assert answer.out.count("Alike: ") == 2
    assert "-> n, 2 lines read anew" in answer.out
    with open_database(bench):
        assert len(asked(batch)) == 2


def test_one_row_may_be_asked_about_though_it_is_settled(partsdb: Call, bench: Path, batch, typed):
    typed("w1")
    answer = partsdb("pricelist", "review", batch, "--row", 6)
    assert "-> not Quillmere 24-1180" in answer.out
    with open_database(bench):
        assert about(batch, "24-1180").reading == "to review"
    assert partsdb("pricelist", "review", batch, "--row", 60).code == 2


def test_a_sheet_goes_out_and_comes_back(partsdb: Call, bench: Path, batch: int, tmp_path: Path):
    path = tmp_path / "q.csv"
    answer = partsdb("--format", "json", "pricelist", "review", batch, "--export", path)
    assert answer.data["review"]["questions"] == 4
    text = path.read_text(encoding="utf-8-sig").replace("row 2,,", "row 2,o,", 1)
    path.write_text(text, encoding="utf-8-sig")
    answer = partsdb("--format", "json", "pricelist", "review", batch, "--import", path)
    assert answer.data["review"]["decided"] == 1
    assert readings(bench, batch)[2] == "not ours"
    again = partsdb("--format", "json", "pricelist", "review", batch, "--import", path)
    jsonschema.validate(again.whole, contract.REFUSAL)
    assert again.code == 3
    assert "column reading: the line was read anew" in again.whole["error"]["message"]


def test_json_and_csv_give_the_questions_without_asking(partsdb: Call, batch: int):
    data = partsdb("--format", "json", "pricelist", "review", batch).data
    assert data["left"]["questions"] == len(data["review"]["questions"]) == 4
    first = data["review"]["questions"][0]
    assert first["proposals"][0]["evidence"][0]["name"] == "number"
    rows = partsdb("--format", "csv", "pricelist", "review", batch).out.splitlines()
    assert rows[0].startswith("batch,line,reading,place,answer,why,code")
    assert len(rows) == 5


def test_recheck_and_record_answer_in_every_format(partsdb: Call, batch: int):
    data = partsdb("--format", "json", "pricelist", "recheck").data
    assert (data["flips"], data["batches"], data["applied"]) == ([], 1, 0)
    assert "nothing would change" in partsdb("pricelist", "recheck", batch).out
    assert partsdb("pricelist", "recheck", batch, "--apply").code == 0
    assert partsdb("pricelist", "recheck", 77).code == 2
    assert "no line was judged here yet" in partsdb("pricelist", "review", "--record").out
    assert partsdb("pricelist", "review").code == 2


def at_a_terminal(bench: Path, batch: int, keys: str) -> tuple[int, str]:
    """Run the review at a terminal of its own, press the keys, and return exit code and screen."""
    import pty
    import select

    command = [sys.executable, "-m", "partsdb", "--db", str(bench), "--as-of", DAY,
               "pricelist", "review", str(batch)]  # fmt: skip
    process, terminal = pty.fork()
    if process == 0:
        os.execv(sys.executable, command)
    screen, pressed = b"", 0
    with suppress(OSError):  # the terminal is gone when the program ends
        for _ in range(200):
            if select.select([terminal], [], [], 0.5)[0]:
                screen += os.read(terminal, 65536)
            elif pressed < len(keys) and screen.endswith(b"answer: "):
                # What is typed before the question is seen is thrown away, so wait for it.
                os.write(terminal, keys[pressed].encode())
                pressed += 1
    status = os.waitpid(process, 0)[1]
    os.close(terminal)
    return os.waitstatus_to_exitcode(status), screen.decode(errors="replace")


@pytest.mark.skipif(sys.platform == "win32", reason="a pseudo terminal is a thing of POSIX")
def test_single_keys_at_a_terminal_and_ctrl_c_keeps_what_was_decided(bench: Path, batch: int):
    code, screen = at_a_terminal(bench, batch, "oo\x03")
    assert "Traceback" not in screen
    assert "2 lines decided" in screen
    assert code == 0
    with open_database(bench):
        assert len(asked(batch)) == 2
