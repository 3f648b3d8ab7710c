"""Taking in the shop's own files: wholly or not at all, the same again changes nothing."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from importers.rows import ReaderError
from partsdb.errors import InputRefusedError, NotFoundError, UsageError
from partsdb.jobs import catalogue as jobs
from partsdb.jobs.shop_files import FileRefusedError, LoadCount
from partsdb.rules.facts import ClaimKind
from partsdb.rules.pressure import Pressure, demand
from partsdb.rules.surges import highest_demand
from partsdb.store import catalogue, claims, edges, events, grades, machines, makers, recipes, terms
from partsdb.store.connect import init_database, open_database

FIXTURES = Path(__file__).parents[2] / "fixtures" / "shop"

PARTS = """maker,number,description,role,weight_g,origin,heading
Quillmere,24-1180,"Valve kit, bypass",valve kit,260,GB,8481.90
Quillmere,24-1182,"Valve kit, bypass, carbide",valve kit,,,
Corrowby,CW 40311,"Valve kit, copy",valve kit,,,
Quillmere,31-7,Lever,handle,,,
Quillmere,31-8,"Lever, long",handle,,,
"""


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("empty") / "shop.db"
    init_database(place)
    return place


@pytest.fixture
def database(empty: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("PARTSDB_USER", "Ilse")
    place = Path(shutil.copy(empty, tmp_path / "shop.db"))
    with open_database(place, write=True):
        yield place


@pytest.fixture
def folder(database: Path, tmp_path: Path) -> Path:
    """A folder with the parts above, already taken in."""
    place = tmp_path / "shop"
    place.mkdir()
    load(place, "parts", PARTS)
    return place


def load(folder: Path, kind: str, text: str) -> LoadCount:
    path = folder / f"{kind}.csv"
    path.write_text(text, encoding="utf-8")
    return jobs.load_file(kind, path).files[0]


def counts(count: LoadCount) -> tuple[int, int, int]:
    return count.added, count.same, count.changed


def problems(folder: Path, kind: str, text: str) -> tuple[str, ...]:
    with pytest.raises(FileRefusedError) as caught:
        load(folder, kind, text)
    assert caught.value.exit_code == 3
    assert "nothing was stored" in caught.value.hint
    return caught.value.problems


# The demo shop


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("demo") / "shop.db"
    init_database(place)
    with open_database(place, write=True):
        jobs.load_shop(FIXTURES)
    return place


def rows_of(name: str) -> int:
    import csv

    with (FIXTURES / name).open(encoding="utf-8", newline="") as file:
        return sum(1 for _ in csv.DictReader(file))


def test_every_row_of_the_demo_shop_is_stored(demo):
    with open_database(demo):
        assert len(list(catalogue.catalogue_entries())) == rows_of("parts.csv")
        assert len(terms.duty_rows()) == rows_of("duty.csv")
        assert len(makers.supplier_rows()) == rows_of("suppliers.csv")
        assert len(grades.grade_rows()) == rows_of("grades.csv")
        items = sum(len(recipe.items) for recipe in recipes.recipe_rows())
        assert items == rows_of("recipes.csv")


def test_the_demo_shop_loaded_again_changes_nothing(demo):
    with open_database(demo, write=True):
        before = events.history(limit=1)[0].id
        again = jobs.load_shop(FIXTURES)
        assert {(f.added, f.changed) for f in again.files} == {(0, 0)}
        assert all(f.same for f in again.files)
        assert events.history(limit=1)[0].id == before


def test_the_files_are_taken_in_the_order_in_which_they_need_each_other():
    names = [kind.format.name for kind in jobs.KINDS.values()]
    assert names[0] == "parts.csv"
    assert names.index("machines.csv") < names.index("recipes.csv")
    assert names.index("suppliers.csv") < names.index("terms.csv")


def test_a_folder_without_the_files_is_refused(tmp_path, database):
    with pytest.raises(UsageError, match="none of the shop's files"):
        jobs.load_shop(tmp_path)
    with pytest.raises(UsageError, match="is not a folder"):
        jobs.load_shop(tmp_path / "nowhere")


def test_a_mistake_in_the_last_file_keeps_the_first_out_too(tmp_path, empty):
    place = Path(shutil.copy(empty, tmp_path / "shop.db"))
    (tmp_path / "parts.csv").write_text(PARTS, encoding="utf-8")
    (tmp_path / "grades.csv").write_text(
        "subject_kind,subject,grade,reason,evidence\nmaker,Quillmere,E,good,\n", encoding="utf-8"
    )
    with pytest.raises(FileRefusedError), open_database(place, write=True):
        jobs.load_shop(tmp_path)
    with open_database(place):
        assert list(catalogue.catalogue_entries()) == []


# Parts


def test_parts_are_added_left_or_changed_and_every_change_is_recorded(folder):
    changed = (
        PARTS.replace("Lever,handle", "Lever of acetal,handle") + "Quillmere,31-9,Cap,pin,,,\n"
    )
    assert counts(load(folder, "parts", changed)) == (1, 4, 1)
    (part,) = catalogue.find_parts("31-7")
    assert part.description == "Lever of acetal"
    event = events.history("part", part.id)[0]
    assert (event.action, event.who) == ("change", "Ilse")
    assert event.detail["was"]["description"] == "Lever"


def test_an_empty_cell_takes_nothing_away(folder):
    bare = "maker,number,description,role\nQuillmere,24-1180,,\n"
    assert counts(load(folder, "parts", bare)) == (0, 1, 0)
    (part,) = catalogue.find_parts("24-1180")
    assert (part.description, part.role, part.weight_g) == ("Valve kit, bypass", "valve kit", 260)
    for note in ("late twice", ""):
        load(folder, "suppliers", f"supplier,own_brand,note\nSaltreeve,Corrowby,{note}\n")
    saltreeve = makers.find_supplier("Saltreeve")
    assert (saltreeve.own_brand, saltreeve.note) == ("Corrowby", "late twice")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (",24-1,x,pin,,,", "row 2, column maker: is empty"),
        ("Quillmere,,x,pin,,,", "row 2, column number: is empty"),
        ("Quillmere,24-1,x,flange,,,", "row 2, column role: 'flange' is none of: valve kit,"),
        ("Quillmere,24-1,x,pin,heavy,,", "row 2, column weight_g: 'heavy' is no whole number"),
        ("Quillmere,24-1,x,pin,-5,,", "row 2, column weight_g: '-5' is no whole number"),
        ("Quillmere,24-1,x,pin,1.5,,", "row 2, column weight_g: '1.5' is no whole number"),
        ("Quillmere,24-1,x,pin,²,,", "row 2, column weight_g: '²' is no whole number"),
    ],
)
def test_a_bad_cell_is_named_with_row_and_column(folder, row, said):
    (problem,) = problems(folder, "parts", f"{PARTS.splitlines()[0]}\n{row}\n")
    assert problem.startswith(said)


def test_every_bad_row_is_named_at_most_twenty_shown_and_all_counted(folder):
    rows = "".join(f"Quillmere,N-{n},x,flange,,,\n" for n in range(30))
    with pytest.raises(FileRefusedError) as caught:
        load(folder, "parts", PARTS.splitlines()[0] + "\n" + rows)
    text = str(caught.value)
    assert "30 mistakes" in text
    assert text.count("column role") == 20
    assert "and 10 more" in text
    assert len(caught.value.problems) == 30


def test_a_number_that_stands_twice_and_differs_is_refused(folder):
    (problem,) = problems(folder, "parts", PARTS + "quillmere,31-7,Another lever,handle,,,\n")
    assert "stands twice, and differs" in problem


def test_a_missing_column_is_named_by_the_reader(folder):
    with pytest.raises(ReaderError, match="'role'"):
        load(folder, "parts", "maker,number,description\nQuillmere,24-1,x\n")


# Claims

CLAIMS = "maker,number,kind,about,value,basis,evidence,source\n"


def claimed(*rows: str) -> str:
    return CLAIMS + "".join(f"Quillmere,24-1180,{row}\n" for row in rows)


def values(kind: ClaimKind) -> list[str]:
    (part,) = catalogue.find_parts("24-1180")
    return [row.claim.value for row in claims.claims_of([part.id]) if row.claim.kind is kind]


def test_a_value_that_its_source_corrects_is_superseded_and_kept(folder):
    load(folder, "claims", claimed("rating,,3300 psi,working,maker's document,QH-7"))
    corrected = claimed("rating,,3000 psi,working,maker's document,QH-7")
    assert counts(load(folder, "claims", corrected)) == (0, 0, 1)
    assert values(ClaimKind.RATING) == ["3000 psi"]
    assert counts(load(folder, "claims", corrected)) == (0, 1, 0)


def test_another_source_stands_beside_the_first(folder):
    load(folder, "claims", claimed("rating,,3300 psi,working,maker's document,QH-7"))
    load(folder, "claims", claimed("rating,,3600 psi,working,supplier's word,Ninefold row 7"))
    assert sorted(values(ClaimKind.RATING)) == ["3300 psi", "3600 psi"]


def test_several_fluids_stand_beside_each_other(folder):
    text = claimed(*(f"fluid,,{f},,maker's document,QH-7" for f in ("water", "mineral spirits")))
    assert counts(load(folder, "claims", text)) == (2, 0, 0)
    load(folder, "claims", claimed("fluid,,diesel,,maker's document,QH-7"))
    assert sorted(values(ClaimKind.FLUID)) == ["diesel", "mineral spirits", "water"]


def test_both_figures_of_a_dual_label_are_kept_and_stay_when_loaded_again(folder):
    both = claimed(*(f"rating,,{v},working,maker's document,QH-7" for v in ("3300 psi", "227 bar")))
    assert counts(load(folder, "claims", both)) == (2, 0, 0)
    assert counts(load(folder, "claims", both)) == (0, 2, 0)


def test_a_rating_without_a_pressure_is_kept_and_shown_nothing_by(folder):
    count = load(folder, "claims", claimed("rating,,heavy duty,,supplier's word,row 7"))
    assert count.added == 1
    assert "row 2, column value" in count.cautions[0]
    (part,) = catalogue.find_parts("24-1180")
    assert claims.claims_of([part.id])[0].pascals is None


@pytest.mark.parametrize("source", ["", "n/a"])
def test_a_rating_that_names_no_document_is_kept_and_said_to_show_nothing(folder, source):
    text = claimed(f"rating,,3300 psi,working,maker's document,{source}")
    count = load(folder, "claims", text)
    assert count.added == 1
    assert count.cautions == (
        "claims.csv row 2, column source: a rating that names no document and page shows nothing",
    )


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Quillmere,99-1,rating,,3300 psi,,maker's document,x", "no part Quillmere 99-1 is known"),
        ("Quillmere,24-118O,rating,,3300 psi,,maker's document,x", "may be 24-1180"),
        ("Quillmere,24-1180,colour,,red,,maker's document,x", "'colour' is none of: rating,"),
        (
            "Quillmere,24-1180,rating,,3300 psi,,hearsay,x",
            "'hearsay' is none of: maker's document,",
        ),
        (
            "Quillmere,24-1180,rating,,3300 psi,peak,maker's document,x",
            "'peak' is none of: working,",
        ),
        ("Quillmere,24-1180,rating,,,,maker's document,x", "column value: is empty"),
    ],
)
def test_a_claim_that_cannot_be_placed_is_refused(folder, row, said):
    (problem,) = problems(folder, "claims", f"{CLAIMS}{row}\n")
    assert said in problem


# Kits

KITS = "maker,number,item,role,quantity,kind,material,size\n"


def test_a_kits_rows_are_all_of_its_contents(folder):
    both = KITS + "".join(f"Quillmere,24-1180,{r},{r},1,wear item,,\n" for r in ("ball", "seat"))
    assert counts(load(folder, "kits", both)) == (1, 0, 0)
    assert counts(load(folder, "kits", both)) == (0, 1, 0)
    less = KITS + "Quillmere,24-1180,ball,ball,1,wear item,,\n"
    assert counts(load(folder, "kits", less)) == (0, 0, 1)
    (part,) = catalogue.find_parts("24-1180")
    assert [item.role for item in claims.contents_of([part.id])[part.id]] == ["ball"]
    assert len(events.history("part", part.id)[0].detail["was"]) == 2


@pytest.mark.parametrize("quantity", ["0", "-1", "two", "1.5"])
def test_a_quantity_is_a_whole_number_of_at_least_one(folder, quantity):
    (problem,) = problems(
        folder, "kits", f"{KITS}Quillmere,24-1180,ball,ball,{quantity},wear item,,\n"
    )
    assert "column quantity" in problem


# Machines and recipes

MACHINES = """maker,model,kind,position,role,pressure,temp_c_max,fluids,ports,materials,sizes,block_material,part_maker,part_number,quantity
Quillmere,Q33,airless pump,bypass valve,valve kit,3300 psi,50,water-borne,1/4-18 NPT female,ball=tungsten carbide,bore_mm=16,aluminium,Quillmere,24-1180,1
Quillmere,Q33,,bypass valve,,,,,,,,,Quillmere,24-1182,2
Quillmere,Q33,airless pump,lever,handle,,,,,,,,Quillmere,31-7,1
"""


def with_margin(stall: str = "", percent: str = "", lever: str = ",") -> str:
    """The machines, with what the Q33 reaches stated in its first row and, if at all, the last."""
    head, bypass, further, handle = MACHINES.splitlines()
    return "\n".join(
        (f"{head},stall,overshoot_percent", f"{bypass},{stall},{percent}", f"{further},,",
         f"{handle},{lever}", "")
    )  # fmt: skip


def reached(position: str = "bypass valve") -> Pressure | None:
    (q33,) = machines.find_machine("Q33")
    found = machines.find_position(q33.id, position)
    assert found is not None
    return highest_demand(found.demand)


@pytest.mark.parametrize(
    ("stall", "percent", "psi"),
    [("", "", 3300), ("3600 psi", "", 3600), ("", "10", 3630), ("3600 psi", "10", 3630)],
)
def test_what_a_machine_reaches_is_stored_and_asked_of_its_positions(folder, stall, percent, psi):
    """Handbook 1.5: the stall pressure; 3300 psi and 10 % are 3630 psi, by hand."""
    assert counts(load(folder, "machines", with_margin(stall, percent))) == (2, 0, 0)
    assert counts(load(folder, "machines", with_margin(stall, percent))) == (0, 2, 0)
    assert reached().gauge == demand(f"{psi} psi").gauge
    assert reached("lever") is None  # a handle holds no pressure


def test_a_machine_that_is_said_to_reach_more_is_changed(folder):
    load(folder, "machines", with_margin())
    assert counts(load(folder, "machines", with_margin(percent="5"))) == (0, 1, 1)
    (q33,) = machines.find_machine("Q33")
    row = machines.find_position(q33.id, "bypass valve")
    assert row.demand.overshoot_percent == "5"
    recorded = events.history("position", row.position_id)[0].detail
    assert recorded["is"]["overshoot_percent"] == "5"
    assert "overshoot_percent" not in recorded["was"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (with_margin(stall="3600"), "column stall"),
        (with_margin(percent="-5"), "is under zero"),
        (with_margin(percent="ten"), "column overshoot_percent"),
        (with_margin("3600 psi", lever="3700 psi,"), "another stall in an earlier row"),
        (with_margin(percent="10", lever=",5"), "another overshoot_percent in an earlier row"),
    ],
)
def test_a_margin_that_cannot_be_is_named(folder, text, said):
    (problem,) = problems(folder, "machines", text)
    assert said in problem


def test_a_machine_is_stored_with_positions_demands_and_parts(folder):
    assert counts(load(folder, "machines", MACHINES)) == (2, 0, 0)
    assert counts(load(folder, "machines", MACHINES)) == (0, 2, 0)
    (q33,) = machines.find_machine("Q33")
    bypass = machines.find_position(q33.id, "bypass valve")
    assert bypass.demand.pressure.as_written == "3300 psi"
    assert bypass.demand.materials == (("ball", "tungsten carbide"),)
    assert bypass.quantities == (1, 2)


def test_a_changed_demand_is_stored_and_recorded(folder):
    load(folder, "machines", MACHINES)
    assert counts(load(folder, "machines", MACHINES.replace("3300 psi", "3600 psi"))) == (0, 1, 1)
    event = events.history("position")[0]
    assert (event.detail["was"]["pressure"], event.detail["is"]["pressure"]) == (
        "3300 psi", "3600 psi",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("3300 psi", "3300", "column pressure: '3300' states no pressure with a unit"),
        ("bore_mm=16", "16", "column sizes: '16' is not of the form name=value"),
        (",50,", ",warm,", "column temp_c_max"),
        ("24-1182", "99-9", "no part Quillmere 99-9 is known"),
    ],
)
def test_a_bad_machine_row_is_named(folder, old, new, said):
    (problem,) = problems(folder, "machines", MACHINES.replace(old, new))
    assert said in problem


def test_a_recipe_needs_parts_and_positions_that_are_known(folder):
    head = "recipe,machine_maker,machine,minutes,hourly,currency,comeback_minutes,comeback_carriage,comeback_goodwill,waiting_day,position,part_maker,part_number,quantity\n"
    row = "Q33 bypass,Quillmere,Q33,60,68.00,EUR,75,18.00,25.00,55.00,bypass valve,Quillmere,24-1180,1\n"
    (unknown,) = problems(folder, "recipes", head + row.replace(",bypass valve", ","))
    assert "column machine" in unknown
    load(folder, "machines", MACHINES)
    (position,) = problems(folder, "recipes", head + row.replace("bypass valve", "outlet"))
    assert "Q33 has no position outlet" in position
    assert counts(load(folder, "recipes", head + row)) == (1, 0, 0)
    assert counts(load(folder, "recipes", head + row)) == (0, 1, 0)
    assert counts(load(folder, "recipes", head + row.replace("68.00", "69.50"))) == (0, 0, 1)
    recipe = recipes.find_recipe("Q33 bypass")
    assert recipe.hourly_minor == 6950
    detail = events.history("recipe", recipe.id)[0].detail
    assert (detail["was"]["hourly_minor"], detail["is"]["hourly_minor"]) == (6800, 6950)
    (item,) = recipe.items
    place = {"part_id": item.part_id, "quantity": item.quantity, "position_id": item.position_id}
    for told in (detail["was"]["items"], detail["is"]["items"]):  # names, so that they are put back
        assert [{name: each[name] for name in place} for each in told] == [place]


# Stands-in and supersessions

EDGES = "asked_maker,asked_number,fitted_maker,fitted_number,state,evidence,conditions,source\n"


def edge(state: str, evidence: str, source: str = "sheet 7", pair: str = "") -> str:
    between = pair or "Quillmere,24-1180,Corrowby,CW 40311"
    return f"{EDGES}{between},{state},{evidence},only with sealant;from serial 4000,{source}\n"


def test_a_decision_is_stored_with_its_conditions_and_recorded(folder):
    assert counts(load(folder, "stands_in", edge("accepted", "measured here"))) == (1, 0, 0)
    assert counts(load(folder, "stands_in", edge("accepted", "measured here"))) == (0, 1, 0)
    assert counts(load(folder, "stands_in", edge("rejected", "measured here"))) == (0, 0, 1)
    (kit,) = catalogue.find_parts("24-1180")
    (stored,) = edges.edges_from([kit.id])
    assert stored.conditions == ("only with sealant", "from serial 4000")
    assert events.history("part", kit.id)[0].detail["was"]["state"] == "accepted"


@pytest.mark.parametrize("evidence", ["supplier's document", "supplier's word", "inferred"])
def test_weak_evidence_never_approves_a_pressure_part(folder, evidence):
    """Trade handbook 4: a maker's document or a measurement here, directly."""
    (problem,) = problems(folder, "stands_in", edge("accepted", evidence))
    assert problem.startswith("row 2, column state")
    assert load(folder, "stands_in", edge("proposed", evidence)).added == 1


