"""Tables printed in PDF, page by page, by the words on the page and the gaps between them.

Nothing that a page shows may vanish unseen: the price-like figures of each page are counted, and
compared later with those in the rows that were read.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from importers.completeness import price_like
from importers.gaps import Cut, Line, cells_of, cut_of, header_of
from importers.limits import Limits, check_cells, refuse
from importers.raw import RawFile, RawRow, RawSheet, Source
from importers.rows import Profile, ReaderError

_SCALE = 10  # a point of the page in whole tenths
_WIDEST = 14_400  # points: the widest page that readers of PDF take (ISO 32000-1, annex C)
_APART = 0.8  # words further apart than this share of their height stand in different columns
_ASK = "ask the supplier for the list as .xlsx or .csv"


class Pdf:
    """Reads the tables of a PDF's text; a scanned page holds none and is refused."""

    name = "PDF"
    grows = True

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes start as a PDF."""
        return source.data[:1024].lstrip().startswith(b"%PDF-")

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return one sheet per page, named "page 3"; a page without header takes the last one's."""
        found = RawFile(self.name, [], assumptions=["tables of the pages cut where gaps run down"])
        known: tuple[list[str], Cut] | None = None
        count = 0
        for number, lines in enumerate(_pages(source, limits), start=1):
            place = f"{source.name} page {number}"
            if not lines:
                found.skipped.append(f"page {number} holds no text: a picture or a blank page")
                continue
            header = header_of(lines)
            if header >= 0:
                cut = _cut(lines, header, place)
                known = cells_of(lines[header], cut), cut
            rows = _rows(lines, known)
            count += len(rows)
            _check_size(rows, count, limits, place)
            if header < 0 and known:
                rows.insert(0, RawRow(0, list(known[0])))
                found.assumptions.append(f"page {number} has no header: the last page's is used")
            found.sheets.append(RawSheet(f"page {number}", rows, figures=_figures(lines)))
        if not found.sheets:
            raise ReaderError(
                "no page holds any text: the list was scanned as pictures",
                place=source.name,
                hint=_ASK,
            )
        return found


def _pages(source: Source, limits: Limits) -> Iterator[list[Line]]:
    """Yield the lines of each page, from the top."""
    import pdfplumber
    from pdfminer.pdfexceptions import PDFException
    from pdfplumber.utils.exceptions import MalformedPDFException, PdfminerException

    # What a broken file makes the library raise; all of it means the same to the reader.
    broken = (PDFException, PdfminerException, MalformedPDFException, ValueError, TypeError,
              KeyError, IndexError, AttributeError, AssertionError, ArithmeticError, OSError,
              RecursionError, LookupError, NotImplementedError, UnicodeError,
              StopIteration)  # fmt: skip
    try:
        with pdfplumber.open(io.BytesIO(source.data)) as document:
            if len(document.pages) > limits.pages:
                raise refuse("pages", len(document.pages), limits.pages, place=source.name)
            for page in document.pages:
                words = page.extract_words(keep_blank_chars=False, use_text_flow=False)
                lines = _lines(words)
                page.close()
                yield lines
    except broken as error:
        if isinstance(error.__context__, MemoryError):
            raise MemoryError from error  # no damage: what is packed in it takes more than it may
        what = "protected by a password" if "assword" in repr(error) else "damaged"
        raise ReaderError(f"the PDF is {what}", place=source.name, hint=_ASK) from error


def _lines(words: list[dict[str, Any]]) -> list[Line]:
    """Put words into lines by their middle, and join those that stand close together."""
    lines: list[list[dict[str, Any]]] = []
    for word in sorted(words, key=lambda w: ((w["top"] + w["bottom"]) / 2, w["x0"])):
        middle = (word["top"] + word["bottom"]) / 2
        if lines and middle < lines[-1][0]["bottom"] and middle > lines[-1][0]["top"]:
            lines[-1].append(word)
        else:
            lines.append([word])
    return [_line(sorted(line, key=lambda w: w["x0"])) for line in lines]


def _line(words: list[dict[str, Any]]) -> Line:
    pieces: list[tuple[int, int, str]] = []
    for word in words:
        start, end = _position(word["x0"]), _position(word["x1"])
        apart = (word["bottom"] - word["top"]) * _APART * _SCALE
        if pieces and start - pieces[-1][1] < apart:
            first, _, text = pieces[-1]
            pieces[-1] = first, end, f"{text} {word['text']}"
        else:
            pieces.append((start, end, word["text"]))
    return tuple(pieces)


def _position(x: float) -> int:
    """Return a place on the line in tenths of a point; raises ValueError for none on any page."""
    if not abs(x) <= _WIDEST:
        raise ValueError(f"a word stands at {x} points")
    return round(x * _SCALE)


def _cut(lines: list[Line], header: int, place: str) -> Cut:
    cut = cut_of(lines, header)
    if cut.crossing >= 0:
        text = "  ".join(piece for _, _, piece in lines[cut.crossing])[:80]
        raise ReaderError(
            f'the line "{text}" stands across two columns, so it cannot be cut for sure',
            place=f"{place} row {cut.crossing + 1}",
            hint=_ASK,
        )
    return cut


def _rows(lines: list[Line], known: tuple[list[str], Cut] | None) -> list[RawRow]:
    cut = known[1] if known else Cut(())
    return [RawRow(number, cells_of(line, cut)) for number, line in enumerate(lines, start=1)]


def _check_size(rows: list[RawRow], count: int, limits: Limits, place: str) -> None:
    """Refuse what is over a limit; `count` are the rows of this page and of those before it."""
    if count > limits.rows:
        raise refuse("rows", count, limits.rows, place=place)
    for row in rows:
        check_cells(row.cells, limits, place=f"{place} row {row.number}")


def _figures(lines: list[Line]) -> int:
    return sum(price_like(text) for line in lines for _, _, text in line)
