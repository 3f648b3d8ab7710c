"""Streams that are closed, full, or whose reader has gone."""

from __future__ import annotations

import errno
import io
import os
import sys

import pytest

from partsdb.cli import streams
from partsdb.errors import PartsdbError, UsageError


class Stuck(io.TextIOWrapper):
    """A stream that takes nothing, for the reason given."""

    def __init__(self, reason: int) -> None:
        super().__init__(io.BytesIO(), encoding="utf-8")
        self._reason = reason

    def write(self, text: str) -> int:
        raise OSError(self._reason, os.strerror(self._reason))


def test_a_full_disk_is_told_by_its_reason(monkeypatch):
    monkeypatch.setattr(sys, "stdout", Stuck(errno.ENOSPC))
    with pytest.raises(streams.UnwritableError, match="No space left on device") as told:
        streams.say("72.38 EUR")
    assert isinstance(told.value, UsageError)


def test_a_reader_that_is_gone_is_no_error_of_the_system(monkeypatch):
    monkeypatch.setattr(sys, "stdout", Stuck(errno.EPIPE))
    with pytest.raises(streams.ReaderGoneError) as told:
        streams.say("72.38 EUR")
    assert isinstance(told.value, PartsdbError) and not isinstance(told.value, OSError)


def test_a_stderr_that_takes_nothing_has_nobody_to_tell(monkeypatch):
    monkeypatch.setattr(sys, "stderr", Stuck(errno.ENOSPC))
    streams.say("caution", err=True)


def test_what_is_said_stands_on_its_stream(capsys):
    streams.say("out")
    streams.say("err", err=True, nl=False)
    assert capsys.readouterr() == ("out\n", "err")


def test_closed_streams_are_put_on_the_null_device(monkeypatch):
    for name in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(sys, name, None)
    streams.ensure_open()
    assert sys.stdin.read() == ""
    for stream in (sys.stdout, sys.stderr):
        stream.write("lost")
        stream.flush()
        assert os.fstat(stream.fileno()).st_rdev == os.stat(os.devnull).st_rdev


def test_open_streams_are_left_alone():
    before = sys.stdin, sys.stdout, sys.stderr
    streams.ensure_open()
    assert (sys.stdin, sys.stdout, sys.stderr) == before


def test_what_cannot_be_written_goes_nowhere_at_exit(tmp_path, monkeypatch):
    with (tmp_path / "answer").open("w", encoding="utf-8") as stream:
        monkeypatch.setattr(sys, "stdout", stream)
        assert streams.let_go() == 0
        stream.write("lost")
    assert (tmp_path / "answer").read_text(encoding="utf-8") == ""
