"""How the trade writes threads: the patterns of designations, genders, seats and couplings."""

from __future__ import annotations

import re

from partsdb.rules.thread_forms import MALE

VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
SIZE = (
    r"(?<![\d/.])(?<!\d[ -])"
    r"(?P<{0}>\d{{1,2}}[ -]\d{{1,2}}/\d{{1,2}}|\d{{1,2}}/\d{{1,2}}|[1-9])(?![\d/.])"
)
PIPE_WORD = r"(?P<{0}>[MF]?\s?(?:NPTF|NPTM|NPT|NPSM|BSPP|BSPT|BSP))(?![A-Z])"
TPI = r"(?:\s*-\s*(?P<{0}>\d{{1,2}}(?:\.5|[ -]1/2)?))?"

SIZE_THEN_PIPE = re.compile(
    SIZE.format("size")
    + r'\s*"?'
    + TPI.format("tpi")
    + r'\s*"?\s*(?:in\b\.?|inch\b)?[\s-]*'
    + PIPE_WORD.format("word"),
    re.IGNORECASE,
)
PIPE_THEN_SIZE = re.compile(
    r"(?<![A-Za-z])"
    + PIPE_WORD.format("word")
    + r"[\s-]*"
    + SIZE.format("size")
    + r'\s*"?'
    + TPI.format("tpi"),
    re.IGNORECASE,
)
# Capitals only, so that "250 g 1 piece" is no thread; a bare "G 1" needs its letter to stand alone.
LETTER_THEN_SIZE = re.compile(
    r"(?<![A-Za-z\d])(?<!\d )(?P<word>G|Rc|RC|Rp|RP|R)\s?-?"
    + SIZE.format("size")
    + r'\s*"?'
    + TPI.format("tpi")
    + r"(?:\s?(?P<grade>[AB])(?![A-Za-z\d]))?"
)
METRIC = re.compile(
    r"(?<![A-Za-z\d])(?P<word>)M\s?(?P<size>\d{1,2})\s*[x*]\s*(?P<tpi>\d(?:\.\d{1,2})?)(?!\d|[.,]\d)",
    re.IGNORECASE,
)
UNIFIED = re.compile(
    SIZE.format("size") + r'\s*"?\s*[-x]\s*(?P<tpi>\d{1,2})(?![\d/.])\s*'
    r"(?P<word>UNEF|UNF|UNC|UNS|UN)?(?![A-Z])(?:\s*-?\s*[123](?P<grade>[AB])(?![A-Z]))?",
    re.IGNORECASE,
)
DASH = re.compile(
    r"(?<![A-Za-z\d])(?:(?P<word>[MF]?(?:JIC|ORB))\s*[-#]?\s*(?P<size>\d{1,2})(?![\d/.-]|\s*-\s*\d|\s*°)"
    r"|[-#](?P<size2>\d{1,2})\s*(?P<word2>[MF]?(?:JIC|ORB))(?![A-Z]))",
    re.IGNORECASE,
)

# M and F alone are genders in capitals only: "m" is metres, and "f." or "für" is German for "for".
MALE_WORDS = re.compile(
    r"\b(?:male|ext(?:ernal)?(?!\s+(?:chamfer|cone|seat))|aussengewinde|außengewinde|ag|stecker)\b"
    r"|\(m\)|(?<![^\W_])(?<!\d )(?-i:M)(?![^\W_]|\s?\d)",
    re.IGNORECASE,
)
FEMALE_WORDS = re.compile(
    r"\b(?:female|fem|int(?:ernal)?(?!\s+(?:chamfer|cone|seat))|innengewinde|ig|überwurfmutter"
    r"|ueberwurfmutter)\b|\(f\)|(?<![^\W_])(?-i:F)(?![^\W_])",
    re.IGNORECASE,
)
# A swivel nut and a tapped port are inside threads unless the text says otherwise.
FEMALE_HINTS = re.compile(r"\b(?:swivel|port|boss|tapped)\b", re.IGNORECASE)
COUPLING = re.compile(
    r"\b(?:quick[ -]?(?:coupling|coupler|connect|disconnect)|schnellkupplung)\b", re.IGNORECASE
)
COUPLING_SERIES = re.compile(
    r"\bISO\s*(7241)\s*-?\s*1?\s*-?\s*(?:series\s*)?([AB])\b|\bISO\s*(16028|15171|14541)\b",
    re.IGNORECASE,
)

SEATS = (
    ("no chamfer", r"(?:no|without|ohne)\s+(?:\w+\s+){0,2}(?:chamfer|fase|innenkonus)"),
    ("cone 30", r"30\s*°?\s*(?:internal\s+)?(?:chamfer|cone|seat|konus|fase|innenkonus)"),
    ("cone 60", r"60\s*°?\s*-?\s*(?:internal\s+)?(?:cone|seat|konus|dichtkegel)"),
    ("cone 24", r"24\s*°?\s*-?\s*(?:cone|seat|konus|dichtkegel)"),
    ("cone 37", r"37\s*°"),
    ("cone 45", r"(?:SAE\s*)?45\s*°|SAE\s*45"),
    ("flat", r"flat(?:\s+(?:face|seat|port))?|flachdichtend"),
    ("plug 14", r"(?<![\d.])14\s?mm"),
    ("plug 15", r"(?<![\d.])15\s?mm"),
)
SEAT_PATTERNS = tuple(
    (seat, re.compile(rf"(?<!\w)(?:{text})(?!\w)", re.IGNORECASE)) for seat, text in SEATS
)
SEAT_OF_FORM = {"JIC": "cone 37", "SAE45": "cone 45"}
PIPE_FORMS = {"NPTM": ("NPT", MALE), "BSPP": ("G", ""), "BSPT": ("R", "")}
FORM_MARKS = (
    ("JIC", re.compile(r"\bJIC\b|37\s*°", re.IGNORECASE)),
    ("ORB", re.compile(r"\bORB\b|o-?ring\s+(?:boss|port)", re.IGNORECASE)),
    ("SAE45", re.compile(r"45\s*°|\bSAE\s*45\b", re.IGNORECASE)),
)
ISO6149 = re.compile(r"\bISO\s*6149(?:-\d)?\b", re.IGNORECASE)
