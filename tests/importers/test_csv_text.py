"""Delimited text: encodings, delimiters, quoting, and what is refused."""

from __future__ import annotations

import pytest

from importers import Profile, ReaderError, read_price_list
from importers.rows import RowKind

PLAIN = "Part no.,Description,Price\nA1,Ball,1.50\nA2,Seat,2.50\n"


def items(text):
    return [row for row in text.rows if row.kind == RowKind.ITEM]


def said(text, words):
    return [sentence for sentence in text.assumptions if words in sentence]


def test_a_plain_list_reads_with_file_name_hash_and_rows(csv_file):
    text = read_price_list(csv_file(PLAIN))
    assert text.file_name == "list.csv"
    # sha256 of the 55 bytes above, by the sha256sum command
    assert len(text.sha256) == 64
    assert [(r.row, r.fields["code"], r.amounts["price"]) for r in items(text)] == [
        (2, "A1", "1.50"),
        (3, "A2", "2.50"),
    ]


@pytest.mark.parametrize(
    ("encoding", "stated"),
    [
        ("utf-8", "text read as UTF-8"),
        ("utf-8-sig", "byte order mark"),
        ("utf-16", "text read as UTF-16-LE"),
        ("cp1252", "text read as cp1252: it is not UTF-8; 2 letters depend on it (öß)"),
    ],
)
def test_the_encoding_is_decided_strictly_and_stated(csv_file, encoding, stated):
    path = csv_file("Art.-Nr.;Bezeichnung;Preis\nA1;Höse groß;1,50\n", encoding=encoding)
    text = read_price_list(path)
    assert items(text)[0].fields["description"] == "Höse groß"
    assert said(text, stated)


def test_the_profiles_encoding_comes_before_cp1252(csv_file):
    path = csv_file("Part no.;Description;Price\nA1;клапан;1.50\n", encoding="cp1251")
    profile = Profile(columns=(), header_row=1, encoding="cp1251")
    text = read_price_list(path, profiles=(profile,))
    assert items(text)[0].fields["description"] == "клапан"
    assert said(text, "the supplier's profile says so")


MIXED = (
    b"Part no.;Description;Price EUR\n",
    "A1;Schläuche ¼ in;1.50\n".encode(),
    "A2;Kügelchen;2.50\n".encode("cp1252"),
    b"A3;Ball;3.50\n",
)


def test_lines_of_two_encodings_in_one_file_are_read_each_by_its_own_and_said(tmp_path):
    path = tmp_path / "list.csv"
    path.write_bytes(b"".join(MIXED))
    text = read_price_list(path)
    said = [row.fields["description"] for row in text.rows[1:]]
    assert said == ["Schläuche ¼ in", "Kügelchen", "Ball"]
    assert any(
        "two encodings" in each and "1 line in UTF-8 (line 2 first), 1 in cp1252" in each
        for each in text.assumptions
    )
    assert text.profiles[0].encoding == "cp1252"


def test_a_byte_of_neither_encoding_in_such_a_file_is_refused_with_its_line(tmp_path):
    path = tmp_path / "list.csv"
    path.write_bytes(b"".join((*MIXED, b"A4;\x81;1.50\n")))
    with pytest.raises(ReaderError, match="0x81") as caught:
        read_price_list(path)
    assert caught.value.place == "list.csv line 5"


@pytest.mark.parametrize(
    ("damaged", "meant"),
    [("SchlÃ¤uche", "Schläuche"), ("Ball Â½ in", "Ball ½ in"), ("Ventil Ã˜ 6", "Ventil Ø 6")],
)
def test_letters_misread_before_the_file_came_are_noted_with_what_they_were(
    csv_file, damaged, meant
):
    row = read_price_list(csv_file(f"Part no.;Description;Price EUR\nA1;{damaged};1.50\n")).rows[1]
    assert row.fields["description"] == damaged, "what the file says is kept"
    (note,) = row.notes
    assert note.startswith("B2 was read by a wrong encoding") and repr(meant) in note


@pytest.mark.parametrize("honest", ["Schläuche", "Ball ½ in", "Ø 6 mm", "Шланг", "60 °C", "€ 5"])
def test_honest_letters_are_not_taken_for_misread_ones(csv_file, honest):
    row = read_price_list(csv_file(f"Part no.;Description;Price EUR\nA1;{honest};1.50\n")).rows[1]
    assert (row.fields["description"], row.notes) == (honest, ())


def test_a_byte_that_no_encoding_knows_is_refused_with_its_line(tmp_path):
    path = tmp_path / "list.csv"
    path.write_bytes(PLAIN.encode() + b"A3,Ball \x81\xff,3.50\n")
    with pytest.raises(ReaderError) as refusal:
        read_price_list(path)
    assert "0x81" in refusal.value.message
    assert refusal.value.place == "list.csv line 4"


def test_a_replacement_character_is_noted_with_its_cell(csv_file):
    text = read_price_list(csv_file("Part no.,Description,Price\nA1,H�se,1.50\n"))
    assert "B2 holds a character that was lost" in items(text)[0].notes[0]


