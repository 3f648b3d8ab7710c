"""May I trust this list? Each line judged in the positions of the machines that count."""

from __future__ import annotations

from math import comb
from pathlib import Path
from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop, price_list

from importers.rows import ReaderError
from partsdb.errors import NotFoundError
from partsdb.jobs.list_answers import VetAnswer, VetLine
from partsdb.jobs.vet import VetAsk, vet
from partsdb.rules.facts import ClaimKind, EvidenceLevel, KitItem
from partsdb.store import catalogue, claims, edges, grades, makers

RATED = "Part number,Manufacturer,Description,Working pressure,Price EUR"
BALL_AND_SEAT = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat"


def vetted(list_folder: Path, *rows: str, head: str = RATED, **more: Any) -> VetAnswer:
    ask = {"supplier": "Saltreeve", "currency": "EUR", **more}
    return vet(VetAsk(price_list(list_folder, list(rows), head=head), DAY, **ask))


def judged(list_folder: Path, row: str, **more: Any) -> VetLine:
    code = row.partition(",")[0]
    # A second line keeps the list a list: one row alone may be a title.
    rows = (row, f'24-1182,Quillmere,"{BALL_AND_SEAT}, 3600 psi",3600 psi,71.90')
    (found,) = [line for line in vetted(list_folder, *rows, **more).lines if line.code == code]
    return found


def codes(line: VetLine) -> set[str]:
    return {check.code for check in line.checks if check.outcome != "meets"}


def kit(rating: str, code: str = "24-1180", maker: str = "Quillmere") -> str:
    return f'{code},{maker},"{BALL_AND_SEAT}",{rating},61.90'


def replacement(rating: str, words: str = "") -> str:
    return f'SR 7001,,"{BALL_AND_SEAT}, replaces 24-1180{words}",{rating},33.50'


# The very part


def test_the_very_part_is_judged_by_what_the_shop_knows(list_folder):
    line = judged(list_folder, kit("3300 psi"))
    assert (line.reading, line.maker, line.number) == ("offer", "Quillmere", "24-1180")
    (pressure,) = [check for check in line.checks if check.check == "pressure"]
    assert pressure.outcome == "meets"
    assert "QH-7" in pressure.evidence


@pytest.mark.parametrize(
    ("rating", "code", "source"),
    [
        ("4000 psi", "RAISED_RATING", "above the maker's 3300 psi by more than unit rounding"),
        ("3300 bar", "UNIT_MUDDLE", "the figure of psi with the name of bar: 14.5 times"),
        ("228 psi", "UNIT_MUDDLE", "the figure of bar with the name of psi"),
        ("2500 psi", "PRESSURE_LOW", "less than the machine's 3300 psi: the lower figure counts"),
    ],
)
def test_a_rating_that_contradicts_the_makers_is_named(list_folder, rating, code, source):
    line = judged(list_folder, kit(rating))
    assert code in codes(line), source
    assert line.verdict in ("ask first", "do not fit")


@pytest.mark.parametrize(
    ("rating", "said"),
    [("13200 psi", "4.0 times"), ("8250 psi", "2.5 times"), ("4000 psi", ""), ("20000 psi", "")],
)
def test_a_rating_as_many_times_the_makers_as_a_burst_pressure_is_called_one(list_folder, rating, said):
    """Handbook 1.3: hoses and fittings burst at four times their rating; the trade's 2.5 to 5."""
    line = judged(list_folder, kit(rating))
    [found] = [check for check in line.checks if check.code == "RAISED_RATING"]
    assert (f"{said} as much may be its burst pressure" in found.text) is bool(said)


@pytest.mark.parametrize("rating", ["3300 psi", "227 bar", "228 bar", ""])
def test_a_rating_that_only_repeats_the_makers_is_no_contradiction(list_folder, rating):
    found = codes(judged(list_folder, kit(rating)))
    assert not found & {"RAISED_RATING", "UNIT_MUDDLE", "BURST_ONLY", "PRESSURE_LOW"}


def test_a_burst_figure_is_named_and_lowers_the_line(list_folder):
    head = "Part number,Manufacturer,Description,Burst pressure,Price EUR"
    line = judged(list_folder, kit("13200 psi"), head=head)
    assert "BURST_ONLY" in codes(line)
    assert line.verdict in ("ask first", "do not fit")


def test_a_part_that_no_machine_of_ours_calls_for_is_not_judged(bypass, list_folder):
    bypass.part("31-7", "handle", description="Lever, locking")
    line = judged(list_folder, '31-7,Quillmere,"Lever, locking",,9.00')
    assert (line.reading, line.verdict) == ("offer", None)
    assert line.notes[0] == "no serviced machine of ours calls for it"


def test_one_code_with_two_prices_is_named_on_both_lines(list_folder):
    answer = vetted(list_folder, kit("3300 psi"), kit("3300 psi").replace("61.90", "16.90"))
    twins = [line for line in answer.lines if line.code == "24-1180"]
    assert len(twins) == 2
    assert all("DUPLICATE_CODE" in codes(line) for line in twins)
    assert all(line.verdict in ("ask first", "do not fit") for line in twins)


