"""The suppliers' lists against the key that says what each line truly is (fixtures/README.md)."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from shop_lists import DAY, FIXTURES, LISTS

from partsdb.jobs.list_answers import VetAnswer, VetLine
from partsdb.jobs.vet import VetAsk, vet
from partsdb.store.connect import open_database

RIGHT_AT_LEAST = 0.97


@dataclass(frozen=True)
class Keyed:
    """One line of the key beside the line as it was read (None: no such line was read)."""

    key: dict[str, str]
    line: VetLine | None

    @property
    def is_right(self) -> bool:
        line, key = self.line, self.key
        if line is None or line.reading not in (key["reading"], *key["accept"].split(";")):
            return False
        names_part = line.reading in ("offer", "replacement")
        return not names_part or (line.maker, line.number) == (key["maker"], key["number"])

    def __str__(self) -> str:
        line, key = self.line, self.key
        got = f"{line.reading} {line.number} {line.verdict}" if line else "no line"
        return f"{key['sheet']} row {key['row']}: {key['reading']} {key['number']} {key['hazard']} != {got}"


def key_of(answer: VetAnswer, name: str) -> list[Keyed]:
    lines = {line.place: line for line in answer.lines}
    with (FIXTURES / "key" / f"{Path(name).stem}.csv").open(encoding="utf-8") as file:
        return [
            Keyed(row, lines.get(f"{row['sheet']} row {row['row']}".strip()))
            for row in csv.DictReader(file)
        ]


@pytest.fixture(scope="module")
def vetted(built_shop: Path) -> dict[str, VetAnswer]:
    answers = {}
    for supplier, name in LISTS:
        with open_database(built_shop):
            answers[name] = vet(VetAsk(FIXTURES / "lists" / name, DAY, supplier))
    return answers


@pytest.fixture(scope="module")
def keyed(vetted: dict[str, VetAnswer]) -> dict[str, list[Keyed]]:
    return {name: key_of(answer, name) for name, answer in vetted.items()}


def every(keyed: dict[str, list[Keyed]]) -> Iterator[Keyed]:
    return (each for lines in keyed.values() for each in lines)


@pytest.mark.parametrize("name", [name for _, name in LISTS])
def test_readings_are_right_for_97_of_100_lines(name: str, keyed: dict[str, list[Keyed]]) -> None:
    wrong = [str(each) for each in keyed[name] if not each.is_right]
    assert len(wrong) <= (1 - RIGHT_AT_LEAST) * len(keyed[name]), wrong


def test_no_line_that_is_unsafe_gets_fit(keyed: dict[str, list[Keyed]]) -> None:
    unsafe = [
        str(each)
        for each in every(keyed)
        if each.key["safe"] != "yes" and each.line and each.line.verdict == "fit"
    ]
    assert unsafe == []


def test_a_near_miss_number_is_never_an_offer_of_the_wrong_part(
    keyed: dict[str, list[Keyed]],
) -> None:
    wrong = [
        str(each)
        for each in every(keyed)
        if each.key["hazard"] == "near-miss-number"
        and each.line
        and each.line.reading == "offer"
        and (each.line.maker, each.line.number) != (each.key["maker"], each.key["number"])
    ]
    assert wrong == []


def test_no_line_at_all_is_an_offer_of_the_wrong_part(keyed: dict[str, list[Keyed]]) -> None:
    wrong = [
        str(each)
        for each in every(keyed)
        if each.line
        and each.line.reading in ("offer", "replacement")
        and each.key["reading"] == each.line.reading
        and not each.is_right
    ]
    assert wrong == []


# What each planted hazard must show: a reason code, or a verdict no better than the one named.
CODES = {
    "under-rated": {"PRESSURE_LOW"},
    # A burst figure without the word is told by what the maker himself rates the part.
    "burst-as-working": {"BURST_ONLY", "RAISED_RATING"},
    "unit-muddle": {"UNIT_MUDDLE"},
    "thread-look-alike": {"THREAD_DANGER", "THREAD_NO_SEAL"},
    "softer-ball": {"MATERIAL_DOWNGRADE"},
    "softer-seat": {"MATERIAL_DOWNGRADE"},
    "kit-without-ring": {"KIT_INCOMPLETE"},
    "kit-without-sealant": {"KIT_INCOMPLETE"},
    "sch40-nipple": {"PRESSURE_LOW"},
    "duplicate-code": {"DUPLICATE_CODE"},
    "raised-rating": {"RAISED_RATING"},
}


def names_it(line: VetLine | None, hazard: str) -> bool:
    """A reason code names the hazard; a rating that made the line a question stands in its notes."""
    if line is None:
        return False
    if line.reading == "to review" and hazard == "raised-rating":
        return any("pressure" in note for note in line.notes)
    return bool(CODES[hazard] & {c.code for c in line.checks if c.outcome != "meets"})


@pytest.mark.parametrize("hazard", CODES)
def test_each_planted_hazard_is_named(hazard: str, keyed: dict[str, list[Keyed]]) -> None:
    planted = [each for each in every(keyed) if each.key["hazard"] == hazard]
    silent = [str(each) for each in planted if not names_it(each.line, hazard)]
    assert len(planted) >= 3
    assert silent == []


# What a hazard that fails must not be called by any softer name.
FAILING = ("under-rated", "softer-ball", "softer-seat", "thread-look-alike", "sch40-nipple")


@pytest.mark.parametrize("hazard", FAILING)
def test_what_can_hurt_is_not_to_be_fitted(hazard: str, keyed: dict[str, list[Keyed]]) -> None:
    planted = [each for each in every(keyed) if each.key["hazard"] == hazard]
    milder = [str(each) for each in planted if not each.line or each.line.verdict != "do not fit"]
    assert milder == []


def test_a_missing_rating_is_unknown_in_every_place_that_is_judged(keyed) -> None:
    """Handbook 1.4: unknown blocks fitting like a failure."""
    planted = [each for each in every(keyed) if each.key["hazard"] == "rating-missing"]
    judged = [each for each in planted if each.line and each.line.verdict]
    assert len(judged) >= 10
    for each in judged:
        assert each.line.verdict in ("ask first", "do not fit"), str(each)
        assert "PRESSURE_UNKNOWN" in {c.code for c in each.line.checks if c.outcome != "meets"}
    for each in planted:  # the others are for no machine of ours, and so nothing is said to fit
        assert each in judged or (each.line and each.line.verdict is None), str(each)


def test_a_material_without_its_grade_is_asked_by_the_name_of_the_piece(keyed) -> None:
    """Handbook 3.3: "carbide" with no grade is unknown."""
    planted = [each for each in every(keyed) if each.key["hazard"] == "material-unnamed"]
    assert len(planted) >= 10
    for each in planted:
        asked = [c for c in each.line.checks if "the grade is not stated" in c.text]
        assert {(c.check, c.outcome) for c in asked} <= {
            ("material ball", "not shown"), ("material seat", "not shown"),
        }, str(each)  # fmt: skip
        assert asked and each.line.verdict == "ask first", str(each)


def test_a_number_that_its_maker_replaced_is_said_to_be_old(keyed) -> None:
    planted = [each for each in every(keyed) if each.key["hazard"] == "superseded"]
    assert len(planted) >= 10
    silent = [
        str(each) for each in planted
        if not any("the maker has replaced it" in note for note in each.line.notes)
    ]  # fmt: skip
    assert silent == []


def test_the_summary_counts_every_line_once(vetted: dict[str, VetAnswer]) -> None:
    for answer in vetted.values():
        readings = Counter(line.reading.replace(" ", "_") for line in answer.lines)
        verdicts = Counter(line.verdict.replace(" ", "_") for line in answer.lines if line.verdict)
        counted = {name: answer.summary[name] for name in answer.summary if name != "lines"}
        assert counted == {name: (readings | verdicts)[name] for name in counted}
        assert answer.summary["lines"] == len(answer.lines)


def test_every_list_with_hazards_shows_its_signs(vetted: dict[str, VetAnswer]) -> None:
    wanted = {
        "pressure too low",
        "burst quoted as rating",
        "bar and psi muddled",
        "softer material",
        "material unnamed",
        "thread look-alike",
        "same code, another price",
        "rating above the maker's own",
        "rating missing",
        "near-miss number",
        "no document",
        "no origin",
    }
    for name, answer in vetted.items():
        shown = {sign.sign for sign in answer.signs}
        assert wanted <= shown, (name, wanted - shown)
        assert all(sign.count >= 1 for sign in answer.signs)


def test_a_clean_list_shows_no_sign(built_shop: Path) -> None:
    with open_database(built_shop):
        answer = vet(VetAsk(FIXTURES / "lists" / "clean_quillmere.csv", DAY, currency="EUR"))
    assert answer.signs == ()
    assert answer.summary["do_not_fit"] == 0
    assert all(each.is_right for each in key_of(answer, "clean_quillmere.csv"))


def test_vetting_stores_nothing(built_shop: Path) -> None:
    before = built_shop.read_bytes()
    with open_database(built_shop):
        vet(VetAsk(FIXTURES / "lists" / LISTS[0][1], DAY, LISTS[0][0]))
    assert built_shop.read_bytes() == before
