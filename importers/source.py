"""A path becomes bytes in memory and exactly one reader; everything else is refused in one line."""

from __future__ import annotations

import os
from pathlib import Path

from importers import magic
from importers.limits import Limits, refuse
from importers.raw import Reader, Source
from importers.rows import ReaderError


def load(path: Path, limits: Limits) -> Source:
    """Return the file's bytes; raise ReaderError when there are none to be had, or too many."""
    name = path.name or str(path)
    try:
        if path.is_dir():
            raise ReaderError("this is a folder, not a file", place=name, hint="name a file in it")
        if path.exists() and not path.is_file():
            # Reading a pipe or a device may never end.
            raise ReaderError("this is no plain file", place=name, hint="save the list to a file")
        with path.open("rb") as stream:
            data = stream.read(limits.file_bytes + 1)
            if len(data) > limits.file_bytes:
                size = max(os.fstat(stream.fileno()).st_size, len(data))
                raise refuse("file_bytes", size, limits.file_bytes, place=name)
    except FileNotFoundError as error:
        raise ReaderError("there is no such file", place=name, hint="check the path") from error
    except PermissionError as error:
        raise ReaderError(
            "the file may not be read by this user", place=name, hint="ask for the right to read it"
        ) from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise ReaderError(
            f"the file cannot be opened ({why})", place=name, hint="check the path and the disk"
        ) from error
    return _checked(Source(name, data))


def _checked(source: Source) -> Source:
    if not source.data:
        raise ReaderError(
            "the file is empty (0 bytes)", place=source.name, hint="ask the supplier for it again"
        )
    if not source.data.strip():
        raise ReaderError(
            "the file holds nothing but blanks", place=source.name, hint="ask for it again"
        )
    return source


def reader_for(source: Source) -> Reader:
    """Return the one reader that claims the file; say what the file really is when none does."""
    from importers.readers import PLAIN_TEXT, READERS

    claims = [reader for reader in READERS if reader.recognizes(source)]
    if not claims and PLAIN_TEXT.recognizes(source):
        return PLAIN_TEXT
    if len(claims) == 1:
        return claims[0]
    if claims:
        names = " and ".join(reader.name for reader in claims)
        raise ReaderError(
            f"the file could be read as {names}", place=source.name, hint="save it as .xlsx"
        )
    what, remedy = magic.foreign(source.data) or ("of an unknown kind", "save it as .xlsx or .csv")
    raise ReaderError(f"the file is {what}, whatever its name says", place=source.name, hint=remedy)