def test_where_a_part_is_called_for_itself_counts_before_what_it_may_stand_in_for(bypass, list_folder):
    (asked,), (part,) = catalogue.find_parts("24-1180"), catalogue.find_parts("24-1182")
    row = f'24-1182,Quillmere,"{BALL_AND_SEAT}, 3600 psi",3600 psi,71.90'
    bypass.edge(asked.id, part.id, "rejected", EvidenceLevel.MEASURED_HERE)
    head = {"head": RATED}
    lines = {line.code: line for line in vetted(list_folder, row, kit("3300 psi"), **head).lines}
    assert lines["24-1182"].verdict == "do not fit"
    bypass.position(bypass.machine("Q36"), "bypass valve", "valve kit", (part.id,), "3300 psi")
    lines = {line.code: line for line in vetted(list_folder, row, kit("3300 psi"), **head).lines}
    assert lines["24-1182"].verdict != "do not fit"


# Replacements


@pytest.mark.parametrize("rating", ["9000 psi", "3300 psi", "", "2500 psi"])
def test_a_replacement_on_the_suppliers_word_alone_is_never_fit(list_folder, rating):
    line = judged(list_folder, replacement(rating))
    assert (line.reading, line.number) == ("replacement", "24-1180")
    assert line.verdict in ("ask first", "do not fit")


def test_a_replacement_that_says_too_little_pressure_is_not_fitted(list_folder):
    line = judged(list_folder, replacement("2500 psi"))
    assert line.verdict == "do not fit"
    assert "PRESSURE_LOW" in codes(line)


def test_what_the_shop_has_accepted_counts_for_the_suppliers_part(bypass, list_folder):
    own = bypass.part("SR 7001", "valve kit", maker="Saltreeve", rating="3600 psi")
    (asked,) = catalogue.find_parts("24-1180")
    bypass.edge(asked.id, own, "rejected", EvidenceLevel.MEASURED_HERE)
    line = judged(list_folder, replacement("9000 psi"))
    assert line.verdict == "do not fit"
    assert any("rejected" in check.text for check in line.checks)
    row = edges.edge_of(asked.id, own)
    assert row is not None
    bypass.edge(asked.id, own, "accepted", conditions=("only with our sealant",))
    line = judged(list_folder, replacement("3600 psi"))
    (equivalence,) = [check for check in line.checks if check.check == "equivalence"]
    assert equivalence.outcome == "meets with conditions"


def test_a_barred_supplier_sells_nothing_that_is_fitted(bypass, list_folder):
    supplier = makers.find_supplier("Saltreeve")
    assert supplier is not None
    grades.set_grade(("supplier", supplier.id), "barred", reason="x", evidence="", by=BY)
    answer = vetted(list_folder, kit("3300 psi"), replacement("3300 psi"))
    assert {line.verdict for line in answer.lines if line.verdict} == {"do not fit"}
    assert answer.recommendation.startswith("Buy nothing from this list")


# New parts


def hose(rating: str) -> str:
    return f'AH-77,Ambrelle,"Hose, airless, 1/4 in x 15 m",{rating},44.00'


@pytest.fixture
def two_hoses(bypass: SmallShop) -> None:
    (known,) = catalogue.find_parts("27-1243")
    for model, pressure in (("Q28", "2800 psi"), ("Q40", "4000 psi")):
        bypass.position(bypass.machine(model), "hose", "hose", (known.id,), pressure)


@pytest.mark.usefixtures("two_hoses")
def test_a_new_part_is_asked_about_and_told_where_it_fails(list_folder):
    line = judged(list_folder, hose("3000 psi"))
    assert line.reading == "new part"
    assert line.verdict == "ask first"
    assert line.notes[0] == "not for Q40 hose"
    assert line.checks[0].code == "EVIDENCE_WEAK"


@pytest.mark.usefixtures("two_hoses")
def test_a_new_part_that_fails_everywhere_is_not_fitted(list_folder):
    line = judged(list_folder, hose("1000 psi"))
    assert line.verdict == "do not fit"
    assert "PRESSURE_LOW" in codes(line)


@pytest.mark.usefixtures("two_hoses")
def test_a_new_part_is_never_fit_however_strong_it_says_it_is(list_folder):
    assert judged(list_folder, hose("9000 psi")).verdict == "ask first"


def test_a_new_part_without_a_position_here_is_not_judged(list_folder):
    line = judged(list_folder, 'AG-5,Ambrelle,"Gauge, 63 mm, 0 to 400 bar",,21.00')
    assert (line.reading, line.verdict) == ("new part", None)
    assert "no serviced machine of ours has a position for it" in line.notes


# What is not ours, and what is no part


