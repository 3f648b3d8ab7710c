"""What a library writes past Python's own stream does not get into an answer."""

from __future__ import annotations

import subprocess
import sys

SCRIPT = """
import os, sys
from partsdb.jobs.quiet import without_noise
print("before")
with without_noise():
    os.write(1, b"noise of a library\\n")
print("after")
{}
"""


def run(more: str = "", **how: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", SCRIPT.format(more)]
    return subprocess.run(command, text=True, check=False, **how)  # type: ignore[call-overload, no-any-return]


def test_noise_goes_nowhere_and_our_own_words_stay():
    done = run(capture_output=True)
    assert (done.returncode, done.stdout) == (0, "before\nafter\n")


def test_an_error_inside_brings_stdout_back():
    more = """
try:
    with without_noise():
        raise ValueError
except ValueError:
    print("caught")
"""
    assert run(more, capture_output=True).stdout.endswith("after\ncaught\n")


def test_without_a_stdout_nothing_is_in_the_way():
    code = "import os\nos.close(1)\nfrom partsdb.jobs.quiet import without_noise\nwith without_noise():\n    pass\nos._exit(7)"
    done = subprocess.run([sys.executable, "-c", code], check=False)
    assert done.returncode == 7
