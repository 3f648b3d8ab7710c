"""One sitting at the questions of a batch: which is next, which are alike, what was answered.

Each answer is stored at once, so that leaving early keeps what was decided.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from partsdb.jobs.decisions import Decided, decide, undo
from partsdb.jobs.review import Review, ReviewAsk, questions_of, read_anew_since
from partsdb.jobs.review_answers import answer_of
from partsdb.jobs.review_question import Question, Risk, risk_of
from partsdb.matching.readings import ReadingKind
from partsdb.store.rows import Stamp


@dataclass(slots=True)
class Sitting:
    """The questions still open, in order; skipped ones come no more in this sitting."""

    ask: ReviewAsk
    review: Review
    skipped: int = 0
    answered: int = 0
    _open: list[Question] = field(init=False)
    _done: list[list[int]] = field(init=False)

    def __post_init__(self) -> None:
        self._open = list(self.review.questions)
        self._done = []

    @property
    def current(self) -> Question | None:
        """Return the question to be asked now, None when none is left."""
        return self._open[0] if self._open else None

    @property
    def risk(self) -> Risk:
        """Return what is still at risk, skipped questions left out."""
        return risk_of(self._open)

    def alike(self) -> list[Question]:
        """Return the open questions with the pattern of the current one, itself among them."""
        current = self.current
        return [q for q in self._open if current and q.pattern == current.pattern]

    def skip(self) -> None:
        """Leave the current question for another sitting."""
        if self._open:
            self._open.pop(0)
            self.skipped += 1

    def settle(self, typed: str, questions: Sequence[Question], by: Stamp) -> Decided:
        """Store one answer to these questions and go on; raises UsageError and changes nothing.

        What the answer settles along with its own question is asked no more.
        """
        picked = not self.ask.row
        answers = [answer_of(typed, each, picked=picked) for each in questions]
        done = decide(self.ask.batch, answers, by)
        changed = read_anew_since(self._open)
        fresh = {
            question.line_id: question
            for question in questions_of(self.ask.batch, changed, self.ask.as_of)
            if question.reading == ReadingKind.TO_REVIEW.value
        }
        self._open = [
            fresh.get(question.line_id, question)
            for question in self._open
            if question.line_id not in changed or question.line_id in fresh
        ]
        self._done.append(sorted(changed))
        self.answered += len(changed - fresh.keys())
        return done

    def undo(self, by: Stamp) -> Decided:
        """Take the newest answer about the batch back and put its questions first.

        Raises UsageError when no decision stands.
        """
        done = undo(self.ask.batch, by)
        line_ids = self._done.pop() if self._done else []
        back = questions_of(self.ask.batch, line_ids, self.ask.as_of)
        known = {question.line_id for question in back}
        self.answered -= len(known - _ids(self._open))
        self._open = [*back, *(each for each in self._open if each.line_id not in known)]
        return done


def _ids(questions: Iterable[Question]) -> set[int]:
    return {question.line_id for question in questions}