def test_a_part_that_holds_no_pressure_may_be_approved_on_a_suppliers_document(folder):
    pair = "Quillmere,31-7,Quillmere,31-8"
    assert load(folder, "stands_in", edge("accepted", "supplier's document", pair=pair)).added == 1


@pytest.mark.parametrize("source", ["", "-", "?", "n/a", "none", "unknown", "tbd", "unbekannt"])
def test_an_approval_names_its_source(folder, source):
    (problem,) = problems(folder, "stands_in", edge("accepted", "maker's document", source=source))
    assert "must name its source" in problem


def test_a_rejection_on_a_measurement_is_not_lifted_by_another_one_of_the_same_level(folder):
    """Trade handbook 4: negative evidence beats any positive of the same or a lower level."""
    load(folder, "stands_in", edge("rejected", "measured here", "leaked"))
    (problem,) = problems(folder, "stands_in", edge("accepted", "measured here", "held"))
    assert "does not outweigh the rejection" in problem
    assert load(folder, "stands_in", edge("accepted", "maker's document", "QB-3")).changed == 1


def test_a_part_never_stands_in_for_itself(folder):
    pair = "Quillmere,24-1180,Quillmere,241180"
    (problem,) = problems(folder, "stands_in", edge("proposed", "inferred", pair=pair))
    assert "does not stand in for itself" in problem


