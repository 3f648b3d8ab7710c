"""The ways of finding a part, in a few words for a table."""

from __future__ import annotations

from partsdb.matching.engine.decision import Way

WAY_WORDS = {
    Way.KEY: "number",
    Way.LOOKALIKE: "look-alike signs",
    Way.SCIENTIFIC: "spreadsheet: E notation",
    Way.DATE: "spreadsheet: date",
    Way.VALUE: "spreadsheet: value",
    Way.ZEROS: "leading zeros lost",
    Way.PREFIX: "a prefix left out",
    Way.SUFFIX: "a suffix left out",
    Way.EDIT: "one sign otherwise",
    Way.LETTER: "one letter otherwise",
    Way.BEGINS: "beginning",
    Way.WORDS: "words",
}
