"""A remembered layout against a new file: what fits, what moved, what vanished."""

from __future__ import annotations

from dataclasses import replace

from importers import layout_key, read_price_list
from importers.rows import RowKind

FIRST = "Art.-Nr.;Bezeichnung;Preis;VPE\nA1;Kugel;1,50;10\n"


def drift(text):
    return [said for said in text.assumptions if said.startswith("layout drift:")]


def items(text):
    return [row for row in text.rows if row.kind == RowKind.ITEM]


def test_the_same_layout_reads_without_drift_and_has_the_same_key(csv_file):
    first = read_price_list(csv_file(FIRST))
    again = read_price_list(
        csv_file(FIRST + "A2;Sitz;2,50;5\n", name="next.csv"), profiles=first.profiles
    )
    assert drift(again) == []
    assert layout_key(first) == layout_key(again)


def test_a_column_that_moved_is_said_and_still_found(csv_file):
    first = read_price_list(csv_file(FIRST))
    moved = "Art.-Nr.;Preis;Bezeichnung;VPE\nA1;1,50;Kugel;10\n"
    text = read_price_list(csv_file(moved, name="next.csv"), profiles=first.profiles)
    assert any('column "Preis"' in said and "moved from C to B" in said for said in drift(text))
    assert items(text)[0].amounts == {"price": "1.50"}
    assert layout_key(first) != layout_key(text)


def test_a_column_that_vanished_is_said(csv_file):
    first = read_price_list(csv_file(FIRST))
    text = read_price_list(
        csv_file("Art.-Nr.;Bezeichnung;Preis\nA1;Kugel;1,50\n", name="next.csv"),
        profiles=first.profiles,
    )
    (said,) = drift(text)
    assert 'no longer has the column "VPE" (pack)' in said


def test_a_new_column_is_said(csv_file):
    first = read_price_list(csv_file(FIRST))
    text = read_price_list(
        csv_file("Art.-Nr.;Bezeichnung;Preis;VPE;Druck bar\nA1;Kugel;1,50;10;250\n", name="n.csv"),
        profiles=first.profiles,
    )
    (said,) = drift(text)
    assert 'new column "Druck bar"' in said
    assert items(text)[0].fields["rating"] == "250 bar"


def test_a_meaning_that_a_person_corrected_is_kept(csv_file):
    text = "Part no.;Number;Description;Price\nA1;QM-100;Ball;1.50\nA2;QM-200;Seat;2.50\n"
    profile = read_price_list(csv_file(text)).profiles[0]
    columns = tuple(
        replace(c, meaning="replaces") if c.heading == "Number" else c for c in profile.columns
    )
    corrected = replace(profile, columns=columns)
    again = read_price_list(csv_file(text), profiles=(corrected,))
    assert [r.fields["replaces"] for r in items(again)] == ["QM-100", "QM-200"]
    assert [r.fields["code"] for r in items(again)] == ["A1", "A2"]


def test_the_remembered_currency_and_mark_fill_what_the_file_leaves_open(csv_file):
    text = 'Part no.,Description,Price\nA1,Ball,"1,234"\n'
    profile = replace(read_price_list(csv_file(text)).profiles[0], currency="GBP", decimal_mark=".")
    again = read_price_list(csv_file(text), profiles=(profile,))
    (item,) = items(again)
    assert (item.amounts["price"], item.fields["currency"]) == ("1234", "GBP")
    assert any("taken from the remembered layout" in said for said in again.assumptions)


def test_what_the_file_itself_says_comes_before_what_is_remembered(csv_file):
    profile = replace(
        read_price_list(csv_file(FIRST)).profiles[0], decimal_mark=".", currency="USD"
    )
    text = "Art.-Nr.;Bezeichnung;Preis;VPE\nPreise in EUR;;;\nA1;Kugel;1,50;10\n"
    (item,) = items(read_price_list(csv_file(text), profiles=(profile,)))
    assert (item.amounts["price"], item.fields["currency"]) == ("1.50", "EUR")


def test_another_delimiter_than_remembered_is_drift(csv_file):
    first = read_price_list(csv_file(FIRST))
    text = read_price_list(
        csv_file(FIRST.replace(";", "\t"), name="next.csv"), profiles=first.profiles
    )
    assert any("separated by '\\t'" in said for said in drift(text))


def test_another_encoding_than_remembered_is_drift_and_plain_ascii_is_none(csv_file):
    text = FIRST.replace("Kugel", "Kügelchen")
    first = read_price_list(csv_file(text, encoding="cp1252"))
    changed = read_price_list(csv_file(text, name="next.csv"), profiles=first.profiles)
    assert drift(changed) == ["layout drift: the text is written in utf-8, remembered was cp1252"]
    plain = read_price_list(csv_file(FIRST), profiles=first.profiles)
    assert drift(plain) == []
    assert plain.profiles[0].encoding == "cp1252", "what was known stays remembered"


def test_the_profile_of_the_right_table_is_chosen_among_several(csv_file):
    first = read_price_list(csv_file(FIRST)).profiles
    other = read_price_list(csv_file("SKU,Item description,Net\nA1,Ball,1.50\n")).profiles
    text = read_price_list(csv_file(FIRST), profiles=(*other, *first))
    assert drift(text) == []
