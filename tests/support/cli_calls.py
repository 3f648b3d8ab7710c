"""The command line called in this process: what it wrote and how it ended."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest


@dataclass(frozen=True)
class Answer:
    """What a command wrote and how it ended."""

    code: int
    out: str
    err: str

    @property
    def whole(self) -> Any:
        """The JSON object that was written."""
        return json.loads(self.out)

    @property
    def data(self) -> Any:
        assert self.whole["ok"] is True, self.out
        return self.whole["data"]


Call = Callable[..., Answer]


def called(capsys: pytest.CaptureFixture[str], *arguments: object) -> Answer:
    from partsdb.cli import main

    hook = sys.excepthook
    try:
        with pytest.raises(SystemExit) as left:
            main.run([str(each) for each in arguments])
    finally:
        sys.excepthook = hook
    said = capsys.readouterr()
    return Answer(int(left.value.code or 0), said.out, said.err)
