"""The shop's own CSV files: cells read by type, every bad one named before a file is refused."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import TypeVar

from partsdb.errors import InputRefusedError, PartsdbError, UsageError
from partsdb.rules.currencies import currency_info
from partsdb.rules.days import typed_iso_day
from partsdb.rules.money import Money, plain_decimal

SHOWN_PROBLEMS = 20
T = TypeVar("T")


class FileRefusedError(InputRefusedError):
    """A file of which nothing was taken in; `problems` are sentences, one for each bad cell."""

    code = "file_refused"

    def __init__(self, name: str, problems: Sequence[str]) -> None:
        self.problems = tuple(problems)
        shown = "".join(f"\n  {problem}" for problem in problems[:SHOWN_PROBLEMS])
        more = len(problems) - SHOWN_PROBLEMS
        rest = f"\n  … and {more} more" if more > 0 else ""
        count = f"{len(problems)} {'mistake' if len(problems) == 1 else 'mistakes'}"
        super().__init__(
            f"{name} is refused as a whole, {count} in it:{shown}{rest}",
            hint="correct the cells that are named and give the file again; nothing was stored",
        )


class FilesRefusedError(InputRefusedError):
    """Several files of a folder that cannot be taken in: each one's sentences, in one go."""

    code = "file_refused"

    def __init__(self, refused: Sequence[Exception], unchecked: Sequence[str]) -> None:
        self.refused = tuple(refused)
        told = "".join(f"\n{error}" for error in refused)
        rest = f"\nnot checked, for they need a file that cannot be read: {', '.join(unchecked)}"
        count = f"{len(refused)} {'file is' if len(refused) == 1 else 'files are'}"
        super().__init__(
            f"{count} refused:{told}{rest if unchecked else ''}",
            hint="correct what is named and load the folder again; nothing was stored",
        )


@dataclass(frozen=True, slots=True)
class FileFormat:
    """The columns of one kind of file."""

    name: str
    required: tuple[str, ...]
    optional: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LoadCount:
    """What a file came to: rows that are new, as before, or changed, and what to look at."""

    file: str
    added: int
    same: int
    changed: int
    cautions: tuple[str, ...] = ()


@dataclass(slots=True)
class Table:
    """One file's rows; problems are gathered here and refuse the file together.

    `options` names the option by which a column was typed ("--evidence").
    """

    name: str
    rows: list[Row] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    is_typed: bool = False
    bad_rows: set[int] = field(default_factory=set)
    options: Mapping[str, str] = field(default_factory=dict)

    def without_bad_rows(self) -> Table:
        """Return the table of the rows in which nothing was found wrong."""
        good = Table(self.name)
        good.rows = [Row(good, r.row, r.cells) for r in self.rows if r.row not in self.bad_rows]
        return good

    def tally(self, done: Sequence[str]) -> LoadCount:
        """Count what was done with each thing: "added", "same" or "changed"."""
        added, same, changed = (done.count(what) for what in ("added", "same", "changed"))
        return LoadCount(self.name, added, same, changed, tuple(self.cautions))

    def refuse_if_bad(self) -> None:
        """Raise FileRefusedError when any cell was bad, UsageError for what was typed."""
        if self.problems and self.is_typed:
            raise UsageError("; ".join(self.problems))
        if self.problems:
            raise FileRefusedError(self.name, self.problems)


