"""Grade proposals and scorecards as text, and as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section
from partsdb.rules.proposal import Score

_DELIVERED = ("accepted", "on_time", "filled", "documents")
_SCORES = ("clean", *_DELIVERED)


def proposals_text(found: Sequence[object], width: int) -> str:
    """Return each proposal with its numbers and what a rise still takes."""
    blocks = [_proposal(plain(each), width) for each in found]
    end = "nothing was changed: partsdb grade set sets a grade"
    return paragraphs([*blocks, end if blocks else "nothing has a record or a grade yet"])


def _proposal(facts: dict[str, Any], width: int) -> str:
    p = facts["proposal"]
    changes = p["proposed"] != p["grade"]
    said = f"{p['grade'] or 'none'} to {p['proposed'] or 'none'}" if changes else "no change"
    told = {
        "grade": p["grade"] or "none",
        "proposed": said,
        "record": f"{p['failures']} comebacks in {p['counted']} counted fittings"
        f" ({p['fitted']} fitted, {p['lots']} lots)",
        "comeback rate": f"expected {p['mean']:.1%}, at most {p['upper_95']:.1%} (95 % sure)",
        "clean fittings": f"at least {p['wilson_low']:.1%} (Wilson, 95 %)",
        "shown": ", ".join(f"{grade} {chance:.0%}" for grade, chance in p["chances"]),
        "to rise": _to_rise(p),
        **{name.replace("_", " "): each for name, each in _scores(facts["scores"]).items()},
    }
    title = f"{facts['subject_kind']} {facts['subject']}"
    return section(title, paragraphs([card(told, width), bullets(p["reasons"], width)]))


def _scores(scores: Mapping[str, Any]) -> dict[str, Any]:
    """Return what deliveries and inspections came to, as far as anything was recorded."""
    told = {name: _share(scores[name]) for name in _DELIVERED}
    return told | {"ppm": "" if scores["ppm"] is None else scores["ppm"]}


def _share(score: Mapping[str, Any]) -> str:
    return str(Score(score["good"], score["due"])) if score["due"] else ""


def _to_rise(p: dict[str, Any]) -> str:
    if p["clean_needed"] is None:
        return ""
    return f"{p['clean_needed']} more clean fittings show a {p['next_grade']}"


def proposal_rows(found: Sequence[object]) -> list[dict[str, Any]]:
    """Return one row per proposal, for CSV."""
    rows = []
    for each in found:
        facts: dict[str, Any] = plain(each)
        numbers = {k: v for k, v in facts.pop("proposal").items() if k != "chances"}
        scores = facts.pop("scores")
        rows.append({**facts, **numbers, **_scores(scores)})
    return rows


def scorecard_text(found: Sequence[object], width: int) -> str:
    """Return the scorecard as a table; each share with its count and its 95 % interval."""
    rows = [
        {
            "": row["rank"],
            "subject": row["subject"],
            "grade": row["grade"],
            "clean at least": f"{row['clean_low']:.1%}",
            **{name: row[name] for name in _SCORES},
            "ppm": row["ppm"],
            "open failures": row["open_failures"] or "",
        }
        for row in score_rows(found)
    ]
    return listing(rows, width, wrap=_SCORES, nothing="nothing was received or fitted yet")


def score_rows(found: Sequence[object]) -> list[dict[str, Any]]:
    """Return one row per subject; a share reads "38/40 (83.5% to 98.6%)"."""
    return [
        {**plain(each), **{name: str(getattr(each, name)) for name in _SCORES}} for each in found
    ]
