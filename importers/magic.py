"""What a file really is, told from its first bytes and never from its name."""

from __future__ import annotations

# (first bytes, what it is, what to do); published file signatures, from memory.
_SIGNATURES: tuple[tuple[bytes, str, str], ...] = (
    (b"\x89PNG\r\n\x1a\n", "a PNG image", "ask the supplier for the list as .xlsx or .csv"),
    (b"\xff\xd8\xff", "a JPEG image", "ask the supplier for the list as .xlsx or .csv"),
    (b"GIF8", "a GIF image", "ask the supplier for the list as .xlsx or .csv"),
    (b"II*\x00", "a TIFF image", "ask the supplier for the list as .xlsx or .csv"),
    (b"MM\x00*", "a TIFF image", "ask the supplier for the list as .xlsx or .csv"),
    (b"BM", "a BMP image", "ask the supplier for the list as .xlsx or .csv"),
    (b"{\\rtf", "an RTF document", "save the table as .xlsx or .csv"),
    (b"\x1f\x8b", "a gzip archive", "unpack it and read the file inside"),
    (b"Rar!", "a RAR archive", "unpack it and read the file inside"),
    (b"7z\xbc\xaf", "a 7-Zip archive", "unpack it and read the file inside"),
    (b"\x7fELF", "a program", "this is no price list"),
    (b"MZ", "a program", "this is no price list"),
    (b"SQLite format 3\x00", "an SQLite database", "this is no price list"),
    (b"\xff\xfe\x00\x00", "text in UTF-32", "save it as CSV UTF-8"),
)
_SHORT = (b"BM", b"MZ", b"MM\x00*")  # also the start of honest words: believed only in binary data
ZIP = b"PK\x03\x04"
EMPTY_ZIP = b"PK\x05\x06"
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
# What the name of a workbook that is a zip archive ends with, and what to do with a broken one.
ZIPPED_WORKBOOKS = (".xlsx", ".xlsm", ".ods")
SEND_AGAIN = (
    "ask the supplier to send it again, or open it in a spreadsheet program and save it anew"
)
_HTML_STARTS = (b"<!doctype html", b"<html", b"<table", b"<head", b"<body", b"<meta")
# ODF 1.2 part 3, 3.3: the first entry of the archive is "mimetype", stored as it is, at byte 38.
_ODS = b"mimetypeapplication/vnd.oasis.opendocument.spreadsheet"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")


def is_ods(data: bytes) -> bool:
    """Say whether the bytes are an OpenDocument spreadsheet."""
    return data.startswith(ZIP) and data[30 : 30 + len(_ODS)] == _ODS


def is_xls(data: bytes) -> bool:
    """Say whether the bytes are a binary workbook: a stream "Workbook" or "Book", not encrypted."""
    streams = ("Workbook".encode("utf-16-le"), b"B\0o\0o\0k\0\0\0")
    return data.startswith(OLE) and _ENCRYPTED not in data and any(s in data for s in streams)


def foreign(data: bytes) -> tuple[str, str] | None:
    """Return what the bytes are and what to do, when no reader of ours can take them."""
    if data.startswith(OLE):
        return _ole(data)
    for start, what, remedy in _SIGNATURES:
        if data.startswith(start) and (start not in _SHORT or b"\x00" in data[:4096]):
            return what, remedy
    head = data[:2048].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if head.startswith(_HTML_STARTS):
        return "an HTML page", "open it in a spreadsheet program and save it as .xlsx or .csv"
    if head.startswith((b"<?xml", b"<!doctype")):
        what = "an HTML page" if b"<html" in head else "an XML document"
        return what, "open it in a spreadsheet program and save it as .xlsx or .csv"
    return None


def _ole(data: bytes) -> tuple[str, str]:
    """Tell a password-protected workbook from one in the old binary format."""
    if _ENCRYPTED in data:
        return (
            "a workbook protected by a password",
            "open it with the password and save it as .xlsx without one",
        )
    return (
        "a file in an old binary office format, and no workbook is in it",
        "open it in a spreadsheet program and save it as .xlsx",
    )
