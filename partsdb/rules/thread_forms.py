"""Threads as the standards give them: one frozen row each, and the geometry computed from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from math import atan, degrees

from partsdb import tables
from partsdb.errors import NotFoundError

MM_PER_INCH = 25.4
MALE, FEMALE = "male", "female"
_OTHER = {MALE: FEMALE, FEMALE: MALE, "": ""}
# ISO 7-1 names the gender in the letter: R is always outside, Rc and Rp always inside.
_GENDER_OF_FORM = {"R": MALE, "Rc": FEMALE, "Rp": FEMALE}
QUICK_COUPLING = "quick coupling"
_SEAT_WORDS = {
    "cone 24": "24° cone",
    "cone 30": "30° cone",
    "cone 60": "60° cone",
    "plug 14": "14 mm plug",
    "plug 15": "15 mm plug",
}


@dataclass(frozen=True, slots=True)
class Thread:
    """One end of a connection.

    `size` is the nominal pipe size ("1/4"), the inch size with its pitch ("7/16-20") or the metric
    designation ("M14x1.5"); `pitch_mm`, `diameter_mm` (basic major) and `flank_deg` are 0 where a
    quick coupling has no thread; `threads_per_inch` is 0 for metric; `taper` is "1/16", "0" or ""
    when not said; `seat` is what stands beside the thread ("flat", "cone 60", "plug 14", …) or "".
    """

    form: str
    size: str
    gender: str = ""
    threads_per_inch: float = 0.0
    pitch_mm: float = 0.0
    diameter_mm: float = 0.0
    flank_deg: int = 0
    taper: str = ""
    seat: str = ""

    @property
    def designation(self) -> str:
        """Return the thread in words, as the trade writes it."""
        if self.form == "R" and not self.gender:
            name = f"{self.size} BSPT"  # R itself would say that it is the male one
        elif self.form in ("G", "R", "Rc", "Rp", "BSP"):
            name = f"{self.form} {self.size}"
        elif self.form == "ISO6149":
            name = f"ISO 6149 {self.size}"
        elif self.form == "SAE45":
            name = f"{self.size} SAE 45°"
        elif self.form in ("M", "UN"):
            name = self.size if self.form == "M" else f"{self.size} UN"
        else:
            name = f"{self.size} {self.form}"
        seat = "" if self.form in ("JIC", "SAE45") else _SEAT_WORDS.get(self.seat, self.seat)
        return " ".join(word for word in (name, seat, self.gender) if word)


@cache
def _table() -> dict[tuple[str, str], Thread]:
    return {(row["form"], row["size"]): _thread(row) for row in tables.rows("threads")}


@cache
def _dashes() -> dict[tuple[str, str], str]:
    rows = tables.rows("threads")
    return {(row["form"], row["dash"]): row["size"] for row in rows if row["dash"]}


def _thread(row: tables.Row) -> Thread:
    tpi = float(row["threads_per_inch"] or 0)
    return Thread(
        form=row["form"],
        size=row["size"],
        gender=_GENDER_OF_FORM.get(row["form"], ""),
        threads_per_inch=tpi,
        pitch_mm=MM_PER_INCH / tpi if tpi else float(row["pitch_mm"]),
        diameter_mm=float(row["diameter_mm"]),
        flank_deg=int(row["flank_deg"]),
        taper=row["taper"],
    )


def find(form: str, size: str) -> Thread | None:
    """Return the thread of that form and size as the table has it, or None."""
    return _table().get((form, size))


def by_dash(form: str, dash: str) -> Thread | None:
    """Return the JIC, ORB or SAE45 thread of a dash size ("6" for -6), or None."""
    size = _dashes().get((form, dash.lstrip("0")))
    return find(form, size) if size else None


def standard(form: str, size: str) -> Thread:
    """Return the thread of that form and size; NotFoundError when the table has none."""
    thread = find(form, size)
    if thread is None:
        raise NotFoundError("thread", f"{form} {size}", hint="see partsdb/tables/threads.csv")
    return thread


def all_threads() -> tuple[Thread, ...]:
    """Return every thread of the table, in its order."""
    return tuple(_table().values())


def with_gender(thread: Thread, gender: str) -> Thread:
    """Return `thread` as male or female; a taper BSP becomes R outside and Rc inside (ISO 7-1)."""
    swap = {("R", FEMALE): "Rc", ("Rc", MALE): "R"}
    form = swap.get((thread.form, gender), thread.form)
    return replace(thread, form=form, gender=gender)


def other_gender(gender: str) -> str:
    """Return the gender that mates with `gender`; of an unknown one, unknown."""
    return _OTHER[gender]


def difference_mm(one: Thread, two: Thread) -> tuple[float, float]:
    """Return by how many mm the major diameters and the pitches of two threads differ."""
    return abs(one.diameter_mm - two.diameter_mm), abs(one.pitch_mm - two.pitch_mm)


def iso228_mm(size: str) -> tuple[float, float, float]:
    """Return major, pitch and minor diameter of G `size` in mm (ISO 228-1: h = 0.640327 P)."""
    thread = standard("G", size)
    depth = 0.640327 * thread.pitch_mm
    return thread.diameter_mm, thread.diameter_mm - depth, thread.diameter_mm - 2 * depth


def _npt_inch(size: str) -> tuple[Fraction, Fraction]:
    """Return outside diameter and pitch of an NPT size in inches, exactly."""
    row = next((r for r in tables.rows("threads") if (r["form"], r["size"]) == ("NPT", size)), None)
    if row is None:
        raise NotFoundError("NPT size", size)
    return Fraction(row["diameter_mm"]) / Fraction("25.4"), 1 / Fraction(row["threads_per_inch"])


def npt_pitch_diameter_in(size: str) -> float:
    """Return E0, the pitch diameter at the small end, in inches (ASME B1.20.1, from memory)."""
    outside, pitch = _npt_inch(size)
    return float(outside - (Fraction("0.05") * outside + Fraction("1.1")) * pitch)


def npt_effective_length_in(size: str) -> float:
    """Return L2, the length of effective thread, in inches (ASME B1.20.1, from memory)."""
    outside, pitch = _npt_inch(size)
    return float((Fraction("0.8") * outside + Fraction("6.8")) * pitch)


def npt_overall_length_in(size: str) -> float:
    """Return L4, the overall length of external thread, in inches (ASME B1.20.1, from memory)."""
    outside, pitch = _npt_inch(size)
    return float((Fraction("0.8") * outside + Fraction("10.27")) * pitch)


def taper_half_angle_deg(taper: str = "1/16") -> float:
    """Return the angle between axis and flank line of a taper given on the diameter, in degrees."""
    return degrees(atan(float(Fraction(taper)) / 2))