SUPERSESSIONS = "old_maker,old_number,new_maker,new_number,from_date,serial_from,serial_to,source\n"


def test_a_supersession_may_end_without_successor_and_be_corrected(folder):
    ended = SUPERSESSIONS + "Quillmere,31-7,,,2024-01-01,,,QB-1\n"
    split = SUPERSESSIONS + "Quillmere,24-1180,Quillmere,24-1182,2023-06-01,4000,,QB-2\n"
    assert counts(load(folder, "supersessions", ended)) == (1, 0, 0)
    assert counts(load(folder, "supersessions", split)) == (1, 0, 0)
    corrected = split.replace("4000", "5000")
    assert counts(load(folder, "supersessions", corrected)) == (0, 0, 1)
    (kit,) = catalogue.find_parts("24-1180")
    assert [row.serial_from for row in edges.supersessions_touching([kit.id])] == ["5000"]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Quillmere,24-1180,Quillmere,24-1180,,,,x", "replaced by itself"),
        ("Quillmere,24-1180,Quillmere,24-1182,1.6.2023,,,x", "'1.6.2023' is no date"),
        ("Quillmere,24-1180,Quillmere,24-1182,2023-02-30,,,x", "'2023-02-30' is no date"),
    ],
)
def test_a_bad_supersession_is_named(folder, row, said):
    (problem,) = problems(folder, "supersessions", f"{SUPERSESSIONS}{row}\n")
    assert said in problem


