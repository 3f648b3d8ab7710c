"""Text in columns of fixed width, told apart by the gaps that all its lines share."""

from __future__ import annotations

import re

from importers import magic
from importers.decoding import decode
from importers.gaps import Line, cells_of, cut_of, header_of
from importers.limits import Limits, refuse
from importers.raw import RawFile, RawRow, RawSheet, Source
from importers.readers.csv_text import header_words_apart
from importers.rows import Profile, ReaderError

_PIECE = re.compile(r"\S+(?: \S+)*")
_HEAD_BYTES = 65_536
_TRIED = 60


class FixedWidth:
    """Reads text whose columns are held apart by two blanks or more."""

    name = "fixed-width text"
    grows = False

    def recognizes(self, source: Source) -> bool:
        """Say whether a header stands in pieces two blanks apart, and no delimiter gives one."""
        data = source.data
        if b"  " not in data[:_HEAD_BYTES] or data.startswith((magic.ZIP, magic.EMPTY_ZIP)):
            return False
        if magic.foreign(data) is not None:
            return False
        text = data[:_HEAD_BYTES].decode("utf-8", "replace").lstrip("\ufeff").expandtabs()
        lines = [_pieces(line) for line in text.splitlines()[:_TRIED]]
        return header_of(lines) >= 0 and not header_words_apart(text)

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the one sheet of the file; raise ReaderError with the line that spoils a gap."""
        decoded = decode(source, profiles)
        written = decoded.text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        if len(written) > limits.rows:
            raise refuse("rows", len(written), limits.rows, place=source.name)
        for number, text in enumerate(written, start=1):
            if len(text) > limits.cell_chars:
                place = f"{source.name} row {number}"
                raise refuse("cell_chars", len(text), limits.cell_chars, place=place)
        lines = [_pieces(text.expandtabs()) for text in written]
        header = header_of(lines)
        if header < 0:
            raise ReaderError(
                "no header of columns held apart by blanks was found",
                place=source.name,
                hint="save the list as .xlsx or as CSV UTF-8",
            )
        if len(lines[header]) > limits.columns:
            place = f"{source.name} row {header + 1}"
            raise refuse("columns", len(lines[header]), limits.columns, place=place)
        cut = cut_of(lines, header)
        if cut.crossing >= 0:
            raise ReaderError(
                "the line stands across the gap between two columns, so it cannot be cut for sure",
                place=f"{source.name} row {cut.crossing + 1}",
                hint="ask for the list as .xlsx or .csv, or move the columns apart",
            )
        rows = [RawRow(n, cells_of(line, cut)) for n, line in enumerate(lines, start=1) if line]
        widths = ", ".join(str(at) for at in cut.at)
        return RawFile(
            self.name,
            [RawSheet("", rows)],
            encoding=decoded.encoding,
            assumptions=[decoded.assumption, f"columns cut where all lines are blank: at {widths}"],
        )


def _pieces(text: str) -> Line:
    return tuple((m.start(), m.end(), m.group()) for m in _PIECE.finditer(text))
