"""Global trade item numbers: the check digit, and the one form under which they are compared.

Source: GS1 General Specifications; the arithmetic is that of python-stdnum.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from partsdb.errors import InputRefusedError

LENGTHS = (8, 12, 13, 14)
_SEPARATORS = re.compile(r"[\s\u00a0-]+")


@dataclass(frozen=True, slots=True)
class Gtin:
    """A number that looks like a GTIN: its digits as written, and whether its check digit fits.

    `is_restricted`: a number that its user gave out himself (prefix 02, 04, 20 to 29), so it
    identifies nothing outside his shop.
    """

    digits: str
    is_valid: bool
    is_restricted: bool

    @property
    def gtin14(self) -> str:
        """The 14 digits by which GTIN-8, -12, -13 and -14 of one article are the same."""
        return self.digits.zfill(14)


def read_gtin(text: str) -> Gtin | None:
    """Return what `text` is as a GTIN, valid or not; None when it has not the form of one."""
    digits = _SEPARATORS.sub("", text)
    if not (digits.isascii() and digits.isdigit() and len(digits) in LENGTHS):
        return None
    return Gtin(digits, is_gtin(digits), _is_restricted(digits))


def is_gtin(digits: str) -> bool:
    """Tell whether 8, 12, 13 or 14 bare digits end in their own check digit."""
    from stdnum import ean

    return digits.isascii() and len(digits) in LENGTHS and bool(ean.is_valid(digits))


def gtin_check_digit(body: str) -> int:
    """Return the digit that completes `body`, the number without it; else it is refused."""
    from stdnum import ean

    if not (body.isascii() and body.isdigit() and len(body) + 1 in LENGTHS):
        raise InputRefusedError(
            f"{body!r} is not a GTIN without its check digit",
            hint="give 7, 11, 12 or 13 digits",
        )
    return int(ean.calc_check_digit(body))


def _is_restricted(digits: str) -> bool:
    # A GTIN-8 has prefixes of its own: 0 and 2 are for use within a firm.
    if len(digits) == 8:
        return digits[0] in "02"
    prefix = digits.zfill(14)[1:3]
    return prefix in ("02", "04") or prefix.startswith("2")
