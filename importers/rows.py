"""What every reader returns: rows of text with their place, and what was assumed to get them."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class ReaderError(Exception):
    """A file or row that cannot be read: one sentence with place and remedy."""

    def __init__(self, message: str, *, place: str = "", hint: str = "") -> None:
        self.message, self.place, self.hint = message, place, hint
        super().__init__(f"{place}: {message}" if place else message)


class RowKind(StrEnum):
    """What a row of a list is, told from its shape alone."""

    ITEM = "item"
    HEADER = "header"
    SECTION = "section"
    TOTAL = "total"
    NOTE = "note"
    REFUSED = "refused"


# The meanings a column may have. Everything else is kept as "other".
MEANINGS = (
    "code",  # the supplier's own number of the article
    "maker",  # who makes it
    "maker_number",  # the maker's own number of the very article sold
    "replaces",  # the maker's number that the article claims to replace
    "description",
    "price",  # what one price basis costs, net unless `list_price` stands beside it
    "list_price",
    "discount",
    "currency",
    "price_per",  # how many units the price is for (1, 100, 1000)
    "pack",  # units in the smallest pack sold
    "unit",  # unit of measure as written (EA, PCE, Stk)
    "min_qty",
    "stock",
    "lead_days",
    "rating",  # pressure rating as written
    "rating_basis",  # working, proof, burst, as written
    "material",
    "thread",
    "ean",
    "origin",
    "weight",
    "note",
    "valid_from",
    "valid_to",
    "other",
)


# What the rows of a file without a grid are counted in; such a sheet is named by its last word.
COUNTED = ("segment", "line", "item")
# The doubt which currency prices are in: only a currency answers it, no saving of the layout.
CURRENCY = "currency"
# The doubt between the currency of the price's heading and that of its cells: saving the layout
# answers that each cell counts, a currency that a person names that the heading does.
CELLS, HEADING = "currency/cells", "currency/heading"
# The doubt whether a text among the rows changes the currency: only a person's word answers it.
AMONG = "currency/among"
# The doubt whether tax is in the prices: only a person's word on that answers it.
TAX = "tax"
# How the refusal of a sound file begins in which no header of a price list was found.
NO_TABLE = "no table with a code or description column and a price column was found"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its 0-based index, letter-free heading as printed, and its meaning.

    `unit` is what the heading alone says of the cells: a currency ("EUR"), a pressure unit
    ("bar", "psi"), a basis ("burst"), a price basis ("per 100"), or "".
    """

    index: int
    heading: str
    meaning: str
    unit: str = ""


def word_behind(unit: str, word: str) -> str:
    """Return what stands behind a word of a column's unit ("100" in "EUR per 100"), "" if none."""
    words = unit.split()
    return words[words.index(word) + 1] if word in words else ""


@dataclass(frozen=True, slots=True)
class Profile:
    """How one supplier's list is laid out; remembered, and asked again when a file drifts.

    `price_per` is the price basis where neither row nor heading names one; `units` are the units
    of sale as written, each with the code that it stands for; `tax` is the percentage that is taken
    out of the prices, "0" where a person said that they are net, "" where nobody did. `confirmed`
    says who settled the layout and when, "" where it was only assumed; `settled` names the doubts
    answered with it. A confirmed layout without columns only says where the header stands.
    """

    columns: tuple[Column, ...]
    header_row: int
    sheet: str = ""
    delimiter: str = ""
    encoding: str = ""
    decimal_mark: str = ""
    currency: str = ""
    price_per: str = ""
    units: tuple[tuple[str, str], ...] = ()
    confirmed: str = ""
    settled: tuple[str, ...] = ()
    tax: str = ""


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row as read. `row` is the 1-based row of the file, `fields` meaning -> text as shown.

    Prices in `fields` are still as written; `amounts` holds the price-like meanings as plain
    decimal text ("1234.56"), "" where the row names no price ("POA"). `notes` says what was odd
    (zero price, number shown as text, unit taken from the heading …). `section` is the heading
    row above. A refused row has `kind` REFUSED and its reason in `notes`.
    """

    kind: RowKind
    sheet: str
    row: int
    fields: dict[str, str]
    amounts: dict[str, str] = field(default_factory=dict)
    section: str = ""
    notes: tuple[str, ...] = ()
    cells: tuple[str, ...] = ()

    def place(self, meaning: str = "", profile: Profile | None = None) -> str:
        """Return "Sheet1!B14" where the column is known, "Sheet1 row 14" or "row 14" otherwise.

        What is counted in something else than rows is named by it: "segment 14".
        """
        column = (
            next((c for c in profile.columns if c.meaning == meaning), None) if profile else None
        )
        if column is None or is_counted(self.sheet):
            return place_of(self.sheet, self.row)
        return f"{self.sheet}!{column_letters(column.index)}{self.row}".lstrip("!")


@dataclass(frozen=True, slots=True)
class Alarm:
    """What a person must settle; `key` names the doubt in a layout's `settled`, "" for a drift."""

    text: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class PriceListText:
    """A whole list: rows in file order, one profile per table read, what was assumed or skipped.

    `assumptions` are sentences for the user ("decimal mark ',' in column Preis: 4 of 4 cells");
    `skipped` likewise for what was left out (hidden sheet "Intern"). `alarms` are what a person
    must settle before the rows may be used: columns that look swapped, a settled layout that no
    longer fits.
    """

    file_name: str
    sha256: str
    reader: str
    rows: tuple[ListRow, ...]
    profiles: tuple[Profile, ...]
    assumptions: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()
    alarms: tuple[Alarm, ...] = ()


def is_counted(sheet: str) -> bool:
    """Say whether a sheet's name is what its rows are counted in: "segment", "catalogue line"."""
    return sheet.rpartition(" ")[2] in COUNTED


def place_of(sheet: str, row: int) -> str:
    """Return where a row stands: "Sheet1 row 14", "row 14", "segment 14"."""
    return f"{sheet} {row}" if is_counted(sheet) else f"{sheet} row {row}".strip()


def column_letters(index: int) -> str:
    """Return the spreadsheet letters of a 0-based column: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
