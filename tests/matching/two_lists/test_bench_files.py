"""The command that measures two whole lists: what is no list is refused in one sentence."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

COMMAND = Path(__file__).parents[2] / "bench" / "match_two_lists.py"
LIST = "id,name\n1,brass ball valve\n2,steel hose\n"


def measured(*files: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(COMMAND), *map(str, files)],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip


@pytest.mark.parametrize("nothing", ["", "\n\n", "\ufeff"])
@pytest.mark.parametrize("empty_one", [0, 1])
def test_an_empty_file_is_one_sentence_with_its_name_and_exit_code_two(
    tmp_path, nothing, empty_one
):
    files = [tmp_path / "left.csv", tmp_path / "right.csv"]
    for at, path in enumerate(files):
        path.write_text(nothing if at == empty_one else LIST, encoding="utf-8")
    done = measured(*files)
    assert done.returncode == 2
    [said] = done.stderr.splitlines()
    assert said.startswith(f"{files[empty_one]} is empty: give a text file with a header row")


def test_two_lists_are_still_measured(tmp_path):
    files = [tmp_path / "left.csv", tmp_path / "right.csv"]
    for path in files:
        path.write_text(LIST, encoding="utf-8")
    done = measured(*files)
    assert done.returncode == 0
    assert '"left": 2' in done.stdout.splitlines()[-1]
