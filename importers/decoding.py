"""Bytes become text by strict rules, never by a statistical guess; the choice is always stated."""

from __future__ import annotations

import re
from dataclasses import dataclass

from importers.magic import SEND_AGAIN, ZIPPED_WORKBOOKS
from importers.raw import Source
from importers.rows import Profile, ReaderError
from importers.wording import counted

_BOMS = (
    (b"\xef\xbb\xbf", "utf-8"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)
PLAIN_ASCII = "ASCII alone"  # how the sentence ends on a text that any encoding reads the same
_TWO_BYTES = re.compile(rb"[\xc2-\xf4][\x80-\xbf]")  # no letter of UTF-8 beyond ASCII is less
# "Ø½" and "×¼" in cp1252: in UTF-8 a letter that no list has, for U+05FC to 05FE are none, and
# U+063C to 063E are kept for rare spellings (The Unicode Standard, chart U+0600).
_SIZE = re.compile(rb"[\xd7\xd8][\xbc-\xbe]")
# Hebrew, Arabic, Syriac …: beside lines in cp1252 two signs of that, such as the end of "»MENÜ«".
_FAR_LETTER = re.compile("[\u0530-\u07ff]")
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1b\x7f]")


@dataclass(frozen=True, slots=True)
class Decoded:
    """The text of a file, the encoding it was read by, and the sentence that says why."""

    text: str
    encoding: str
    assumption: str


def decode(source: Source, profiles: tuple[Profile, ...]) -> Decoded:
    """Return the file's text: byte order mark, strict UTF-8, the profile's encoding, cp1252.

    Raises ReaderError with the line of the first byte that the last resort cannot read.
    """
    for mark, encoding in _BOMS:
        if source.data.startswith(mark):
            text = _strict(source, source.data[len(mark) :], encoding)
            why = f"text read as {encoding.upper()}: the file starts with its byte order mark"
            return _checked(source, Decoded(text, encoding, why))
    if settled := _settled(source, profiles):
        return _checked(source, settled)
    _refuse_binary(source)
    plain = _utf8(source.data)
    if plain is None:
        return _checked(source, _fallback(source, profiles))
    others = PLAIN_ASCII if plain.isascii() else "every byte fits"
    return _checked(source, Decoded(plain, "utf-8", f"text read as UTF-8: {others}"))


def _settled(source: Source, profiles: tuple[Profile, ...]) -> Decoded | None:
    """Return UTF-16 text without its byte order mark where a person settled that it is such."""
    named = {p.encoding.casefold().replace("_", "-") for p in profiles if p.confirmed}
    for encoding in sorted(named & {"utf-16-le", "utf-16-be"}):
        try:
            text = source.data.decode(encoding)
        except UnicodeDecodeError:
            continue
        return Decoded(
            text, encoding, f"text read as {encoding.upper()}: the settled layout says so"
        )
    return None


def _fallback(source: Source, profiles: tuple[Profile, ...]) -> Decoded:
    remembered = [p.encoding for p in profiles if p.encoding not in ("", "utf-8", "cp1252")]
    for encoding in remembered:
        try:
            text = source.data.decode(encoding)
        except (UnicodeDecodeError, LookupError):
            continue
        why = f"text read as {encoding}: it is not UTF-8, and the supplier's profile says so"
        return Decoded(text, encoding, why)
    if mixed := _mixed(source):
        return mixed
    text = _strict(source, source.data, "cp1252")
    odd = [character for character in text if not character.isascii()]
    sample = "".join(dict.fromkeys(odd[:200]))[:20]
    why = f"text read as cp1252: it is not UTF-8; {len(odd)} letters depend on it ({sample})"
    return Decoded(text, "cp1252", why)


def _mixed(source: Source) -> Decoded | None:
    """Return a text that was put together of lines in UTF-8 and lines in cp1252, None for another.

    The bytes of a letter in UTF-8 are two or three odd signs in cp1252, which no word has in a row.
    """
    if not _TWO_BYTES.search(source.data):
        return None
    lines = source.data.split(b"\n")
    texts = [near_utf8(line) for line in lines]
    odd = [at for at, line in enumerate(lines) if not line.isascii()]
    in_utf8 = [at for at in odd if texts[at] is not None]
    if not in_utf8:
        return None
    whole = [
        _strict(source, line, "cp1252", at) if (text := texts[at]) is None else text
        for at, line in enumerate(lines)
    ]
    why = (
        "text read line by line, as two encodings stand in it: of the lines with letters beyond "
        f"ASCII {counted(len(in_utf8), 'line')} in UTF-8 (line {in_utf8[0] + 1} first), "
        f"{len(odd) - len(in_utf8)} in cp1252"
    )
    return Decoded("\n".join(whole), "cp1252", why)


def _utf8(data: bytes) -> str | None:
    if not data.isascii() and _SIZE.search(data):
        return None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return None


def near_utf8(line: bytes) -> str | None:
    """Return bytes as UTF-8, None where they are none, or more likely of cp1252: "Ø½", "Ü«"."""
    text = _utf8(line)
    return None if text is not None and _FAR_LETTER.search(text) else text


def _strict(source: Source, data: bytes, encoding: str, before: int = 0) -> str:
    """Return bytes as text, `before` lines of the file standing above them."""
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        line = before + data.count(b"\n", 0, error.start) + 1
        raise ReaderError(
            f"byte 0x{data[error.start]:02X} is no {encoding} text",
            place=f"{source.name} line {line}",
            hint="save the file as CSV UTF-8 in the spreadsheet program, or name its encoding with "
            "partsdb pricelist layout FILE --supplier NAME --encoding cp850 --save",
        ) from error


def _refuse_binary(source: Source) -> None:
    """Refuse bytes that no text has: a NUL without the mark of UTF-16."""
    at = source.data.find(b"\x00")
    if at < 0:
        return
    if source.name.lower().endswith(ZIPPED_WORKBOOKS):
        raise ReaderError(
            "the workbook is damaged or cut off: it does not begin as one",
            place=source.name,
            hint=SEND_AGAIN,
        )
    line = source.data.count(b"\n", 0, at) + 1
    raise ReaderError(
        "the file is binary data or UTF-16 without its byte order mark, not a text list",
        place=f"{source.name} line {line}",
        hint="save it as .xlsx or as CSV UTF-8",
    )


def _checked(source: Source, decoded: Decoded) -> Decoded:
    """Refuse text that is mostly control characters; a few odd ones are left in place."""
    sample = decoded.text[:65536]
    odd = len(_CONTROL.findall(sample))
    if odd > max(3, len(sample) // 100):
        raise ReaderError(
            f"the file is binary data, not text: {odd} control characters at its start",
            place=source.name,
            hint="ask the supplier for the list as .xlsx or .csv",
        )
    return decoded