@dataclass(slots=True)
class Row:
    """One row of a file. Row 0 is what was typed on the command line, not a file."""

    table: Table
    row: int
    cells: Mapping[str, str]

    def place(self, column: str = "") -> str:
        """Return where a cell stands, for people."""
        if self.row == 0:
            return self.table.options.get(column, column.replace("_", " ")) or "command line"
        return f"row {self.row}, column {column}" if column else f"row {self.row}"

    def bad(self, column: str, message: str) -> None:
        """Note that a cell cannot be taken in, and why, and what to do."""
        told = f"{self.place(column)}: {message}"
        if told not in self.table.problems:
            self.table.problems.append(told)
        self.table.bad_rows.add(self.row)

    def caution(self, column: str, message: str) -> None:
        """Note something to look at that does not refuse the file."""
        self.table.cautions.append(f"{self.table.name} {self.place(column)}: {message}")

    def text(self, column: str, *, needed: bool = False) -> str:
        """Return a cell without surrounding blanks."""
        value = self.cells.get(column, "").strip()
        if needed and not value:
            self.bad(column, "is empty; it must be filled")
        return value

    def choice(self, column: str, allowed: Iterable[str], *, needed: bool = True) -> str:
        """Return a cell that must be one of the allowed words, in any case."""
        value = self.text(column, needed=needed)
        words = {str(word).casefold(): str(word) for word in allowed}
        if value and value.casefold() not in words:
            self.bad(column, f"{value!r} is none of: {', '.join(words.values())}")
        return words.get(value.casefold(), "")

    def whole(self, column: str, *, least: int = 0) -> int | None:
        """Return a whole number, or None for an empty cell."""
        value = self.text(column)
        digits = value.removeprefix("-")
        if value and not (digits.isascii() and digits.isdigit() and int(value) >= least):
            self.bad(column, f"{value!r} is no whole number of at least {least}")
            return None
        return int(value) if value else None

    def day(self, column: str, *, needed: bool = False) -> str | None:
        """Return a date as ISO text, or None for an empty cell."""
        value = self.text(column, needed=needed)
        return self.tried(column, lambda: typed_iso_day(value), None) if value else None

    def currency(self, column: str, *, default: str = "") -> str:
        """Return a currency code of ISO 4217 in capitals."""
        value = self.text(column).upper() or default
        return self.tried(column, lambda: currency_info(value).code, "")

    def minor(self, column: str, currency: str) -> int | None:
        """Return an amount of money in minor units of `currency`, or None for an empty cell."""
        value = self.text(column)
        if not value or not currency:
            return None
        found = self.tried(column, lambda: Money.of(value, currency).minor, None)
        if found is not None and found < 0:
            self.bad(column, f"{value!r} is under zero")
        return found

    def decimal(self, column: str, *, default: str = "") -> str:
        """Return plain decimal text that is zero or more, exactly as written."""
        value = self.text(column) or default
        figure = self.tried(column, lambda: plain_decimal(value), None)
        if figure is not None and figure < 0:
            self.bad(column, f"{value!r} is under zero")
        return value

    def period(self) -> tuple[str, str | None]:
        """Return the ISO days valid_from (needed) and valid_to, which must not lie before it."""
        valid_from = self.day("valid_from", needed=True) or ""
        valid_to = self.day("valid_to")
        if valid_to and valid_to < valid_from:
            self.bad("valid_to", f"{valid_to} lies before {valid_from}")
        return valid_from, valid_to

    def share(self, column: str, *, needed: bool = True) -> str:
        """Return a share as decimal text: "0.037" as it is, "3.7 %" as 0.037; "" when empty."""
        written = self.text(column, needed=needed)
        bare = written.removesuffix("%").strip()
        if not written or self.tried(column, lambda: plain_decimal(bare), None) is None:
            return written
        share = f"{Decimal(bare).scaleb(-2):f}" if written.endswith("%") else bare
        if not 0 <= plain_decimal(share) <= 1:
            message = f"{written!r} is no share of 1; write 0.037 or 3.7 % for 3.7 per cent"
            self.bad(column, message)
        return share

    def below_one(self, column: str) -> str:
        """Return a share under 1 as decimal text, "0" for an empty cell."""
        before = len(self.table.problems)
        value = self.decimal(column, default="0")
        if len(self.table.problems) == before and plain_decimal(value) >= 1:
            self.bad(column, f"{value!r} is no share of 1; write 0.015 for 1.5 per cent")
        return value

    def several(self, column: str) -> tuple[str, ...]:
        """Return the parts of a cell that are separated by ";"."""
        return tuple(part.strip() for part in self.text(column).split(";") if part.strip())

    def pairs(self, column: str) -> tuple[tuple[str, str], ...]:
        """Return the "name=value" parts of a cell that are separated by ";"."""
        found = []
        for part in self.several(column):
            name, mark, value = (each.strip() for each in part.partition("="))
            if not (name and mark and value):
                self.bad(column, f"{part!r} is not of the form name=value")
            found.append((name, value))
        return tuple(found)

    def tried(self, column: str, read: Callable[[], T], otherwise: T) -> T:
        """Return what `read` gives; a refusal of it is this cell's problem."""
        try:
            return read()
        except PartsdbError as error:
            hint = f"; {error.hint}" if error.hint else ""
            self.bad(column, f"{error.message}{hint}")
            return otherwise


def read_file(path: Path, format_: FileFormat, *, workbook: bool = False) -> Table:
    """Read one of the shop's files; raises importers' ReaderError when it is no such table.

    With `workbook` the first sheet of an XLSX file will do as well as a CSV file.
    """
    from importers.tabular import read_table

    table = Table(path.name)
    found = read_table(path, format_.required, format_.optional, workbook=workbook)
    table.rows = [Row(table, number, cells) for number, cells in found]
    return table


def typed(name: str, cells: Mapping[str, str | None], options: Mapping[str, str]) -> Table:
    """Return what was typed on the command line as a table of one row; `options` as in Table."""
    table = Table(name, is_typed=True, options=options)
    table.rows = [Row(table, 0, {column: value or "" for column, value in cells.items()})]
    return table
