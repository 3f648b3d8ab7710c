"""Questions as a sheet with a column for the answer, and the answers read back from it.

A sheet is taken back whole or not at all; every bad answer is named with its row and column.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from partsdb.errors import InputRefusedError
from partsdb.jobs.decisions import Answer, Decided, decide
from partsdb.jobs.review import ReviewAsk, questions_of
from partsdb.jobs.review_answers import answer_of
from partsdb.jobs.review_question import Question
from partsdb.jobs.shop_files import FileFormat, Row, Table, read_file
from partsdb.matching.weighing import SHOWN
from partsdb.store.rows import Stamp

_KEYS = ("batch", "line", "reading")
_CHOICES = tuple(f"candidate {n}" for n in range(1, SHOWN + 1))
_TOLD = ("place", "code", "maker", "maker number", "replaces", "description", "price",
         "pressure part", "machines", "doubt", *_CHOICES, "alike")  # fmt: skip
_FORMAT = FileFormat("answers", (*_KEYS, "answer"), (*_TOLD, "why"))
COLUMNS = (*_KEYS, "place", "answer", "why", *(name for name in _TOLD if name != "place"))
_MOST_ROWS = 100_000


def sheet_rows(batch: int, questions: tuple[Question, ...]) -> list[dict[str, str]]:
    """Return one row for each question; `answer` and `why` are left for a person."""
    return [dict.fromkeys(COLUMNS, "") | _row(batch, question) for question in questions]


def _row(batch: int, question: Question) -> dict[str, str]:
    told = {name: question.fields.get(name, "") for name in _TOLD if name in question.fields}
    choices = {f"candidate {n}": text for n, text in enumerate(_choices(question), start=1)}
    return told | choices | {
        "batch": str(batch),
        "line": str(question.line_id),
        "reading": str(question.reading_id),
        "place": question.place,
        "price": question.price,
        "pressure part": "yes" if question.holds_pressure else "no",
        "machines": "; ".join(question.machines),
        "doubt": "; ".join(question.doubts),
        "alike": question.pattern,
    }  # fmt: skip


def _choices(question: Question) -> Iterator[str]:
    for proposal in question.proposals[:SHOWN]:
        against = [each.text for each in proposal.evidence if each.weighs != "for"]
        differs = f" [{'; '.join(against)}]" if against else ""
        yield f"{proposal.maker} {proposal.number}: {proposal.description}{differs}"


def take_answers(path: Path, ask: ReviewAsk, by: Stamp) -> Decided:
    """Store the answers of a sheet; rows without one stay open.

    Raises FileRefusedError that names every bad cell, and then nothing is stored.
    """
    table = _table(path)
    asked = {
        question.line_id: question
        for question in questions_of(ask.batch, _lines(table, ask.batch), ask.as_of)
    }
    answers = [answer for row in table.rows if (answer := _answer(row, asked)) is not None]
    twice = {
        a.line_id for n, a in enumerate(answers) if a.line_id in {b.line_id for b in answers[:n]}
    }
    for row in table.rows:
        if row.text("answer") and row.whole("line") in twice:
            row.bad("line", f"{row.text('line')} is answered twice")
    table.refuse_if_bad()
    return decide(ask.batch, answers, by) if answers else Decided((), 0)


def _lines(table: Table, batch: int) -> list[int]:
    """Return the lines that are answered; a row of another batch is bad."""
    found = []
    for row in table.rows:
        if not row.text("answer"):
            continue
        if row.whole("batch") != batch:
            row.bad("batch", f"{row.text('batch')!r} is not the batch {batch} that is answered")
        elif (line_id := row.whole("line", least=1)) is not None:
            found.append(line_id)
    return found


def _answer(row: Row, asked: dict[int, Question]) -> Answer | None:
    typed = row.text("answer")
    if not typed or (line_id := row.whole("line")) is None:
        return None
    question = asked.get(line_id)
    if question is None:
        row.bad("line", f"{line_id} is no item of this batch")
        return None
    if row.whole("reading") != question.reading_id:
        row.bad("reading", "the line was read anew since the sheet was written; export it again")
        return None
    return row.tried(
        "answer", lambda: answer_of(typed, question, reason=row.text("why"), picked=True), None
    )


def _table(path: Path) -> Table:
    if path.suffix.casefold() != ".xlsx":
        return read_file(path, _FORMAT)
    table = Table(path.name)
    header, *rows = _sheet(path) or [()]
    unknown = [name for name in (*_KEYS, "answer") if name not in header]
    if unknown:
        raise InputRefusedError(
            f"the first row names no column {', '.join(unknown)}",
            place=path.name,
            hint="give the sheet back with the columns that the export wrote",
        )
    table.rows = [
        Row(table, number, dict(zip(header, cells, strict=False)))
        for number, cells in enumerate(rows, start=2)
        if any(cells)
    ]
    return table


def _sheet(path: Path) -> list[tuple[str, ...]]:
    """Return the first sheet's cells as text; raises InputRefusedError for no workbook."""
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(path, read_only=True, data_only=True)
    except (OSError, BadZipFile, InvalidFileException, KeyError, ValueError) as error:
        raise InputRefusedError(
            f"the file is no workbook that can be read ({error})", place=path.name,
            hint="save it as .xlsx or as .csv",
        ) from None  # fmt: skip
    rows = book.worksheets[0].iter_rows(max_row=_MOST_ROWS, values_only=True)
    return [tuple(_text(cell) for cell in row) for row in rows]


def _text(cell: object) -> str:
    """Return a cell as text; a whole number that became a decimal stays whole."""
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    return "" if cell is None else str(cell).strip()
