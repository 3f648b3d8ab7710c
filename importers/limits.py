"""How large a price list may be before it is refused; every refusal names the limit it met."""

from __future__ import annotations

from dataclasses import dataclass

from importers.rows import ReaderError


@dataclass(frozen=True, slots=True)
class Limits:
    """Upper bounds for one file; `ratio` is unpacked bytes over packed bytes of a workbook."""

    file_bytes: int = 64 * 1024 * 1024
    unpacked_bytes: int = 768 * 1024 * 1024
    ratio: int = 250
    parts: int = 5_000
    tables: int = 200
    rows: int = 500_000
    columns: int = 512
    cell_chars: int = 32_767


DEFAULT = Limits()


def refuse(limit: str, found: int, allowed: int, *, place: str) -> ReaderError:
    """Return the refusal for one limit, saying how to raise it."""
    words = limit.replace("_", " ")
    return ReaderError(
        f"{words}: {found} is over the limit of {allowed}",
        place=place,
        hint=f"if the file is trusted, read it with Limits({limit}={found}) or split it",
    )
