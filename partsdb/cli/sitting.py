"""A sitting at the terminal: shows a question, reads a key, stores the answer at once."""

from collections.abc import Sequence
from typing import Any

import typer

from partsdb.cli.context import database, terminal_width
from partsdb.cli.keys import best_keys
from partsdb.errors import PartsdbError

_WAIT_FOR_MORE = ("r", "w")  # a candidate's number follows
_WAIT_FOR_LINE = ("=",)


class Table:
    """Puts the questions of a sitting one after the other until none is left or the person goes."""

    def __init__(self, ctx: typer.Context, sitting: Any) -> None:
        self._ctx, self._sitting = ctx, sitting
        self._keys = best_keys()

    def run(self) -> None:
        """Ask until nothing is left; leaving early keeps every answer."""
        from partsdb.render.review import risk_text

        self._say(f"{risk_text(self._sitting.risk)}   (? for help)")
        try:
            while self._sitting.current is not None and self._ask():
                pass
        except (EOFError, KeyboardInterrupt):
            self._say("")
        self._say(self._farewell())

    def _farewell(self) -> str:
        from partsdb.render.review import risk_text

        skipped = f", {self._sitting.skipped} skipped" if self._sitting.skipped else ""
        lines = "line" if self._sitting.answered == 1 else "lines"
        return f"{self._sitting.answered} {lines} decided{skipped}; {risk_text(self._sitting.risk)}"

    def _ask(self) -> bool:
        """Put the current question once and return whether to go on."""
        from partsdb.render.review import question_text, risk_text

        question = self._sitting.current
        alike = len(self._sitting.alike())
        self._say(f"\n{'-' * min(terminal_width(), 100)}\n{risk_text(self._sitting.risk)}\n")
        self._say(question_text(question, terminal_width(), alike=alike))
        while True:
            typed = self._typed("answer: ")
            if typed.casefold() in ("q", "quit"):
                return False
            if self._done(typed, question):
                return True

    def _done(self, typed: str, question: Any) -> bool:
        """Do what was typed and return whether the next question is to be put."""
        from partsdb.render.review import help_text

        word = typed.casefold()
        if word == "s":
            self._sitting.skip()
            return True
        if word == "u":
            return self._tried(self._undo)
        if word == "g":
            return self._group()
        if word in ("?", "h", ""):
            self._say(help_text())
            return False
        return self._tried(lambda: self._settle(typed, [question]))

    def _tried(self, act: Any) -> bool:
        """Do something that may be refused: a refusal is told, and the question stays."""
        try:
            act()
        except PartsdbError as refusal:
            hint = f" ({refusal.hint})" if refusal.hint else ""
            self._say(f"{refusal.message}{hint}")
            return False
        return True

    def _settle(self, typed: str, questions: Sequence[Any]) -> None:
        from partsdb.jobs.review_answers import in_words
        from partsdb.jobs.who import stamp

        with database(self._ctx, write=True):
            said = in_words(typed, questions[0])
            done = self._sitting.settle(typed, questions, stamp())
        more = f", {done.lines} lines read anew" if done.lines > 1 else ""
        self._say(f"-> {said if len(questions) == 1 else typed}{more}")

    def _undo(self) -> None:
        from partsdb.jobs.who import stamp

        with database(self._ctx, write=True):
            done = self._sitting.undo(stamp())
        self._say(f"taken back: {len(done.decisions)} decisions")

    def _group(self) -> bool:
        """Show the lines like this one and settle them together, if the person says so."""
        from partsdb.render.review import group_text

        alike = self._sitting.alike()
        self._say(group_text(alike, terminal_width()))
        typed = self._typed("for all of them (1, r1, w1, n, o, x; anything else: back): ")
        if not typed or typed.casefold() in ("s", "u", "g", "q", "?"):
            return True
        return self._tried(lambda: self._settle(typed, alike))

    def _typed(self, prompt: str) -> str:
        """Return an answer: one key, with what must follow it, or one line."""
        typer.echo(prompt, nl=False)
        typed = self._keys.key()
        if not self._keys.single:
            typer.echo(typed)
            return typed
        if typed in _WAIT_FOR_LINE:
            typer.echo(typed, nl=False)
            return typed + self._keys.line()
        if typed.casefold() in _WAIT_FOR_MORE:
            typer.echo(typed, nl=False)
            more = self._keys.key()
            typed += more + (self._keys.line() if more == "=" else "")
            typer.echo(more)
            return typed
        typer.echo(typed)
        return typed

    def _say(self, text: str) -> None:
        typer.echo(text)
