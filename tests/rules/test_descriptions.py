"""Descriptions read into attributes; the wordings are invented, of the kind that lists contain."""

from fractions import Fraction

import pytest

from partsdb.rules.descriptions import claims_in, names_successor, parse
from partsdb.rules.material_words import materials_in, may_be_same
from partsdb.rules.measures import fraction_of, measures_in, plain_measures, screw_gauge_mm
from partsdb.rules.pieces import same_family
from partsdb.tables import rows

INCH = Fraction(254, 10)


@pytest.mark.parametrize(
    ("text", "role"),
    [
        ("Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat", "valve kit"),
        ("VLV KIT INLET Q33E 3/4NPT WC BALL&SEAT 3300PSI", "valve kit"),
        ("Outlet Check Valve Repair Kit for Q33", "valve kit"),
        ("Ventilsatz Bypass Q33", "valve kit"),
        ("Gun filter, 60 mesh", "filter"),
        ("Filter, gun, 60 mesh", "filter"),
        ("Hose, whip, 3/16 in x 1 m", "whip hose"),
        ("Hochdruckschlauch DN 8 x 20 m", "hose"),
        ("Sprühpistole mit Drehgelenk", "gun"),
        ("Pencil jet nozzle, size 04", "nozzle"),
        ("KIT, PACKING, Q33", "packing kit"),
        ("PKG KIT Q50 24MM", "packing kit"),
        ("Pump repair kit", "packing kit"),
        ("Upper packing set, 18 mm", "packing"),
        ("Stangendichtung, 24 mm", "rod seal"),
        ("Kugel Hartmetall 12,5 mm", "ball"),
        ("Sitz 440C", "seat"),
        ("Doppelnippel 1/4 NPT", "nipple"),
        ("Manometer 0-400 bar", "gauge"),
        ("Stift 3 x 16 mm", "pin"),
        ("Safety valve body, G 3/8", "valve body"),
        ("Ersatz für Quillmere 24-1180 Ventilsatz", "valve kit"),
    ],
)
def test_the_head_noun_gives_the_role(text, role):
    assert parse(text).role == role


@pytest.mark.parametrize(
    "text",
    [
        "Garden hose, 1/2 in x 25 m",
        "Gartenschlauch 1/2 Zoll",
        "Brake hose, front",
        "Hose clamp, 12-20 mm",
        "Ball point pen, blue",
        "Car seat cover",
        "Fahrradschlauch, 28 Zoll",
        "Arbeitshandschuhe Größe 10",
        "Bicycle pump nozzle",
        "Caulking gun",
    ],
)
def test_goods_of_other_trades_have_no_role(text):
    described = parse(text)
    assert described.role == ""
    assert described.pieces.head != ""


@pytest.mark.parametrize(
    "text",
    ["Carriage UK mainland", "Frachtpauschale", "Energy surcharge 3 %", "Small order surcharge",
     "Mindermengenzuschlag", "Volume discount"],
)  # fmt: skip
def test_charges_and_discounts_are_no_articles(text):
    assert parse(text).pieces.charge


def test_a_piece_with_a_charge_word_stays_a_piece():
    assert not parse("Valve kit, delivery, T250").pieces.charge


@pytest.mark.parametrize(
    ("text", "value"),
    [("1-1/4", Fraction(5, 4)), ("1 1/4", Fraction(5, 4)), ("3/8", Fraction(3, 8)),
     ("12.5", Fraction(25, 2)), ("1/0", Fraction(0))],
)  # fmt: skip
def test_fractions_are_exact(text, value):
    assert fraction_of(text) == value


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("Ball 12,5 mm", [("mm", Fraction(25, 2))]),
        ('Hose 1/4" x 50 ft', [("in", INCH / 4), ("ft", INCH * 600)]),
        ("Hose 1¼ in x 15 m", [("in", INCH * 5 / 4), ("m", Fraction(15000))]),
        ("O-ring 16 x 2.5 mm", [("mm", Fraction(16)), ("mm", Fraction(5, 2))]),
        ("Pin 3×16 mm", [("mm", Fraction(3)), ("mm", Fraction(16))]),
        ("Hose DN 8 x 20 m", [("DN", Fraction(8)), ("m", Fraction(20000))]),
        ("O-ring, dash 012", [("dash", Fraction(12))]),
        ("Seat 7/16 in", [("in", INCH * 7 / 16)]),
    ],
)
def test_sizes_are_read_with_their_unit(text, sizes):
    assert [(size.unit, size.mm) for size in parse(text).sizes] == sizes


