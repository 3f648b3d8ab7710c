"""Texts in another encoding than cp1252: what their bytes show as is by Python's own codecs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from importers import ReaderError, read_price_list

GERMAN = "Art.-Nr.;Bezeichnung;Preis EUR\nÄ-1;Kolben für Öl;12,50\nA-2;Größe, Schläuche;3,10\n"
RUSSIAN = "Part no.;Description;Price EUR\nКЛ-1;Клапан перепускной;12,50\n"


@pytest.mark.parametrize(
    ("text", "encoding", "shown", "right"),
    [
        (GERMAN, "mac_roman", "fŸr", '--encoding mac-roman reads "für"'),
        (GERMAN.replace("ü", "ö"), "cp850", "f”r", '--encoding cp850 reads "för"'),
        (RUSSIAN, "cp1251", "Êëàïàí", '--encoding cp1251 reads "Клапан"'),
    ],
)
def test_words_that_no_language_writes_so_are_asked_about(csv_file, text, encoding, shown, right):
    path = csv_file(text, encoding=encoding)
    read = read_price_list(path)
    (alarm,) = read.alarms
    assert f'"{shown}"' in alarm.text and right in alarm.text and "row 2" in alarm.text
    assert "╩" not in alarm.text and "fƒr" not in alarm.text  # no word either
    named = replace(read.profiles[0], encoding=encoding, confirmed="a person")
    again = read_price_list(path, profiles=(named,))
    assert not again.alarms
    assert again.rows[1].fields["code"] == text.splitlines()[1].split(";")[0]


def test_a_person_may_settle_that_the_letters_are_right(csv_file):
    path = csv_file(GERMAN, encoding="mac_roman")
    read = read_price_list(path)
    settled = replace(read.profiles[0], settled=(read.alarms[0].key,), confirmed="a person")
    assert not read_price_list(path, profiles=(settled,)).alarms


def test_lines_of_two_encodings_are_no_doubt_once_each_is_read_by_its_own(csv_file):
    path = csv_file(GERMAN, encoding="cp1252")
    path.write_bytes(path.read_bytes() + "A-4;für Öl;1,20\n".encode())
    read = read_price_list(path)
    assert not read.alarms
    assert read.rows[-1].fields["description"] == "für Öl"


@pytest.mark.parametrize(
    "words",
    [
        "Öl für Größe Ø 22, 1/4“", "Kolben Ø22 µm m² 1½“", "joint d'étanchéité créée",
        "Välisläbimõõt", "Pièce détachée n° 5", "Schraube 3×M8 – 10°C", "SCHLÄUCHE GRÖSSE ÜBER",
        "Fennelit® ‚O‘-Ring", "£ 5", "Ñandú Çelik",
    ],
)  # fmt: skip
def test_words_of_western_languages_are_not_asked_about(csv_file, words):
    read = read_price_list(csv_file(GERMAN.replace("Kolben", words), encoding="cp1252"))
    assert not read.alarms
    assert words in read.rows[1].fields["description"]


def test_a_byte_that_cp1252_has_not_is_refused_with_the_way_to_name_the_encoding(csv_file):
    with pytest.raises(ReaderError, match="line 2: byte 0x81") as caught:
        read_price_list(csv_file(GERMAN, encoding="cp850"))
    assert "--encoding cp850 --save" in caught.value.hint


@pytest.mark.parametrize("beside", ["Hose 3 in", "Schläuche", "Dichtung für Kolben"])
@pytest.mark.parametrize("sized", ["Hose Ø½ in", "Hose Ø¾", "2×¼ NPT", "»MENÜ« Hose Ø½"])
def test_a_diameter_before_a_fraction_is_no_letter_of_utf_8(csv_file, sized, beside):
    # "Ø½" in cp1252 is the bytes D8 BD, which in UTF-8 would be one Arabic letter
    listed = f"Part no.;Description;Price EUR\nA-1;{sized};1,50\nA-2;{beside};1,60\n"
    text = read_price_list(csv_file(listed, encoding="cp1252"))
    assert [row.fields["description"] for row in text.rows if row.amounts] == [sized, beside]
    assert text.alarms == ()


def test_letters_of_utf_8_beside_such_a_size_stay_what_they_are(csv_file):
    listed = "Part no.;Description;Price EUR\nA-1;Schlauch Ø½ für Öl;1,50\nA-2;шланг;1,60\n"
    text = read_price_list(csv_file(listed))
    assert [row.fields["description"] for row in text.rows if row.amounts] == [
        "Schlauch Ø½ für Öl", "шланг",
    ]  # fmt: skip