@pytest.mark.parametrize(
    ("mark", "name"), [(",", "comma"), (";", "semicolon"), ("\t", "tab"), ("|", "vertical bar")]
)
def test_the_delimiter_is_found_and_stated(csv_file, mark, name):
    text = read_price_list(csv_file(PLAIN.replace(",", mark)))
    assert len(items(text)) == 2
    assert said(text, f"columns separated by {name}")


def test_decimal_commas_do_not_make_a_comma_file(csv_file):
    rows = "".join(f"A{i};Kugel, hart, {i} mm;{i},50\n" for i in range(1, 30))
    text = read_price_list(csv_file("Art.-Nr.;Bezeichnung;Preis\n" + rows))
    assert len(items(text)) == 29
    assert items(text)[4].amounts["price"] == "5.50"


def test_the_first_line_may_name_the_delimiter(csv_file):
    text = read_price_list(csv_file("sep=|\nPart no.|Description|Price\nA1|Ball, 1; 2|1.50\n"))
    (item,) = items(text)
    assert (item.row, item.fields["description"]) == (3, "Ball, 1; 2")


def test_a_quoted_line_break_stays_in_its_cell(csv_file):
    text = read_price_list(
        csv_file('Part no.,Description,Price\nA1,"Ball\r\nhard",1.50\nA2,Seat,2.00\n')
    )
    assert [(r.row, r.fields["description"]) for r in items(text)] == [
        (2, "Ball hard"),
        (3, "Seat"),
    ]


def test_inch_marks_in_quoted_and_bare_cells_survive(csv_file):
    text = read_price_list(
        csv_file('Part no.,Description,Price\nA1,"Hose 1/4"" x 5 m",1.50\nA2,Nipple 3/8",2.00\n')
    )
    assert [r.fields["description"] for r in items(text)] == ['Hose 1/4" x 5 m', 'Nipple 3/8"']


def test_a_quote_that_is_never_closed_is_refused_with_its_line(csv_file):
    rows = "".join(f"A{i},Seat,2.00\n" for i in range(5))
    with pytest.raises(ReaderError) as refusal:
        read_price_list(csv_file(f'Part no.,Description,Price\nA1,"Hose 1/4,1.50\n{rows}'))
    assert refusal.value.place == "list.csv line 2"
    assert "never closed" in refusal.value.message


def test_a_quote_open_over_hundreds_of_lines_is_refused(csv_file):
    rows = "".join(f"A{i},Seat,2.00\n" for i in range(500))
    with pytest.raises(ReaderError, match="never closed"):
        read_price_list(
            csv_file(f'Part no.,Description,Price\nA1,"Hose 1/4,1.50\n{rows}A9,"x",1.00\n')
        )


def test_old_line_ends_read(csv_file):
    text = read_price_list(csv_file(PLAIN.replace("\n", "\r")))
    assert len(items(text)) == 2


def test_short_rows_and_trailing_delimiters_read(csv_file):
    text = read_price_list(csv_file("Part no.,Description,Price,,,\nA1,Ball,1.50,,,\nA2,Seat\n"))
    assert [r.amounts["price"] for r in items(text)] == ["1.50", ""]


def test_non_breaking_and_zero_width_blanks_leave_the_fields(csv_file):
    text = read_price_list(csv_file("Part no.,Description,Price\nA​1 ,Ball 8 mm,1 234.50\n"))
    (item,) = items(text)
    assert (item.fields["code"], item.fields["description"]) == ("A1", "Ball 8 mm")
    assert item.amounts["price"] == "1234.50"
    assert item.cells[0] == "A​1 "


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\x00\x01\x02\x03" * 400, "binary data"),
        (b"P\x00a\x00r\x00t\x00", "UTF-16 without its byte order mark"),
        (bytes(range(1, 9)) * 400, "control characters"),
    ],
)
def test_binary_data_is_refused(tmp_path, data, words):
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    with pytest.raises(ReaderError, match=words):
        read_price_list(path)


def test_lines_quoted_as_a_whole_are_read_by_what_is_inside(csv_file):
    text = '"Part no.;Description;Price EUR"\n"24-1180;Kit, 1/4"" NPT;90,50"\n\n"24-1182;Kit;91,50"\n'
    read = read_price_list(csv_file(text))
    items = [row for row in read.rows if row.kind is RowKind.ITEM]
    assert [(r.row, r.fields["description"], r.amounts["price"]) for r in items] == [
        (2, 'Kit, 1/4" NPT', "90.50"), (4, "Kit", "91.50")
    ]  # fmt: skip
    assert any("quotation marks as a whole" in said for said in read.assumptions)


@pytest.mark.parametrize(
    "text",
    [
        '"Part no.","Description","Price EUR"\n"24-1180","Kit; long","90.50"\n',
        '"Part no.";"Description";"Price EUR"\n"24-1180";"Kit, long";"90,50"\n',
    ],
)
def test_a_list_whose_cells_are_all_quoted_is_no_such_list(csv_file, text):
    read = read_price_list(csv_file(text))
    assert [row.amounts["price"] for row in read.rows if row.kind is RowKind.ITEM] == ["90.50"]
    assert not any("quotation marks as a whole" in said for said in read.assumptions)
