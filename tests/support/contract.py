"""The JSON contract of DEVELOPERS.md as JSON Schema (draft 2020-12), for the tests alone."""

from __future__ import annotations

from typing import Any

TEXT = {"type": "string"}
TEXTS = {"type": "array", "items": TEXT}
WHOLE = {"type": "integer"}
WHOLE_OR_NULL = {"type": ["integer", "null"]}
VERDICT = {"enum": ["fit", "fit with conditions", "ask first", "do not fit"]}
OUTCOME = {"enum": ["meets", "meets with conditions", "not shown", "fails"]}


def record(**fields: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of an object that must have all of `fields` (and may grow others)."""
    return {"type": "object", "required": sorted(fields), "properties": fields}


def many(item: dict[str, Any], *, at_least: int = 0) -> dict[str, Any]:
    return {"type": "array", "items": item, "minItems": at_least}


CHECK = record(check=TEXT, outcome=OUTCOME, text=TEXT, evidence=TEXT)
DAY_OR_NOT = {"type": "string", "pattern": r"^(\d{4}-\d\d-\d\d)?$"}
OFFER = record(
    supplier=TEXT,
    landed_minor=WHOLE_OR_NULL,
    currency=TEXT,
    lead_days=WHOLE_OR_NULL,
    stock=TEXT,
    here_on=DAY_OR_NOT,
    stated_on=DAY_OR_NOT,
    valid_to=DAY_OR_NOT,
)
CANDIDATE = record(
    maker=TEXT,
    number=TEXT,
    verdict=VERDICT,
    checks=many(CHECK, at_least=1),
    conditions=TEXTS,
    missing=TEXTS,
    extra=TEXTS,
    path=TEXTS,
    offers=many(OFFER),
    grade=TEXT,
)
INSTEAD = record(asked=record(maker=TEXT, number=TEXT), candidates=many(CANDIDATE))

SUMMARY = record(
    **dict.fromkeys(
        (
            "lines",
            "offer",
            "replacement",
            "new_part",
            "to_review",
            "not_ours",
            "not_a_part",
            "fit",
            "fit_with_conditions",
            "ask_first",
            "do_not_fit",
        ),
        WHOLE,
    )
)
READING = {"enum": ["offer", "replacement", "new part", "to review", "not ours", "not a part"]}
VET_LINE = record(
    line=WHOLE,
    place=TEXT,
    code=TEXT,
    description=TEXT,
    reading=READING,
    maker=TEXT,
    number=TEXT,
    confidence={"type": "number", "minimum": 0, "maximum": 1},
    verdict={"enum": [*VERDICT["enum"], None]},
    checks=many(CHECK),
    fits=TEXTS,
    not_for=TEXTS,
)
VET = record(
    summary=SUMMARY,
    signs=many(record(sign=TEXT, count=WHOLE, text=TEXT)),
    questions=TEXTS,
    lines=many(VET_LINE, at_least=1),
)

STEP = record(label=TEXT, amount_minor=WHOLE, how=TEXT)
PURCHASE = record(
    maker=TEXT, number=TEXT, supplier=TEXT, packs=WHOLE, units=WHOLE, here_on=DAY_OR_NOT
)
OPTION = record(
    name=TEXT,
    suppliers=TEXTS,
    total_minor=WHOLE,
    currency={"type": "string", "pattern": "^[A-Z]{3}$"},
    steps=many(STEP, at_least=1),
    buy=many(PURCHASE),
    verdict=VERDICT,
)
REBUILD = record(options=many(OPTION))

COLUMN = record(
    column={"type": "string", "pattern": "^[A-Z]{1,3}$"},
    heading=TEXT,
    meaning=TEXT,
    unit=TEXT,
    filled={"type": ["integer", "null"], "minimum": 0, "maximum": 100},
    samples=TEXTS,
)
TABLE = record(
    place=TEXT,
    header_row=WHOLE_OR_NULL,
    delimiter=TEXT,
    encoding=TEXT,
    decimal_mark={"enum": ["", ",", "."]},
    currency=TEXT,
    price_per=TEXT,
    tax={"type": "string", "pattern": r"^([0-9]{1,2}(\.[0-9]{1,2})?)?$"},
    discount=TEXT,
    units=many({"type": "array", "items": TEXT, "minItems": 2, "maxItems": 2}),
    confirmed=TEXT,
    columns=many(COLUMN, at_least=1),
    rows=WHOLE_OR_NULL,
    priced=WHOLE_OR_NULL,
)
LAYOUT = record(
    file=TEXT,
    supplier=TEXT,
    tables=many(TABLE, at_least=1),
    alarms=TEXTS,
    drift=TEXTS,
    assumptions=TEXTS,
    skipped=TEXTS,
    saved={"type": "boolean"},
)
LAYOUTS = record(supplier=TEXT, layouts=many(record(number=WHOLE, tables=many(TABLE))))
HISTORY = record(
    events=many(
        record(
            at=TEXT,
            who=TEXT,
            action=TEXT,
            subject=TEXT,
            said=TEXT,
            subject_kind=TEXT,
            subject_id=WHOLE_OR_NULL,
            detail={"type": "object"},
        )
    )
)

ERROR = record(code=TEXT, message=TEXT, hint=TEXT)


def answer(data: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a successful answer around `data`."""
    return record(schema={"const": 1}, ok={"const": True}, data=data, cautions=TEXTS)


REFUSAL = record(schema={"const": 1}, ok={"const": False}, error=ERROR)
