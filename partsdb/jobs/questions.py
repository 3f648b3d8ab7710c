"""What to ask a supplier, line by line and worst first, and what the answers could change."""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.jobs.list_answers import AskedLine
from partsdb.jobs.own_parts import OwnParts
from partsdb.jobs.vet_judged import Judged, fitting
from partsdb.jobs.vet_price_signs import ListSign
from partsdb.jobs.vet_signs import GRAVE, line_questions, signs_of
from partsdb.jobs.who import stamp
from partsdb.matching.readings import ReadingKind
from partsdb.rules.counting import counted
from partsdb.rules.verdict import VERDICT_RANK, Outcome, Verdict
from partsdb.store.rows import SupplierRow

# What a supplier's answer, with its document, can settle; all else the bench has to decide.
_ANSWERABLE = (
    "pressure", "list rating", "material", "thread", "temperature", "fluid", "size", "contents",
    "price", "line",
)  # fmt: skip
_NO_LINE = 1_000  # signs of the whole list stand behind those of the single line


def asked_lines(
    lines: Sequence[Judged], signs: Sequence[ListSign], supplier: SupplierRow | None
) -> tuple[AskedLine, ...]:
    """Return every question with the line that it is about; gravest first, then worst verdict."""
    numbers = {id(line): number for number, line in enumerate(lines, start=1)}
    own = OwnParts(supplier, stamp()) if supplier else None
    found = [
        (rank, line, sign, question, why)
        for line in lines
        for rank, sign, question, why in line_questions(line)
    ]
    found += [
        (_NO_LINE + place, line, each.sign, each.question, each.why)
        for place, each in enumerate(signs)
        if each.question
        for line in each.lines
    ]
    found.sort(key=lambda each: (each[0], -_gravity(each[1]), numbers[id(each[1])]))
    return tuple(
        _asked(numbers[id(line)], line, (sign, question, why), own)
        for _, line, sign, question, why in found
    )


def _gravity(line: Judged) -> int:
    return VERDICT_RANK[line.verdict] if line.verdict else -1


def _asked(
    number: int, line: Judged, asked: tuple[str, str, str], own: OwnParts | None
) -> AskedLine:
    text = line.line.listed.text
    maker, own_number = _article(line, own)
    sign, question, why = asked
    return AskedLine(
        line=number,
        place=line.line.listed.row.place(),
        code=text.code,
        description=text.description,
        maker=maker,
        number=own_number,
        role=line.role,
        replaces=f"{line.maker} {line.number}" if _replaces(line) else "",
        about=sign,
        question=question,
        why=why,
    )


def _replaces(line: Judged) -> bool:
    return line.line.reading.kind is ReadingKind.REPLACEMENT


def _article(line: Judged, own: OwnParts | None) -> tuple[str, str]:
    """Return maker and number of the article sold, which the answer will be about."""
    if line.line.reading.kind is ReadingKind.OFFER:
        return line.maker, line.number
    named = own.article(line.line) if own else None
    text = line.line.listed.text
    return named or (text.maker, text.maker_number or text.code)


def if_answered(lines: Sequence[Judged]) -> str:
    """Return in words how many lines could be bought if every question were answered as wanted."""
    open_lines = [line for line in lines if line.verdict is Verdict.ASK_FIRST]
    if not open_lines:
        return ""
    answerable = [line for line in open_lines if not _left_open(line)]
    settled = [line for line in answerable if line.line.has_price]
    unpriced = len(answerable) - len(settled)
    no_price = f"{_with_verb(unpriced, 'name')} no price; " if unpriced else ""
    decided = len(open_lines) - len(answerable)
    failing = sum(1 for line in lines if line.verdict is Verdict.DO_NOT_FIT)
    return (
        f"Of {counted(len(open_lines), 'line')} to ask about, {len(settled)} could be bought if "
        f"every question were answered with a document as we need it; "
        f"{no_price}"
        f"{_with_verb(decided, 'need')} a decision at the bench as well (what stands in for what); "
        f"{_with_verb(failing, 'stay')} out whatever is answered. "
        f"{_then(lines, settled)}"
    )


def _with_verb(count: int, verb: str) -> str:
    return f"{count} {verb}{'s' if count == 1 else ''}"


def _then(lines: Sequence[Judged], settled: Sequence[Judged]) -> str:
    """Return what the list would come to once its questions were answered as we need it."""
    fit = len(fitting(lines)[0])
    failing = [line for line in lines if line.verdict is Verdict.DO_NOT_FIT]
    left = sorted({sign.sign for sign in signs_of(failing)} & GRAVE)
    buy = f"Then {counted(fit + len(settled), 'line')} could be bought"
    if left:
        return f"{buy}; the ratings of the rest would still not be trusted ({', '.join(left)})."
    return f"{buy}, and nothing would speak against its ratings any more."


def _left_open(line: Judged) -> bool:
    """Say whether something stays open that no answer of the supplier can settle."""
    return any(
        check.outcome is Outcome.NOT_SHOWN and not check.check.startswith(_ANSWERABLE)
        for check in line.checks
    )
