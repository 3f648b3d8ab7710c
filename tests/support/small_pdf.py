"""A PDF written by hand (ISO 32000-1): pages of text at given places, in one built-in font."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

Place = tuple[float, float, str]


def write_pdf(path: Path, pages: Sequence[Sequence[Place]]) -> Path:
    """Write one page per sequence of (x, y from the top, text) in Helvetica 10 on A4."""
    kids = " ".join(f"{4 + 2 * n} 0 R" for n in range(len(pages)))
    objects = [
        "<< /Type /Catalog /Pages 2 0 R >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>",
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    for n, places in enumerate(pages):
        shown = "\n".join(
            f"BT /F1 10 Tf {x} {842 - y} Td ({_escaped(text)}) Tj ET" for x, y, text in places
        )
        objects.append(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Resources "
            f"<< /Font << /F1 3 0 R >> >> /Contents {5 + 2 * n} 0 R >>"
        )
        objects.append(f"<< /Length {len(shown.encode('cp1252'))} >>\nstream\n{shown}\nendstream")
    return _written(path, objects)


def table(rows: Sequence[Sequence[str]], at: Sequence[float], *, top: float = 80) -> list[Place]:
    """Return the places of rows of cells, one line every 14 points."""
    return [
        (x, top + 14 * r, text)
        for r, row in enumerate(rows)
        for x, text in zip(at, row, strict=False)
        if text
    ]


def _escaped(text: str) -> str:
    return text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")


def _written(path: Path, objects: Sequence[str]) -> Path:
    out = bytearray(b"%PDF-1.4\n")
    offsets = []
    for number, each in enumerate(objects, start=1):
        offsets.append(len(out))
        out += f"{number} 0 obj\n{each}\nendobj\n".encode("cp1252")
    start = len(out)
    out += f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n".encode()
    out += b"".join(f"{offset:010d} 00000 n \n".encode() for offset in offsets)
    out += (
        f"trailer << /Size {len(objects) + 1} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF\n".encode()
    )
    path.write_bytes(out)
    return path