# Suppliers, terms, rates


TERMS = "supplier,valid_from,currency,incoterm,named_place,freight,free_above,min_order,small_order,insurance,brokerage,brokerage_currency,duty_heading,origin,spread,lead_days,payment\n"
NINEFOLD = "Ninefold,2026-02-01,USD,fca,Warehouse,46.00,,100.00,15.00,3.50,12.00,EUR,8424.90,us,0.015,18,in advance\n"


def test_terms_are_whole_minor_units_of_their_currency(folder):
    load(folder, "suppliers", "supplier,own_brand,note\nNinefold,Ninefold,importer\n")
    assert counts(load(folder, "terms", TERMS + NINEFOLD)) == (1, 0, 0)
    assert counts(load(folder, "terms", TERMS + NINEFOLD)) == (0, 1, 0)
    supplier = makers.find_supplier("ninefold")
    stored = terms.terms_as_of(supplier.id, "2026-03-01")
    assert (stored.freight_minor, stored.free_above_minor, stored.insurance_minor) == (
        4600,
        None,
        350,
    )
    assert (stored.brokerage_minor, stored.brokerage_currency) == (1200, "EUR")
    assert (stored.incoterm, stored.origin, stored.spread) == ("FCA", "US", "0.015")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("46.00", "46.005", "column freight: 46.005 USD is finer"),
        ("46.00", "46,00", "column freight"),
        ("46.00", "-1", "column freight: '-1' is under zero"),
        ("USD", "US$", "column currency"),
        ("0.015", "1.5%", "column spread"),
        (
            "Ninefold,2026",
            "Nimefold,2026",
            "no supplier 'Nimefold' is known here; did you mean Ninefold?",
        ),
    ],
)
def test_bad_terms_are_named(folder, old, new, said):
    load(folder, "suppliers", "supplier,own_brand,note\nNinefold,,\n")
    quoted = f'"{new}"' if "," in new and "," not in old else new
    found = problems(folder, "terms", TERMS + NINEFOLD.replace(old, quoted))
    assert any(said in problem for problem in found)


