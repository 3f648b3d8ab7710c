"""The readers, one file each. A new kind of file is a new module here and one line in READERS."""

from __future__ import annotations

from importers.raw import Reader
from importers.readers.csv_text import CsvText
from importers.readers.xlsx import Xlsx

READERS: tuple[Reader, ...] = (
    CsvText(),
    Xlsx(),
)
