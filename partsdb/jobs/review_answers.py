"""What a person types in answer to a question, read the same from a key, a line or a sheet."""

from __future__ import annotations

import re

from partsdb.errors import UsageError
from partsdb.jobs.decisions import Answer
from partsdb.jobs.named import the_part
from partsdb.jobs.past import CHECKED
from partsdb.jobs.review_question import Question
from partsdb.matching.readings import ReadingKind
from partsdb.store.rows_lists import WRONG_MATCH

_PLAIN = {"n": ReadingKind.NEW_PART, "o": ReadingKind.NOT_OURS, "x": ReadingKind.NOT_A_PART}
_CHOICE = {"": ReadingKind.OFFER.value, "r": ReadingKind.REPLACEMENT.value, "w": WRONG_MATCH}
_CHOSEN = re.compile(r"([rw]?)\s*([1-9])")
_NAMED = re.compile(r"([rw]?)\s*=\s*(?:(.+)\|)?\s*(.+)")
GRAMMAR = (
    "1 to 5 (the very part), r1 to r5 (its replacement), w1 to w5 (not that part), n (new part),"
    " o (not ours), x (not a part), or = and another number of ours (=Maker|Number, r=Number)"
)


def answer_of(typed: str, question: Question, *, reason: str = "", picked: bool = False) -> Answer:
    """Return the answer that was typed; raises UsageError with the answers that there are.

    `picked` says that a settled line was picked to be checked: such answers make the record.
    """
    kind, part_id = _meant(typed.strip(), question)
    if picked and question.reading != ReadingKind.TO_REVIEW.value:
        reason = f"{CHECKED}: {reason}" if reason else CHECKED
    return Answer(question.line_id, question.reading_id, kind, part_id, reason)


def _meant(said: str, question: Question) -> tuple[str, int | None]:
    if said.casefold() in _PLAIN:
        return _PLAIN[said.casefold()].value, None
    if chosen := _CHOSEN.fullmatch(said.casefold()):
        return _CHOICE[chosen[1]], _proposed(int(chosen[2]), question)
    if named := _NAMED.fullmatch(said):
        maker = (named[2] or "").strip() or None
        return _CHOICE[named[1].casefold()], the_part(named[3].strip(), maker).id
    raise UsageError(f"{said!r} is no answer", hint=f"write {GRAMMAR}")


def _proposed(number: int, question: Question) -> int:
    count = len(question.proposals)
    if number <= count:
        return question.proposals[number - 1].part_id
    there = {0: "is no candidate", 1: "is only 1 candidate"}.get(
        count, f"are only {count} candidates"
    )
    raise UsageError(f"there {there}: {number} names none", hint=f"write {GRAMMAR}")


def in_words(typed: str, question: Question) -> str:
    """Return what an answer says of the question's line, for people."""
    answer = answer_of(typed, question)
    part = next((p for p in question.proposals if p.part_id == answer.part_id), None)
    name = f"{part.maker} {part.number}" if part else typed.partition("=")[2].strip()
    told = {
        ReadingKind.OFFER.value: f"the very part {name}",
        ReadingKind.REPLACEMENT.value: f"a replacement for {name}",
        WRONG_MATCH: f"not {name}",
    }
    return told.get(answer.kind, answer.kind)