def test_yen_have_no_minor_unit(folder):
    """ISO 4217: JPY has 0 decimals."""
    load(folder, "suppliers", "supplier,own_brand,note\nNinefold,,\n")
    text = NINEFOLD.replace("USD", "JPY").replace("46.00", "4600")
    for amount, whole in (("100.00", "100"), ("15.00", "15"), ("3.50", "3")):
        text = text.replace(amount, whole)
    load(folder, "terms", TERMS + text)
    supplier = makers.find_supplier("Ninefold")
    assert terms.terms_as_of(supplier.id, "2026-03-01").freight_minor == 4600


def test_a_banks_table_of_rates_is_read_by_its_columns(folder):
    """The ECB's own layout: a column for each currency, N/A where there was none."""
    wide = "Date,USD,JPY,HRK,\n2024-01-02,1.0956,155.67,N/A,\n2023-12-29,1.1050,156.33,N/A,\n"
    assert counts(load(folder, "fx", wide)) == (4, 0, 0)
    assert terms.fx_rates("USD", "2024-01-01").per_eur == "1.1050"
    assert terms.fx_rates("HRK", "2024-01-02") is None
    assert counts(load(folder, "fx", wide.replace("1.0956", "1.0957"))) == (0, 3, 1)


@pytest.mark.parametrize("rate", ["0", "0.000", "-1.1", "1,0956", "", "free"])
def test_a_rate_is_a_plain_decimal_above_zero(folder, rate):
    found = problems(folder, "fx", f'date,currency,per_eur,source\n2024-01-02,USD,"{rate}",ECB\n')
    assert "column per_eur" in found[0]


