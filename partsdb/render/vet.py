"""The answer to "may I trust this list?" as text, and as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section
from partsdb.rules.counting import counted

_READINGS = ("offer", "replacement", "new_part", "to_review", "not_ours", "not_a_part")
_VERDICTS = ("fit", "fit_with_conditions", "ask_first", "do_not_fit")
_ROW_FIELDS = ("line", "place", "code", "description", "reading", "maker", "number", "confidence",
               "verdict")  # fmt: skip
_QUESTION_LENGTH = 300
_LINES_SHOWN = 15
_EXAMPLES_SHOWN = 2
_PLACES_SHOWN = 4


def vet_text(answer: object, width: int, *, all_lines: bool = False) -> str:
    """Return the report: what it comes to, counts, signs, worst lines, questions, inspection."""
    facts: dict[str, Any] = plain(answer)
    return paragraphs(
        [
            card(
                {
                    "list": facts["file"],
                    "supplier": facts["supplier"] or "not said",
                    "for": facts["machines"],
                    "it comes to": facts["recommendation"],
                    "if all is answered": facts["if_answered"],
                    "prices": facts["prices"],
                },
                width,
            ),
            _counts(facts["summary"], width),
            section("Signs of a bad list", _signs(facts, width)),
            _lines(facts, width, all_lines=all_lines),
            _not_everywhere(facts["lines"], width),
            section(
                "Questions to send back", bullets([_short(q) for q in facts["questions"]], width)
            )
            if facts["questions"]
            else "",
            section("On arrival", bullets(facts["inspect"], width)) if facts["inspect"] else "",
            section("What was assumed", bullets(facts["assumptions"], width))
            if facts["assumptions"]
            else "",
        ]
    )


def _counts(summary: Mapping[str, int], width: int) -> str:
    judged = sum(summary[name] for name in _VERDICTS)
    readings = ", ".join(f"{summary[name]} {name.replace('_', ' ')}" for name in _READINGS)
    verdicts = ", ".join(f"{summary[name]} {name.replace('_', ' ')}" for name in _VERDICTS)
    return card({counted(summary["lines"], "line"): readings, f"{judged} judged": verdicts}, width)


def _signs(facts: Mapping[str, Any], width: int) -> str:
    rows = [
        {
            "sign": sign["sign"],
            "lines": sign["count"],
            "why": sign["text"],
            "for example": sign["examples"][:_EXAMPLES_SHOWN],
        }
        for sign in facts["signs"]
    ]
    return listing(rows, width, wrap=("why", "for example"), nothing="none found")


def _lines(facts: Mapping[str, Any], width: int, *, all_lines: bool) -> str:
    """Return the lines that must not be fitted, and the first of those to ask about."""
    bad = [line for line in facts["lines"] if line["verdict"] == "do not fit"]
    chosen = facts["lines"] if all_lines else bad[:_LINES_SHOWN]
    if not chosen:
        return ""
    rows = [
        {
            "place": line["place"],
            "code": line["code"],
            "reading": line["reading"],
            "part": f"{line['maker']} {line['number']}".strip(),
            "verdict": line["verdict"] or "not judged",
            "reason": _reason(line),
        }
        for line in chosen
    ]
    title = "All lines" if all_lines else f"Do not fit ({counted(len(bad), 'line')})"
    more = len(bad) - len(chosen)
    rest = (
        ""
        if all_lines or more <= 0
        else f"\nand {more} more: --all shows every line, --format csv too"
    )
    return section(title, listing(rows, width, wrap=("reason", "part", "place")) + rest)


def _not_everywhere(lines: Sequence[Mapping[str, Any]], width: int) -> str:
    """Return the lines that fit some of our machines and not others."""
    found = [line for line in lines if line["fits"] and line["not_for"]]
    if not found:
        return ""
    rows = [
        {
            "place": line["place"],
            "code": line["code"],
            "fits": _few(line["fits"]),
            "not for": _few(line["not_for"]),
            "why not": _reason(line),
        }
        for line in found[:_LINES_SHOWN]
    ]
    more = len(found) - len(rows)
    rest = f"\nand {more} more: --format csv shows every line" if more > 0 else ""
    title = f"Fits some machines and not others ({counted(len(found), 'line')})"
    return section(title, listing(rows, width, wrap=("place", "fits", "not for", "why not")) + rest)


def _few(places: Sequence[str]) -> str:
    told = ", ".join(places[:_PLACES_SHOWN])
    return (
        told if len(places) <= _PLACES_SHOWN else f"{told} and {len(places) - _PLACES_SHOWN} more"
    )


def _reason(line: Mapping[str, Any]) -> str:
    told = [check["text"] for check in line["checks"] if check["outcome"] in ("fails", "not shown")]
    failing = [check["text"] for check in line["checks"] if check["outcome"] == "fails"]
    said = failing or told or line["notes"]
    return said[0] if said else ""


def _short(question: str) -> str:
    return (
        question
        if len(question) <= _QUESTION_LENGTH
        else question[:_QUESTION_LENGTH].rsplit(",", 1)[0] + ", …)"
    )


def vet_rows(answer: Any) -> list[dict[str, Any]]:
    """Return one row per line of the list, for CSV."""
    return [
        {name: plain(getattr(line, name)) for name in _ROW_FIELDS}
        | {
            "reasons": [
                f"{plain(c.check)} {plain(c.outcome)}: {c.text}"
                for c in line.checks
                if plain(c.outcome) != "meets"
            ],
            "fits": plain(line.fits),
            "not_for": plain(line.not_for),
            "notes": plain(line.notes),
        }
        for line in answer.lines
    ]
