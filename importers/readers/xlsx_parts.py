"""The parts of a workbook archive besides its cells: sheets, shared strings, number formats.

Read with the standard library's own XML parser, which is told to refuse every document type
declaration, so no entity of a hostile file is ever expanded.
"""

from __future__ import annotations

import io
import posixpath
import zipfile
import zlib
from dataclasses import dataclass, field
from xml.parsers import expat

from importers.limits import DEFAULT, Limits, refuse
from importers.magic import SEND_AGAIN
from importers.nesting import Start, bounded_parser
from importers.raw import Source
from importers.readers.shown import BUILT_IN, Format, compiled, unescaped
from importers.rows import ReaderError

_CHUNK = 1 << 18


@dataclass(slots=True)
class SheetPart:
    """One sheet as the workbook lists it: its name, its state and where its cells are."""

    name: str
    state: str
    part: str


@dataclass(slots=True)
class Book:
    """An opened workbook: the archive and what its cells refer to.

    `white` are the cell styles that write white on nothing, which nobody sees.
    """

    name: str
    archive: zipfile.ZipFile
    sheets: list[SheetPart] = field(default_factory=list)
    strings: list[str] = field(default_factory=list)
    formats: list[Format] = field(default_factory=list)
    white: frozenset[int] = frozenset()
    base_1904: bool = False
    limits: Limits = DEFAULT


def open_book(source: Source, limits: Limits) -> Book:
    """Return the workbook without its cells; raise ReaderError when it is none or too large."""
    book = Book(source.name, check_archive(source, limits), limits=limits)
    part = _workbook_part(book)
    _read_workbook(book, part)
    return book


def check_archive(source: Source, limits: Limits) -> zipfile.ZipFile:
    """Return the opened archive; raise ReaderError when it is damaged or over a limit."""
    try:
        archive = zipfile.ZipFile(io.BytesIO(source.data))
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError) as error:
        raise damaged(source.name, "the workbook is damaged or cut off") from error
    _check_archive(archive, source, limits)
    return archive


def damaged(place: str, message: str) -> ReaderError:
    """Return the refusal of a file that is broken inside."""
    return ReaderError(message, place=place, hint=SEND_AGAIN)


def local(name: str) -> str:
    """Return an element or attribute name without its namespace."""
    return name.rpartition(" ")[2].rpartition(":")[2]


def parse_part(book: Book, part: str, parser: expat.XMLParserType) -> None:
    """Feed one part to `parser`; raise ReaderError on damage or a document type declaration."""

    def refuse_doctype(*_: object) -> None:
        raise ReaderError(
            "the workbook carries an XML document type declaration, which no honest one has",
            place=f"{book.name} ({part})",
            hint="do not open this file; ask the supplier for a clean .xlsx or .csv",
        )

    parser.StartDoctypeDeclHandler = refuse_doctype
    parser.buffer_text = True
    try:
        with book.archive.open(part) as stream:
            while chunk := stream.read(_CHUNK):
                parser.Parse(chunk, False)
            parser.Parse(b"", True)
    except KeyError as error:
        raise damaged(f"{book.name} ({part})", "a part of the workbook is missing") from error
    except (expat.ExpatError, zipfile.BadZipFile, zlib.error, EOFError) as error:
        raise damaged(f"{book.name} ({part})", "a part of the workbook is damaged") from error
    except (OSError, NotImplementedError, RuntimeError, ValueError, OverflowError) as error:
        raise damaged(f"{book.name} ({part})", "a part of the workbook cannot be read") from error


def _check_archive(archive: zipfile.ZipFile, source: Source, limits: Limits) -> None:
    entries = archive.infolist()
    if len(entries) > limits.parts:
        raise refuse("parts", len(entries), limits.parts, place=source.name)
    unpacked = sum(entry.file_size for entry in entries)
    if unpacked > limits.unpacked_bytes:
        raise refuse("unpacked_bytes", unpacked, limits.unpacked_bytes, place=source.name)
    ratio = unpacked // max(1, len(source.data))
    if ratio > limits.ratio:
        raise refuse("ratio", ratio, limits.ratio, place=source.name)
    odd = [e for e in entries if e.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)]
    if odd:
        raise damaged(source.name, f"{odd[0].filename} is packed in a way that no workbook is")
    if any(entry.flag_bits & 1 for entry in entries):
        raise ReaderError(
            "the archive is protected by a password",
            place=source.name,
            hint="save the list without a password",
        )


def _workbook_part(book: Book) -> str:
    """Return the name of the main part, by the package's own relationships."""
    names = set(book.archive.namelist())
    if "_rels/.rels" in names:
        for kind, target in _relations(book, "_rels/.rels", "").values():
            if kind.endswith("/officeDocument"):
                _refuse_other_office(book, target, names)
                return target
    if "xl/workbook.xml" in names:
        return "xl/workbook.xml"
    what = "an OpenDocument file" if "content.xml" in names else "a zip archive"
    raise ReaderError(
        f"the file is {what}; no .xlsx workbook is in it",
        place=book.name,
        hint="save the list as .xlsx, or unpack the archive and read the list inside",
    )