@pytest.mark.parametrize(
    ("written", "stored"),
    [("0.037", "0.037"), ("3.7 %", "0.037"), ("3.7%", "0.037"), ("0", "0"), ("12.5%", "0.125")],
)
def test_a_duty_rate_is_a_share_or_says_per_cent(folder, written, stored):
    load(
        folder,
        "duty",
        f"heading,origin,rate,valid_from,source\n8424.90,US,{written},2026-01-01,t\n",
    )
    assert terms.duty_rate("8424.90", "US", "2026-03-01").rate == stored


@pytest.mark.parametrize("written", ["3.7", "-0.1", "-1%", "free", "%"])
def test_a_duty_rate_that_may_mean_two_things_is_asked(folder, written):
    found = problems(
        folder, "duty",
        f"heading,origin,rate,valid_from,source\n8424.90,US,{written},2026-01-01,t\n",
    )  # fmt: skip
    assert "column rate" in found[0]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("maker,Nobody,A,x,", "no maker 'Nobody' is known"),
        ("part,24-1180,A,x,", "not of the form Maker|Number"),
        ("part,Quillmere|99,A,x,", "no part 'Quillmere 99' is known"),
        ("maker,Quillmere,A+,x,", "'A+' is none of: A, B, C, D, barred"),
        ("maker,Quillmere,A,,", "column reason: is empty"),
    ],
)
def test_a_grade_needs_a_known_subject_a_letter_and_a_reason(folder, row, said):
    (problem,) = problems(folder, "grades", f"subject_kind,subject,grade,reason,evidence\n{row}\n")
    assert said in problem