def test_what_is_not_ours_or_no_part_is_counted_and_not_judged(list_folder):
    answer = vetted(
        list_folder, "Hoses and kits,,,,", kit("3300 psi"), 'G1,,"Rake, garden, ash handle",,5.00',
        "Total,,,,66.90",
    )  # fmt: skip
    by_reading = {line.reading: line for line in answer.lines}
    assert by_reading["not ours"].verdict is None
    assert by_reading["not a part"].verdict is None
    assert answer.summary["lines"] == len(answer.lines)
    assert answer.summary["not_ours"] == 1
    assert [line.line for line in answer.lines] == list(range(1, len(answer.lines) + 1))


def test_a_code_that_lost_its_digits_is_to_review_and_asked_back(list_folder):
    answer = vetted(list_folder, kit("3300 psi"), '1.23E+11,Quillmere,"Valve kit",,5.00')
    assert answer.summary["to_review"] == 1
    assert "digits lost" in {sign.sign for sign in answer.signs}
    assert any("as text" in question for question in answer.questions)


# Machines


def test_only_the_machines_named_count(bypass, list_folder):
    (known,) = catalogue.find_parts("24-1180")
    bypass.position(bypass.machine("Q50"), "bypass valve", "valve kit", (known.id,), "5000 psi")
    assert judged(list_folder, kit("3300 psi")).verdict == "do not fit"
    q33 = judged(list_folder, kit("3300 psi"), machines=("Q33",))
    assert q33.verdict != "do not fit"
    assert judged(list_folder, kit("3300 psi"), machines=("Q33", "Q50")).verdict == "do not fit"
    assert vetted(list_folder, kit("3300 psi"), machines=("Q33",)).machines == ("Quillmere Q33",)


def test_a_shop_without_machines_is_told_to_load_them(small, tmp_path):
    small.part("24-1180", "valve kit")
    with pytest.raises(NotFoundError, match="no machine") as refused:
        vet(VetAsk(price_list(tmp_path, [kit("3300 psi")], head=RATED), DAY))
    assert "machine add" in refused.value.hint


# On arrival, and what is refused


def test_on_arrival_small_lots_are_inspected_whole(bypass, list_folder):
    """Trade handbook 6.3: N 20 D 2 needs 14, for ten kits inspect all ten; N 50 D 5 by its formula."""
    (known,) = catalogue.find_parts("27-1243")
    bypass.claim(known.id, ClaimKind.PORT, "9/16-18 JIC female", about="inlet")
    port = ("9/16-18 JIC male",)
    bypass.position(bypass.machine("Q28"), "hose", "hose", (known.id,), "2800 psi", ports=port)
    row = '27-1243,Quillmere,"Hose, airless, conductive, 1/4 in x 15 m, 3300 psi",,88.00'
    assert judged(list_folder, row).verdict == "fit"
    of_fifty = next(n for n in range(51) if comb(45, n) * 10 <= comb(50, n))
    said = vetted(list_folder, row, kit("")).inspect[0]
    assert (
        "parts that hold pressure: inspect every piece of a lot up to 10, "
        f"14 of a lot of 20, {of_fifty} of a lot of 50; none may fail"
    ) in said


def test_nothing_to_buy_is_nothing_to_inspect(list_folder):
    assert vetted(list_folder, replacement("")).inspect == ()


@pytest.mark.parametrize(
    ("more", "error"),
    [({"supplier": "Nobody"}, NotFoundError), ({"machines": ("Q99",)}, NotFoundError)],
)
def test_an_unknown_name_is_refused(list_folder, more, error):
    with pytest.raises(error):
        vetted(list_folder, kit(""), **more)


def test_a_missing_file_is_refused_with_its_name(list_folder):
    with pytest.raises(ReaderError, match=r"nowhere\.csv"):
        vet(VetAsk(list_folder / "nowhere.csv", DAY))


def test_a_file_named_like_a_number_is_the_file(list_folder, monkeypatch):
    monkeypatch.chdir(list_folder)
    price_list(list_folder, [kit("3300 psi")], head=RATED, name="7")
    assert vet(VetAsk(Path("7"), DAY)).file == "7"


def test_what_failed_here_unexplained_is_asked_about_in_a_list_too(bypass, list_folder):
    (asked,) = catalogue.find_parts("24-1180")
    back = bypass.failed_here(asked.id)
    assert "FAILED_HERE" in codes(judged(list_folder, kit("3300 psi")))
    bypass.explained(back)
    assert "FAILED_HERE" not in codes(judged(list_folder, kit("3300 psi")))


def test_a_list_never_fills_up_a_kit_that_the_shop_knows_to_lack_its_seat(bypass, list_folder):
    ball = KitItem("Ball", "ball", 1, "wear item", "tungsten carbide")
    seat = KitItem("Seat", "seat", 1, "wear item", "tungsten carbide")
    (asked,) = catalogue.find_parts("24-1180")
    claims.set_contents(asked.id, (ball, seat))
    own = bypass.part("SR 7001", "valve kit", maker="Saltreeve", rating="3600 psi", contents=(ball,))
    bypass.edge(asked.id, own)
    line = judged(list_folder, replacement("3600 psi", "; contents: WC ball; WC seat"))
    assert line.verdict == "do not fit"
    assert "KIT_INCOMPLETE" in codes(line)