def test_an_inch_off_a_turkish_keyboard_is_an_inch():
    """Unicode's case folding gives İ for i in a pattern that heeds no case: from memory."""
    (size,) = measures_in(plain_measures("hose 3 İn")).sizes
    assert (size.unit, size.mm) == ("in", INCH * 3)


@pytest.mark.parametrize(
    "text",
    ["Valve kit 246-258", "Kit 24-1180", "Part XQ-12mm", "Filter 60 mesh", "Gauge 0-400 bar",
     "Gun 3600 psi", "Valve T7.204.145", "Kit 24-1180/24-1181"],
)  # fmt: skip
def test_numbers_and_pressures_are_never_sizes(text):
    assert parse(text).sizes == ()
    assert parse(text).threads == ()


# Sizes of the threads from the handbook 2.1: pitch in mm is 25.4 over threads per inch.
@pytest.mark.parametrize(
    ("text", "threads"),
    [
        ("Nipple 1/4 x 1/4 NPT", [("NPT", INCH / 4, 0)]),
        ("Fitting 1/4-18 NPT male", [("NPT", INCH / 4, 0)]),
        ("Fitting 3/8NPTF", [("NPTF", INCH * 3 / 8, 0)]),
        ("Swivel 1/4 NPSM", [("NPSM", INCH / 4, 0)]),
        ("Adapter G 1/4 x 3/8 BSPP", [("G", INCH / 4, 0), ("G", INCH * 3 / 8, 0)]),
        ("Adapter R 1/4", [("R", INCH / 4, 0)]),
        ("Lance M22x1.5", [("M", 22, Fraction(3, 2))]),
        ("Screw M8x80", [("M", 8, 0)]),
        ("Fitting 9/16-18 JIC", [("UN", INCH * 9 / 16, INCH / 18)]),
        ("Tip holder 7/8-14 UN", [("UN", INCH * 7 / 8, INCH / 14)]),
        ('Bolt 1-1/4"-7 x 3"', [("UN", INCH * 5 / 4, INCH / 7)]),
        ("Revision R 2", []),
        ("Serial 9/16-123", []),
    ],
)
def test_threads_are_read_exactly(text, threads):
    found = parse(text).threads
    assert [(t.family, t.size_mm, t.pitch_mm) for t in found] == threads


def test_a_second_figure_above_any_pitch_is_a_length():
    # ISO 261: the coarsest pitch is 6 mm (M64), from memory.
    measures = measures_in(plain_measures("M8x80"))
    assert [(size.unit, size.mm) for size in measures.sizes] == [("mm", 80)]


def test_a_numbered_screw_has_the_diameter_of_the_standard():
    # ASME B18.6.1: number 10 is 0.190 in.
    assert screw_gauge_mm(10) == Fraction(190, 1000) * INCH


@pytest.mark.parametrize(
    ("text", "pack"),
    [("O-rings, pack of 10", 10), ("Dichtungen 10er Pack", 10), ("Balls 5 pcs", 5), ("Ball", None),
     ("Stifte VE 50", 50)],
)  # fmt: skip
def test_the_pack_is_read(text, pack):
    assert parse(text).pack_units == pack


@pytest.mark.parametrize(
    ("text", "claims"),
    [
        ("Valve kit, repl. 24-1247", ("24-1247",)),
        ("Valve kit, replaces Quillmere 24-1247", ("Quillmere 24-1247",)),
        ("Ventilsatz, Ersatz für Tarnbeck T7.456.250", ("Tarnbeck T7.456.250",)),
        ("Ventilsatz ersetzt 24-1180 und 24-1181", ("24-1180 und 24-1181",)),
        ("Body, alt. to T7.470.305", ("T7.470.305",)),
        ("Hose, interchanges with Tarnbeck T7.310.530", ("Tarnbeck T7.310.530",)),
        ("Nipple, suits 28-1225, brass", ("28-1225",)),
        ("Ventilsatz 24-1180 ersetzt durch 24-1180A", ()),
        ("Kit 24-1180 superseded by 24-1180A", ()),
        ("Hose, suits 1/4 NPT ports", ()),
        ("Gauge, suits 400 bar", ()),
        ("Packing replaces the leather one", ()),
        # "by" worn away or a word that only begins like a phrase: who replaces whom is not said.
        ("REPLACED 24-1180", ()),
        ("Replaced b 24-1180, brass", ()),
        ("Suitscase 24-1180", ()),
        ("Oemer 24-1180", ()),
    ],
)
def test_a_claim_to_replace_is_found_and_nothing_else(text, claims):
    assert parse(text).claims == claims


