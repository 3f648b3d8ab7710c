"""May I trust this supplier's list? Every line read and judged, the signs, and what to ask."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from partsdb.errors import NotFoundError
from partsdb.jobs.list_answers import VetAnswer, VetLine
from partsdb.jobs.market import Market
from partsdb.jobs.named import the_machine, the_supplier
from partsdb.jobs.questions import asked_lines, if_answered
from partsdb.jobs.reading_list import Progress, ReadLine, ReadList, drift_caution, read_list
from partsdb.jobs.stored_list import stored_list
from partsdb.jobs.vet_arrival import on_arrival
from partsdb.jobs.vet_judged import Judged
from partsdb.jobs.vet_lines import LineJudge
from partsdb.jobs.vet_list_signs import list_signs
from partsdb.jobs.vet_price_signs import ListSign
from partsdb.jobs.vet_prices import priced, prices_told
from partsdb.jobs.vet_signs import as_sign, questions_of, recommendation, signs_of
from partsdb.matching.readings import ReadingKind
from partsdb.rules.cautions import cautions_for
from partsdb.rules.counting import counted
from partsdb.rules.verdict import Verdict
from partsdb.store.machines import machine_rows


@dataclass(frozen=True, slots=True)
class VetAsk:
    """A file to vet, who sent it, for which machines (none: all that the shop services)."""

    path: Path
    as_of: str
    supplier: str | None = None
    machines: tuple[str, ...] = ()
    currency: str = ""


def vet(ask: VetAsk, progress: Progress = lambda said: None) -> VetAnswer:
    """Return what the list is worth, without storing anything of it.

    Raises ReaderError for a file that cannot be read, NotFoundError for an unknown name.
    """
    rows = [the_machine(model) for model in ask.machines]
    read = _read(ask, progress)
    supplier = read.supplier
    progress("judging the lines")
    judge = LineJudge(read, [row.id for row in rows] or _serviced(), ask.as_of)
    sender = supplier.id if supplier else None
    found = [judge.judge(line) for line in read.lines]
    market = Market(found, ask.as_of, sender)
    judged = priced(found, market)
    whole = list_signs(judged, ask.as_of, market.ratios)
    signs = (*signs_of(judged), *map(as_sign, whole))
    return VetAnswer(
        file=read.source.file_name,
        supplier=supplier.name if supplier else "",
        machines=tuple(f"{row.maker} {row.model}" for row in rows) or ("all that we service",),
        summary=summary_of(judged),
        signs=signs,
        questions=(*questions_of(judged), *_asked_of_the_list(whole)),
        lines=tuple(_answer(number, line) for number, line in enumerate(judged, start=1)),
        assumptions=(*read.assumptions, *(f"skipped: {said}" for said in read.source.skipped)),
        inspect=on_arrival(judged, judge.seller_grade),
        recommendation=recommendation(judged, signs),
        cautions=(*drift_caution(read), *cautions_for(("pressurised machine",))),
        asked=asked_lines(judged, whole, supplier),
        if_answered=if_answered(judged),
        prices=prices_told(judged, market),
    )


def _asked_of_the_list(signs: Sequence[ListSign]) -> list[str]:
    """Return the questions of the signs that the whole list shows, each with its codes."""
    return [
        f"{each.question} ({counted(len(each.lines), 'line')}: {_codes(each.lines)})"
        for each in signs
        if each.question
    ]


def _codes(lines: Sequence[Judged]) -> str:
    listed = (line.line.listed for line in lines)
    return ", ".join(dict.fromkeys(each.text.code or each.row.place() for each in listed))


def _read(ask: VetAsk, progress: Progress) -> ReadList:
    """Return the file read now, or the batch of that number as it was read."""
    name = str(ask.path)
    if name.isdecimal() and not ask.path.exists():
        return stored_list(int(name))
    supplier = the_supplier(ask.supplier) if ask.supplier else None
    return read_list(ask.path, supplier, as_of=ask.as_of, currency=ask.currency, progress=progress)


def _serviced() -> list[int]:
    found = [row.id for row in machine_rows() if row.serviced]
    if not found:
        raise NotFoundError(
            "machine", "any", hint="load machines first: partsdb machine add --from FILE"
        )
    return found


def summary_of(lines: Sequence[Judged]) -> dict[str, int]:
    """Return the counts by reading and by verdict under the contract's names."""
    readings = Counter(line.line.reading.kind for line in lines)
    verdicts = Counter(line.verdict for line in lines if line.verdict)
    counts = {"lines": len(lines)}
    counts |= {kind.value.replace(" ", "_"): readings[kind] for kind in ReadingKind}
    counts |= {verdict.value.replace(" ", "_"): verdicts[verdict] for verdict in Verdict}
    return counts


def _answer(number: int, judged: Judged) -> VetLine:
    line = judged.line
    return VetLine(
        line=number,
        place=line.listed.row.place(),
        code=line.listed.text.code,
        description=line.listed.text.description or _bare(line),
        reading=line.reading.kind.value,
        maker=judged.maker,
        number=judged.number,
        confidence=round(line.reading.confidence, 4),
        verdict=judged.verdict,
        checks=judged.checks,
        fits=judged.fits,
        not_for=judged.not_for,
        notes=(
            *judged.notes,
            *line.listed.problems,
            *((f"no offer: {line.unclear}",) if line.unclear else ()),
            *((f"code repaired: {line.reading.damage}",) if line.reading.damage else ()),
            *(f"{e.name}: {e.text}" for e in line.reading.evidence if e.weighs != "for"),
        ),
    )


def _bare(line: ReadLine) -> str:
    return " ".join(cell.strip() for cell in line.listed.row.cells if cell.strip())