def _refuse_other_office(book: Book, target: str, names: set[str]) -> None:
    if target.endswith(".xml") and not target.startswith(("word/", "ppt/")):
        if target not in names:
            raise damaged(book.name, f"the workbook is damaged: it has no {target}")
        return
    what = {"wor": "a text document", "ppt": "a slide show"}.get(target[:3], "no .xlsx workbook")
    if target.endswith(".bin"):
        what = "a binary workbook (.xlsb)"
    raise ReaderError(
        f"the file is {what}, not a workbook that can be read",
        place=book.name,
        hint="save the list as .xlsx",
    )


def _relations(book: Book, part: str, folder: str) -> dict[str, tuple[str, str]]:
    """Return relationship id -> (type, target part)."""
    found: dict[str, tuple[str, str]] = {}

    def start(name: str, attrs: dict[str, str]) -> None:
        if local(name) == "Relationship":
            target = attrs.get("Target", "")
            path = target[1:] if target.startswith("/") else posixpath.join(folder, target)
            kind = attrs.get("Type", "")
            found[attrs.get("Id", "")] = kind, posixpath.normpath(path)

    _walk(book, part, start)
    return found


def _walk(book: Book, part: str, start: Start) -> None:
    place = f"{book.name} ({part})"
    parse_part(book, part, bounded_parser(book.limits, place=place, start=start))


def _read_workbook(book: Book, part: str) -> None:
    folder, file = posixpath.split(part)
    rels_part = posixpath.join(folder, "_rels", f"{file}.rels")
    relations = _relations(book, rels_part, folder)

    def start(name: str, attrs: dict[str, str]) -> None:
        kind = local(name)
        if kind == "workbookPr":
            book.base_1904 = attrs.get("date1904", "0") in ("1", "true")
        elif kind == "sheet":
            link = next((value for key, value in attrs.items() if local(key) == "id"), "")
            rel_type, target = relations.get(link, ("", ""))
            if rel_type.endswith("/worksheet"):
                state = attrs.get("state", "visible")
                book.sheets.append(SheetPart(attrs.get("name", ""), state, target))

    _walk(book, part, start)
    for kind, target in relations.values():
        if kind.endswith("/sharedStrings"):
            book.strings = _read_strings(book, target)
        elif kind.endswith("/styles"):
            book.formats, book.white = _read_styles(book, target)


def _read_strings(book: Book, part: str) -> list[str]:
    """Return the shared strings, rich text joined and phonetic guides left out."""
    strings: list[str] = []
    pieces: list[str] = []
    state = {"text": False, "guide": False}

    def start(name: str, attrs: dict[str, str]) -> None:
        kind = local(name)
        if kind == "rPh":
            state["guide"] = True
        elif kind == "t":
            state["text"] = not state["guide"]

    def end(name: str) -> None:
        kind = local(name)
        if kind == "t":
            state["text"] = False
        elif kind == "rPh":
            state["guide"] = False
        elif kind == "si":
            strings.append(unescaped("".join(pieces)))
            pieces.clear()

    def characters(text: str) -> None:
        if state["text"]:
            pieces.append(text)

    place = f"{book.name} ({part})"
    parser = bounded_parser(book.limits, place=place, start=start, end=end)
    parser.CharacterDataHandler = characters
    parse_part(book, part, parser)
    return strings


def _read_styles(book: Book, part: str) -> tuple[list[Format], frozenset[int]]:
    """Return the number format of every cell style in order, and which styles are white on none."""
    styles = _Styles()
    _walk(book, part, styles.start)
    known = {str(number): code for number, code in BUILT_IN.items()} | styles.codes
    formats = [compiled(known.get(each.get("numFmtId", "0"), "General")) for each in styles.cells]
    white = frozenset(
        number
        for number, each in enumerate(styles.cells)
        if each.get("fontId", "0") in styles.white_fonts
        and each.get("fillId", "0") in styles.no_fills
    )
    return formats, white


class _Styles:
    """Takes the elements of the styles part; fonts and fills are counted from 0, as cells refer."""

    def __init__(self) -> None:
        self.codes: dict[str, str] = {}
        self.cells: list[dict[str, str]] = []
        self.white_fonts: set[str] = set()
        self.no_fills: set[str] = set()
        self.counts = {"font": -1, "fill": -1}
        self.section = ""

    def start(self, name: str, attrs: dict[str, str]) -> None:
        """Take the start of an element."""
        kind = local(name)
        if kind in ("numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "dxfs"):
            self.section = kind
        elif kind in self.counts and self.section == f"{kind}s":
            self.counts[kind] += 1
        elif kind == "numFmt" and self.section == "numFmts":
            self.codes.setdefault(attrs.get("numFmtId", ""), attrs.get("formatCode", ""))
        elif kind == "color" and self.section == "fonts" and _is_white(attrs):
            self.white_fonts.add(str(self.counts["font"]))
        elif kind == "patternFill" and self.section == "fills":
            if attrs.get("patternType", "none") == "none":
                self.no_fills.add(str(self.counts["fill"]))
        elif kind == "xf" and self.section == "cellXfs":
            self.cells.append(attrs)


def _is_white(attrs: dict[str, str]) -> bool:
    """Say whether a colour is white: written out, or the background of the theme (ECMA-376)."""
    is_theme = attrs.get("theme") == "0" and not attrs.get("tint")
    return is_theme or attrs.get("rgb", "").upper() in ("FFFFFFFF", "00FFFFFF", "FFFFFF")