# What is typed


def test_what_is_typed_needs_no_maker_where_the_number_is_clear(folder):
    cells = {"number": "24-1180", "kind": "rating", "value": "3300 psi", "evidence": "inferred"}
    assert jobs.take("claims", cells).files[0].added == 1
    jobs.take("parts", {"maker": "Corrowby", "number": "24-1180", "role": "valve kit"})
    with pytest.raises(UsageError, match="Corrowby 24-1180 or Quillmere 24-1180"):
        jobs.take("claims", cells)


def test_what_is_typed_wrong_is_a_usage_error_that_names_the_option(folder):
    with pytest.raises(UsageError, match="role: 'flange' is none of"):
        jobs.take("parts", {"maker": "Quillmere", "number": "9", "role": "flange"})
    with pytest.raises(UsageError, match="no part '99-9'"):
        jobs.take(
            "claims", {"number": "99-9", "kind": "rating", "value": "1 bar", "evidence": "inferred"}
        )
    with pytest.raises(InputRefusedError, match="have no colour"):
        jobs.take("parts", {"colour": "red"})


def test_a_name_that_is_nearly_known_is_asked_back(folder):
    from partsdb.jobs.named import the_machine, the_maker

    load(folder, "machines", MACHINES)
    with pytest.raises(NotFoundError) as caught:
        the_maker("Quilmere")
    assert caught.value.hint == "did you mean Quillmere?"
    with pytest.raises(NotFoundError) as caught:
        the_machine("Q3")
    assert "Q33" in caught.value.hint


