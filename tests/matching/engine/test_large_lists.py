"""A list read in bulk through the index gets the very readings that it gets line by line."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from partsdb.matching import sense
from partsdb.matching.context import ListContext, PastDecision, decision_key, wrong_key
from partsdb.matching.readings import CatalogueEntry, LineText, Reading, ReadingKind
from tests.bench import invented
from tests.matching.engine.two_ways import TwoWays

LINES, PARTS = 3000, 4000
MAKERS = ("Quillmere", "Tarnbeck", "Corrowby", "Kestrow")
CONTEXT = ListContext("Kestrow", frozenset({"Kestrow"}), {name: name for name in invented.MAKERS})
ODD = ListContext("Kestrow", frozenset({"Kestrow"}), {name: name for name in MAKERS})


@pytest.fixture(scope="module")
def parts() -> list[tuple[int, str, str, str]]:
    return list(invented.parts(PARTS, seed=11))


@pytest.fixture(scope="module")
def shop(parts, tmp_path_factory: pytest.TempPathFactory) -> TwoWays:
    entries = [CatalogueEntry(i, maker, number, text) for i, maker, number, text in parts]
    return TwoWays(tmp_path_factory.mktemp("large"), entries)


@pytest.fixture(scope="module")
def rows(parts) -> list[tuple[LineText, int, str]]:
    """Lines with the part that each truly is (0: none) and what was done to its number."""
    rng = random.Random(5)
    found = []
    for at, (code, text, maker, truth, kind) in enumerate(invented.lines(parts, LINES, seed=12)):
        replaces = ""
        if rng.random() < 0.1:
            _, other, number, _ = parts[rng.randrange(len(parts))]
            replaces = f"{other} {number}" if rng.random() < 0.5 else number
        line = LineText(f"row {at}", code, text, maker, replaces=replaces)
        found.append((line, int(truth), str(kind)))
    return found


@pytest.fixture(scope="module")
def both(shop: TwoWays, rows) -> list[tuple[Reading, Reading]]:
    lines = [line for line, _, _ in rows]
    return list(zip(shop.in_bulk(lines, CONTEXT), shop.by_line(lines, CONTEXT), strict=True))


def test_lane_part_reason_and_candidates_are_the_same_for_every_line(both):
    assert [one for one, other in both if one != other] == []
    kinds = Counter(one.kind for one, _ in both)
    for kind in ReadingKind:
        assert kinds[kind] > 100 or kind is ReadingKind.NOT_A_PART, kinds


def test_no_near_miss_becomes_an_offer(both, rows):
    made = [
        (line.code, reading.part_id)
        for (reading, _), (line, truth, kind) in zip(both, rows, strict=True)
        if kind in ("near", "transposition") and not truth and reading.kind is ReadingKind.OFFER
    ]
    assert made == []
    assert sum(kind == "near" for _, _, kind in rows) > LINES / 10


def test_no_offer_is_another_part_than_the_line_truly_is(both, rows):
    wrong = [
        (line.code, reading.part_id, truth)
        for (reading, _), (line, truth, _) in zip(both, rows, strict=True)
        if reading.kind is ReadingKind.OFFER and reading.part_id != truth
    ]
    assert wrong == []
    assert sum(reading.kind is ReadingKind.OFFER for reading, _ in both) > LINES / 4


def test_a_question_carries_the_candidates_that_the_whole_catalogue_offers(both, rows):
    near = [
        reading
        for (reading, _), (_, _, kind) in zip(both, rows, strict=True)
        if kind == "near" and reading.kind is ReadingKind.TO_REVIEW
    ]
    assert near
    assert all(1 <= len(each.candidates) <= 5 for each in near)
    assert all(len({c.part_id for c in each.candidates}) == len(each.candidates) for each in near)


# Numbers made of look-alikes, zeros and short runs: everything lies near everything.
SIGNS = "0O1IS5B8Z2-A3.4 C/"
SHEETS = ("05-Mar", "3-12", "03/05", "MAR5", "1E5", "12E03", "0012", "123456789012", "1,234", "12.50",
          "1.5", "1234567890123456789", "3-05", "61.2690", "00" + "7" * 20, "9" * 60)  # fmt: skip
WORDS = ["valve", "kit", "packing", "ball", "seat", "ventil", "kugel", "messing", "brass", "VLV", "PKG", "SS", "1/4", "3/8", "NPT", "0.015", "0.017", "12", "mm", "16", "M", "250", "bar", "3000", "psi", "110V", "230V", "upper", "lower", "links", "rechts", "Q33", "Q36", "for", "with", "M24x1.5", "leather", "replaces", "24-1180", "ersetzt", "OEM", "100", "-12", "Ø", "½", "naïve", "Verschraubung"]


def _number(rng: random.Random) -> str:
    form = rng.random()
    if form < 0.5:
        return "".join(rng.choice(SIGNS) for _ in range(rng.randrange(1, 9)))
    if form < 0.65:
        return f"{rng.randrange(1000)}{rng.choice(['', '-', '.', ' '])}{rng.randrange(1000)}"
    if form < 0.75:
        return rng.choice(SHEETS)
    if form < 0.8:
        return "X" * rng.randrange(40, 56) + str(rng.randrange(3))
    if form < 0.9:
        return rng.choice(["AB", "XQ-", "CW ", "NF-"]) + str(rng.randrange(9990, 10040))
    return str(rng.randrange(10000, 10060))


def _slipped(number: str, rng: random.Random) -> str:
    at = rng.randrange(len(number))
    head, tail = number[:at], number[at + 1 :]
    return rng.choice((
        number, number, head + rng.choice(SIGNS) + tail, head + tail,
        head + rng.choice(SIGNS) + number[at:], head + tail[:1] + number[at] + tail[1:],
        rng.choice(("XQ-", "NF-", "AB", "Q")) + number, number + rng.choice(("A", "-NF", "X1")),
        number[:-2], number.replace("0", "O").replace("1", "I"), number.lstrip("0"),
        f"{number}.0", f"1.23457E+{len(number)}",
    ))  # fmt: skip


def _text(rng: random.Random) -> str:
    return " ".join(rng.choice(WORDS) + rng.choice(("", ",")) for _ in range(rng.randrange(9)))


def odd_parts(count: int, rng: random.Random, first: int = 1) -> list[CatalogueEntry]:
    roles, ratings = ("", "valve kit", "ball", "packing", "seat"), ("", "", "250 bar")
    return [
        CatalogueEntry(part_id, rng.choice(MAKERS), _number(rng), _text(rng), rng.choice(roles),
                       rng.choice(ratings))
        for part_id in range(first, first + count)
    ]  # fmt: skip


def odd_lines(parts: list[CatalogueEntry], count: int, rng: random.Random) -> list[LineText]:
    lines = []
    for at in range(count):
        part, other, third = (rng.choice(parts) for _ in range(3))
        claims = ("", "", "", _slipped(other.number, rng),
                  f"OEM no. {_slipped(other.number, rng)} and {third.maker} {third.number}")  # fmt: skip
        lines.append(
            LineText(
                str(at),
                _slipped(part.number, rng) if rng.random() < 0.85 else rng.choice(("", " ")),
                part.description if rng.random() < 0.5 else _text(rng),
                rng.choice(("", "", part.maker, "Nobody")),
                rng.choice(("", "", "", _slipped(other.number, rng))),
                rng.choice(claims),
                rng.choice(("", "200 bar")),
            )
        )
    return lines


def differing(shop: TwoWays, lines: list[LineText], context: ListContext = ODD) -> list[object]:
    both = zip(lines, shop.in_bulk(lines, context), shop.by_line(lines, context), strict=True)
    return [(line, one, other) for line, one, other in both if one != other]


@pytest.mark.parametrize("seed", range(12))
def test_odd_catalogues_and_lists_are_read_alike(tmp_path: Path, seed: int):
    rng = random.Random(seed)
    parts = odd_parts((3, 40, 300, 900)[seed % 4], rng)
    assert differing(TwoWays(tmp_path, parts), odd_lines(parts, 150, rng)) == []


@pytest.mark.parametrize("seed", range(3))
def test_a_catalogue_that_changed_is_read_alike_through_the_index_that_notes_the_changes(
    tmp_path: Path, seed: int
):
    rng = random.Random(100 + seed)
    parts = odd_parts(300, rng)
    shop = TwoWays(tmp_path, parts)
    late = odd_parts(40, rng, first=281)
    shop.change(late, range(1, 25))
    assert shop.indexed().index.delta is not None
    now = list(shop.entries.values())
    assert len(now) == 320 - 24
    assert differing(shop, odd_lines([*now, *parts[:24]], 200, rng)) == []


def test_a_catalogue_of_which_a_sample_speaks_is_read_alike(
    shop: TwoWays, rows, monkeypatch: pytest.MonkeyPatch
):
    lines = [line for line, _, _ in rows[:600]]
    before = shop.by_line(lines, CONTEXT)
    monkeypatch.setattr(sense, "SAMPLED", 150)
    assert differing(shop, lines, CONTEXT) == []
    assert shop.by_line(lines, CONTEXT) != before


@pytest.mark.parametrize(
    ("code", "number"),
    [
        ("1.23457E+11", "123456789012"), ("05-Mar", "3-05"), ("03.05.2026", "3-05"), ("61.269", "61.2690"),
        ("1,234", "1234"), ("7E12", "7000000000000"), ("4812", "0004812"), ("12.0", "12"),
        ("241180", "24-118O"), ("24-11800", "24-1180"), ("24-1810", "24-1180"), ("24118", "24-1180"),
        ("QM24-1180", "24-1180"), ("KW 50434", "CW 50434"), ("50434", "CW 50434"), ("24-11", "24-1180"),
        ("СW 50434", "CW 50434"), ("SB-I200", "5B1200"),
    ],
)  # fmt: skip
def test_each_way_in_which_a_number_leads_to_a_part_leads_there_through_the_index(
    tmp_path: Path, code: str, number: str
):
    text = "Packing kit, solvent, Q33E, 18 mm, PTFE"
    shop = TwoWays(tmp_path, [CatalogueEntry(7, "Corrowby", number, text, "packing kit")])
    (bulk_,), (small,) = (
        way([LineText("row 1", code, text)], ODD) for way in (shop.in_bulk, shop.by_line)
    )
    assert bulk_ == small
    assert 7 in (bulk_.part_id, *(each.part_id for each in bulk_.candidates))


def test_a_line_without_a_number_is_offered_the_parts_of_its_words_in_either_language(
    tmp_path: Path,
):
    rng = random.Random(3)
    texts = [f"{rng.choice(('Hose', 'Gun', 'Lance'))}, {at} mm, brass" for at in range(300)]
    entries = [CatalogueEntry(at, "Quillmere", f"24-{1000 + at}", t) for at, t in enumerate(texts, 1)]
    shop = TwoWays(tmp_path, [*entries, CatalogueEntry(999, "Tarnbeck", "7", "VLV kit, NPT, leather")])
    lines = [LineText("1", "", "Valve kit, NPT, leather"), LineText("2", "", "VLV KIT NPT LEDER"),
             LineText("3", "", "Schlauch, 12 mm, Messing")]  # fmt: skip
    assert differing(shop, lines) == []
    found = shop.in_bulk(lines, ODD)
    assert [reading.kind for reading in found[:2]] == [ReadingKind.TO_REVIEW] * 2
    assert [reading.candidates[0].part_id for reading in found[:2]] == [999, 999]


def test_a_prefix_is_learned_alike_and_none_that_tells_parts_apart(tmp_path: Path):
    parts = [
        CatalogueEntry(at, "Quillmere", f"24-{1100 + 7 * at}", f"Seat, {at} mm, brass", "seat")
        for at in range(1, 30)
    ]
    lines = [LineText(str(p.part_id), f"NF-{p.number}", p.description) for p in parts[:12]]
    lines.append(LineText("13", "NF-24-1108", "Seat, 1 mm, brass"))
    shop = TwoWays(tmp_path / "one", parts)
    assert differing(shop, lines) == []
    kinds = Counter(reading.kind for reading in shop.in_bulk(lines, ODD))
    assert kinds == {ReadingKind.OFFER: 12, ReadingKind.TO_REVIEW: 1}
    # Where the catalogue has the numbers with and without it, the prefix means another part.
    marked = [CatalogueEntry(100 + p.part_id, "Quillmere", f"NF24-{at}99", p.description, "seat")
              for at, p in enumerate(parts)]  # fmt: skip
    plain = [CatalogueEntry(200 + p.part_id, "Quillmere", f"24-{at}99", p.description, "seat")
             for at, p in enumerate(parts)]  # fmt: skip
    other = TwoWays(tmp_path / "two", [*parts, *marked, *plain])
    assert differing(other, lines) == []
    assert ReadingKind.OFFER not in {reading.kind for reading in other.in_bulk(lines[:12], ODD)}


def _exact(shop: TwoWays, rows) -> tuple[LineText, int]:
    """A line that is taken for an offer by its number as printed."""
    lines = [line for line, _, kind in rows if kind == "exact" and not line.replaces]
    found = zip(lines, shop.in_bulk(lines, CONTEXT), strict=True)
    return next((line, r.part_id) for line, r in found if r.kind is ReadingKind.OFFER)


def test_what_a_person_decided_stands_and_what_was_a_wrong_match_is_no_offer(shop, rows):
    line, part_id = _exact(shop, rows)
    decided = PastDecision(ReadingKind.NEW_PART)
    told = ListContext("Kestrow", decisions={decision_key(line): decided})
    assert shop.in_bulk([line], told)[0].kind is ReadingKind.NEW_PART
    told = ListContext("Kestrow", wrong={wrong_key(line): frozenset({part_id})})
    (reading,) = shop.in_bulk([line], told)
    assert (reading.kind, reading.part_id) == (ReadingKind.TO_REVIEW, None)
    assert differing(shop, [line], told) == []


@pytest.mark.parametrize(
    ("changed", "why"),
    [({"maker": "Brindlemoor"}, "another maker"), ({"thread": "M30x2"}, "another thread")],
)
def test_what_the_columns_contradict_is_no_offer(tmp_path: Path, changed: dict[str, str], why: str):
    text = "Nipple, outlet, 1/4 NPT, carbon steel"
    shop = TwoWays(tmp_path, [CatalogueEntry(1, "Quillmere", "28-1222", text, "nipple")])
    fields = {"place": "row 1", "code": "28-1222", "description": text, "maker": "Quillmere"}
    assert shop.in_bulk([LineText(**fields)], CONTEXT)[0].kind is ReadingKind.OFFER
    (reading,) = shop.in_bulk([LineText(**(fields | changed))], CONTEXT)
    assert reading.kind is not ReadingKind.OFFER, why


def test_a_line_of_a_number_alone_is_an_offer_of_that_number(shop, rows):
    lines = [LineText(line.place, line.code) for line, _, kind in rows if kind == "exact"][:50]
    assert differing(shop, lines, CONTEXT) == []
    assert ReadingKind.OFFER in {reading.kind for reading in shop.in_bulk(lines, CONTEXT)}


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"code": "SR 1", "description": "Bypass valve kit (24-1180)"}, "mentions a number of ours"),
        ({"code": "24-1247", "maker": "Quillmere", "maker_number": "24-1180"}, "its code is"),
    ],
)
def test_a_number_that_stands_beside_the_lines_own_is_seen_as_well(
    tmp_path: Path, fields: dict[str, str], why: str
):
    text = "Valve kit, bypass, Q33, 1/4 NPT, 3300 psi"
    numbers = ("24-1180", "24-1247")
    shop = TwoWays(
        tmp_path,
        [CatalogueEntry(i, "Quillmere", n, text, "valve kit") for i, n in enumerate(numbers, 1)],
    )
    line = LineText("row 1", **({"description": text} | fields))
    assert differing(shop, [line]) == []
    (reading,) = shop.in_bulk([line], ODD)
    assert reading.kind is ReadingKind.TO_REVIEW
    assert any(why in told.text for told in reading.evidence)