PHRASES = (
    "replaces", "replacement for", "repl.", "repl", "ersetzt", "Ersatz für", "Ersatz f.", "alt to",
    "alternative for", "interchanges with", "interchangeable with", "suits", "equiv. to",
    "equivalent to", "equal to", "supersedes", "in place of", "instead of", "anstelle von", "vgl.",
    "entspricht", "OEM no.", "oem", "x-ref", "cross-reference", "passend zu", "statt",
)  # fmt: skip


@pytest.mark.parametrize("written", [str.lower, str.upper, str.title])
@pytest.mark.parametrize("phrase", PHRASES)
def test_every_phrase_of_a_claim_is_read_in_any_case(phrase, written):
    text = f"Seat, {written(phrase)} 24-1180"
    assert parse(text).claims == claims_in(text) == ("24-1180",)
    assert parse(f"Seat, {written(phrase)} 24-1180").words == ("seat",)


@pytest.mark.parametrize(
    "phrase", ["replaced by", "superseded by", "superseeded by", "repl. by", "ersetzt durch", "Nachfolger"]
)  # fmt: skip
def test_what_replaces_the_article_is_no_claim_of_it(phrase):
    for text in (f"Seat, {phrase} 24-1180A", f"SEAT, {phrase.upper()} 24-1180A"):
        assert parse(text).claims == ()
        assert "24" not in " ".join(parse(text).words)
        assert names_successor(text)


def test_the_successor_of_an_article_is_named():
    assert "24-1180A" in names_successor("Kit 24-1180, replaced by 24-1180A")
    assert names_successor("Kit 24-1180, replaces 24-1179") == ""


def test_models_are_no_sizes_and_no_numbers():
    assert parse("Packing kit, Q33E, 18 mm, T7.204.145").models == frozenset({"Q33E"})


@pytest.mark.parametrize(
    ("text", "materials"),
    [
        ("WC ball and seat", {"tungsten carbide"}),
        ("440C ball, carbide seat", {"440C", "carbide"}),
        ("Ball SS 316", {"316"}),
        ("Packing leather/UHMWPE", {"leather", "UHMWPE"}),
        ("Nozzle, size 316", set()),
    ],
)
def test_materials_are_found_among_other_words(text, materials):
    assert materials_in(text) == materials


def test_a_wider_name_may_mean_the_narrower_material():
    assert may_be_same("316", "stainless steel")
    assert may_be_same("carbide", "tungsten carbide")
    assert not may_be_same("440C", "316")


def test_near_kinds_of_pieces_are_one_family():
    assert same_family("hose", "whip hose")
    assert not same_family("hose", "gun")


def test_every_role_of_a_piece_word_is_one_of_the_roles():
    roles = {row["role"] for row in rows("roles")}
    assert {row["role"] for row in rows("piece_words")} - {""} <= roles
    assert roles == {row["role"] for row in rows("piece_words")} - {""}


def test_every_word_of_the_tables_has_a_source_and_stands_once():
    for table, key in (("piece_words", "word"), ("abbreviations", "abbreviation")):
        words = [(row[key], row.get("match", "")) for row in rows(table)]
        assert len(set(words)) == len(words)
        assert all(row["source"] for row in rows(table))


def test_every_name_of_a_material_in_the_table_is_found_among_other_words():
    for row in rows("material_aliases"):
        if not row["alias"].replace(" ", "").isdigit():
            assert materials_in(f"zorb {row['alias']} zorb"), row["alias"]
    names = [row["material"] for row in rows("materials")]
    assert all(materials_in(f"Zorb, {name}") == {name} for name in names if not name.isdigit())
