"""A file's bytes become rows of text with their place. Knows no catalogue and no database."""

from __future__ import annotations

from importers.bounded import read_price_list_bounded
from importers.drift import DRIFT, key_of, layout_key
from importers.limits import DEFAULT, Limits
from importers.price_list import read_price_list
from importers.rows import PriceListText, Profile, ReaderError
from importers.tabular import read_table

__all__ = [
    "DEFAULT",
    "DRIFT",
    "Limits",
    "PriceListText",
    "Profile",
    "ReaderError",
    "key_of",
    "layout_key",
    "read_price_list",
    "read_price_list_bounded",
    "read_table",
]