ACCEPTED_ONCE = """asked_maker,asked_number,fitted_maker,fitted_number,state,evidence,conditions,source
Quillmere,24-1180,Quillmere,24-1182,accepted,maker's document,,QB-1
"""


def test_a_file_loaded_again_does_not_undo_what_leaked_here_since(folder):
    assert counts(load(folder, "stands_in", ACCEPTED_ONCE)) == (1, 0, 0)
    cells = dict(zip(*(line.split(",") for line in ACCEPTED_ONCE.splitlines()), strict=True))
    jobs.take("stands_in", {**cells, "state": "rejected", "evidence": "measured here"})
    again = load(folder, "stands_in", ACCEPTED_ONCE)
    (asked,), (fitted,) = catalogue.find_parts("24-1180"), catalogue.find_parts("24-1182")
    assert edges.edge_of(asked.id, fitted.id).state == "rejected"
    assert counts(again) == (0, 1, 0)
    assert "row 2: left out" in again.cautions[0]


def test_a_file_loaded_again_does_not_lift_a_bar(folder):
    grade = "subject_kind,subject,grade,reason,evidence\nmaker,Quillmere,A,good,sheets\n"
    assert counts(load(folder, "grades", grade)) == (1, 0, 0)
    barred = {"subject_kind": "maker", "subject": "Quillmere", "grade": "barred"}
    jobs.take("grades", {**barred, "reason": "recall", "evidence": ""})
    again = load(folder, "grades", grade.replace("good", "better"))
    maker = makers.find_maker("Quillmere")
    assert grades.current_grades("maker", [maker.id])[maker.id].grade == "barred"
    assert "row 2: left out" in again.cautions[0]
