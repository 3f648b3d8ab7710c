"""Every sign that is planted in the suppliers' lists is shown, line by line; none on clean lists.

The key (fixtures/README.md, "The hazards") says what each line truly is. The shop has read all
three lists, so that what two others ask is known when the third is vetted.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from shop_lists import DAY, FIXTURES, LISTS

from partsdb.jobs.list_answers import VetAnswer
from partsdb.jobs.vet import VetAsk, vet
from partsdb.rules.roles import role_named
from partsdb.store import catalogue, offers
from partsdb.store.claims import part_facts
from partsdb.store.connect import open_database

# Hazard -> the signs of which one must stand on each line that bears it.
SIGNS = {
    "under-rated": {"pressure too low"},
    "burst-as-working": {
        "pressure too low",
        "burst quoted as rating",
        "rating above the maker's own",
    },
    "rating-missing": {"rating missing"},
    "unit-muddle": {"bar and psi muddled"},
    "thread-look-alike": {"thread look-alike"},
    "softer-ball": {"softer material"},
    "softer-seat": {"softer material"},
    "material-unnamed": {"material unnamed"},
    "kit-without-ring": {"kit incomplete", "kit contents unstated"},
    "kit-without-sealant": {"kit incomplete", "kit contents unstated"},
    "sch40-nipple": {"pressure too low", "rating missing"},
    "superseded": {"old series"},
    "duplicate-code": {"same code, another price"},
    "raised-rating": {"rating above the maker's own"},
}
CHEAP = "price far below the others"
MAKERS = ("Quillmere", "Tarnbeck", "Vossgrund", "Ambrelle", "Corrowby", "Pellmarch")


def keyed(name: str) -> list[dict[str, str]]:
    with (FIXTURES / "key" / f"{Path(name).stem}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def place(row: dict[str, str]) -> str:
    return f"{row['sheet']} row {row['row']}".strip()


@pytest.fixture(scope="module")
def vetted(built_shop_with_lists: Path) -> dict[str, VetAnswer]:
    answers = {}
    for supplier, name in LISTS:
        with open_database(built_shop_with_lists):
            answers[name] = vet(VetAsk(FIXTURES / "lists" / name, DAY, supplier))
    return answers


def shown(answer: VetAnswer) -> dict[str, set[str]]:
    """The signs that each line is asked about."""
    found: dict[str, set[str]] = {}
    for each in answer.asked:
        found.setdefault(each.place, set()).add(each.about)
    return found


def planted(name: str, hazard: str) -> list[dict[str, str]]:
    return [row for row in keyed(name) if row["hazard"] == hazard]


@pytest.mark.parametrize("hazard", SIGNS)
def test_every_planted_sign_is_shown_on_its_line(hazard, vetted):
    for name, answer in vetted.items():
        rows, signs = planted(name, hazard), shown(answer)
        missed = [place(row) for row in rows if not SIGNS[hazard] & signs.get(place(row), set())]
        assert len(rows) >= 4
        assert missed == [], name


def test_every_number_near_one_of_a_makers_own_is_asked_about_unless_it_is_ours(vetted):
    """README: as an offer it is another part of ours under its own words, and right."""
    for name, answer in vetted.items():
        signs = shown(answer)
        near = [row for row in planted(name, "near-miss-number") if row["reading"] != "offer"]
        assert len(near) >= 6
        assert all("near-miss number" in signs[place(row)] for row in near), name


def quoted_elsewhere(name: str, row: dict[str, str]) -> bool:
    """Say whether another list soundly offers the part that the line sells or replaces."""
    return any(
        (other["maker"], other["number"]) == (row["maker"], row["number"])
        and (other["reading"], other["hazard"]) == ("offer", "")
        for _, others in LISTS
        if others != name
        for other in keyed(others)
    )


def test_every_price_far_too_low_that_has_another_beside_it_is_shown(vetted):
    alone = 0
    for name, answer in vetted.items():
        rows, signs = planted(name, "price-far-too-low"), shown(answer)
        assert len(rows) == 7
        for row in rows:
            is_shown = CHEAP in signs.get(place(row), set())
            assert is_shown or not quoted_elsewhere(name, row), f"{name} {place(row)}"
            alone += not is_shown
    assert alone <= 3  # nobody quotes them, and nothing in the list reads alike


def test_few_prices_are_called_too_low_that_are_not(vetted):
    for name, answer in vetted.items():
        sound = {place(row) for row in planted(name, "")}
        wrong = [at for at, signs in shown(answer).items() if CHEAP in signs and at in sound]
        assert len(wrong) <= 0.01 * len(sound), wrong


def test_a_price_a_hundred_times_too_low_is_told_as_a_slip(vetted):
    """An o-ring is priced for one in one list and per hundred in another."""
    said = [check.text for a in vetted.values() for line in a.lines for check in line.checks]
    assert any("about 1/100" in text for text in said)


# Clean lists


def sound_parts(maker: str) -> list[str]:
    """The numbers of a maker that the keys call safe and genuine, whichever list names them."""
    rows = [row for _, name in LISTS for row in keyed(name) if row["maker"] == maker]
    flawed = {row["number"] for row in rows if row["safe"] != "yes" or row["hazard"]}
    with (FIXTURES / "shop" / "supersessions.csv").open(encoding="utf-8") as file:
        flawed |= {row["old_number"] for row in csv.DictReader(file) if row["old_maker"] == maker}
    return sorted({row["number"] for row in rows if row["reading"] == "offer"} - flawed)


def clean_list(path: Path, maker: str) -> int:
    """Write a list of one maker's sound parts as he describes and rates them, at a usual price."""
    found = [part for number in sound_parts(maker) for part in catalogue.find_parts(number, maker)]
    facts = part_facts(part.id for part in found)
    live = {offer.part_id: offer for offer in offers.live_offers(facts, DAY)}
    rows = []
    for part in found:
        offer, claims = live.get(part.id), facts[part.id].claims
        rated = [c.value for c in claims if c.kind == "rating" and c.basis == "working"]
        if offer and (rated or not role_named(part.role).holds_pressure):
            price = f"{offer.price_e4 / offer.price_per / 10_000:.2f}"
            said = part.description, rated[0] if rated else ""
            rows.append((part.number, maker, *said, price, offer.currency))
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        head = ("Part number", "Manufacturer", "Description", "Working pressure", "Price")
        writer.writerows([(*head, "Currency"), *rows])
    return len(rows)


@pytest.mark.parametrize("maker", MAKERS)
def test_no_clean_list_is_called_bad(maker, built_shop_with_lists, tmp_path):
    path = tmp_path / "clean.csv"
    with open_database(built_shop_with_lists):
        lines = clean_list(path, maker)
        answer = vet(VetAsk(path, DAY))
    assert lines >= 5
    assert [(sign.sign, sign.examples) for sign in answer.signs] == []
    assert answer.summary["offer"] == lines
    assert answer.recommendation.startswith("No sign of a bad list.")


def test_the_clean_list_is_not_called_bad_beside_the_others_prices(built_shop_with_lists):
    with open_database(built_shop_with_lists):
        answer = vet(VetAsk(FIXTURES / "lists" / "clean_quillmere.csv", DAY))
    assert answer.signs == ()
