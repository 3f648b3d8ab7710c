"""The shop's record of the matcher as rows to show."""

from __future__ import annotations

from partsdb.jobs.past import matcher_record
from partsdb.matching.confidence import THRESHOLD


def record_rows() -> list[dict[str, object]]:
    """Return each kind of evidence with how often it was right here, and whether that is enough."""
    return [
        {
            "evidence": known.kind,
            "judged": known.judged,
            "right": known.right,
            "expected": round(known.expected, 3),
            "at_least": round(known.low, 3),
            "calibrated": known.is_enough,
            f"settles_from_{THRESHOLD:.0%}": not known.is_doubted,
            "says": known.text,
        }
        for known in matcher_record().values()
    ]
