"""The readers, one file each. A new kind of file is a new module here and one line in READERS."""

from __future__ import annotations

from importers.raw import Reader
from importers.readers.calamine import OtherWorkbook
from importers.readers.csv_text import CsvText
from importers.readers.edifact import Edifact
from importers.readers.fixed_width import FixedWidth
from importers.readers.json_lines import JsonLines
from importers.readers.pdf import Pdf
from importers.readers.ubl import Ubl
from importers.readers.x12 import X12
from importers.readers.xlsx import Xlsx

READERS: tuple[Reader, ...] = (
    Edifact(),
    FixedWidth(),
    JsonLines(),
    OtherWorkbook(),
    Pdf(),
    Ubl(),
    X12(),
    Xlsx(),
)
# Text that no reader above claims; it is asked last, since every text may be delimited.
PLAIN_TEXT: Reader = CsvText()
