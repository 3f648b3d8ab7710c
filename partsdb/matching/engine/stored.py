"""What is stored of a matched line: the columns of `reading`, its evidence as codes in JSON.

`{"codes": [[part, code], ...]}` takes the place of evidence in words, which a million lines could
not carry; `explained` gives the words back.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import pairwise, repeat
from typing import TYPE_CHECKING

from partsdb.matching.engine.decision import Lane
from partsdb.matching.engine.evidence import explain
from partsdb.matching.readings import MATCHER_VERSION, Evidence, ReadingKind

if TYPE_CHECKING:
    from partsdb.matching.engine.match import Matched

_KINDS = {
    Lane.SETTLED: ReadingKind.OFFER.value,
    Lane.REVIEW: ReadingKind.TO_REVIEW.value,
    Lane.NONE: ReadingKind.NOT_OURS.value,
}
_PAIR = "[%d, %d]"
ReadingRow = tuple[int, str, int | None, float, str, int]


def evidence_texts(matched: Matched) -> list[str]:
    """Return the evidence of each line as it is stored."""
    first = matched.first.tolist()
    pairs = list(
        map(_PAIR.__mod__, zip(matched.part_id.tolist(), matched.code.tolist(), strict=True))
    )
    return ['{"codes": [' + ", ".join(pairs[start:end]) + "]}" for start, end in pairwise(first)]


def reading_rows(matched: Matched, evidence: list[str], first_line: int) -> Iterator[ReadingRow]:
    """Yield line id, kind, part (None unless settled), confidence, evidence, matcher version.

    Lines are numbered from `first_line`. Confidence is the share of the line explained by the best
    candidate, and only orders lines.
    """
    import numpy as np

    has = matched.first[1:] > matched.first[:-1]
    best = np.minimum(matched.first[:-1], max(0, len(matched.code) - 1))
    share = np.zeros(len(has))
    parts = [0] * len(has)
    if len(matched.code):
        explained = matched.code[best] >> 4 & 127
        share = np.where(has & (explained <= 100), explained, 0) / 100
        parts = matched.part_id[best].tolist()
    lanes = matched.lane.tolist()
    return zip(
        range(first_line, first_line + len(lanes)),
        (_KINDS[lane] for lane in lanes),
        (part if lane == Lane.SETTLED else None for part, lane in zip(parts, lanes, strict=True)),
        share.tolist(),
        evidence,
        repeat(MATCHER_VERSION, len(lanes)),
        strict=True,
    )


def explained(stored: str) -> list[tuple[int, tuple[Evidence, ...]]]:
    """Return each candidate's part id and named evidence from what `evidence_texts` wrote."""
    return [(part, explain(code)) for part, code in json.loads(stored)["codes"]]
