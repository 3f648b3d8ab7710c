"""One small, honest file for every reader, and ways to spoil it: for fuzzing."""

from __future__ import annotations

import io
import random
import tempfile
import zipfile
from pathlib import Path

from small_pdf import table, write_pdf

from importers.magic import OLE
from importers.ole import workbook_stream
from importers.raw import Source

ROWS = (
    ("Part no.", "Description", "Working pressure", "Price EUR", "Unit"),
    ("KV-2412", 'Valve kit, bypass, 1/4"', "250 bar", 72.5, "EA"),
    ("0013", "Ball 3/8 in, tungsten carbide", "2800 psi", 8.1, "EA"),
    ("Hoses", "", "", "", ""),
    ("H-250", "Hose 10 m", "250 bar", 1182.36, "EA"),
)
_MAGIC = (b"'", b"+", b":", b"?", b";", b",", b"\t", b"<", b">", b"&", b"{", b"[", b'"', b"~", b"*",
          b"\n", b"\x00", b"\xff", b"9" * 40, b"1E999", b"-1", b"UNA", b"UNT+1+1'", b"SE*1*0001~",
          b"  ", b"<!DOCTYPE x>", b"<a>" * 50, b"\xef\xbb\xbf", b"NaN", b"%PDF-", b"PK\x03\x04")  # fmt: skip
_EDIFACT = (
    "UNA:+.? 'UNB+UNOC:3+S+B+261001:0900+R1'UNH+1+PRICAT:D:96A:UN'BGM+9+L77+9'CUX+2:EUR:8'"
    "LIN+1++4006381333931:EN'PIA+5+KV-2412:SA'IMD+F++:::Valve kit'QTY+53:5'PRI+AAA:72.5:::1:EA'"
    "LIN+2++:'PIA+5+KV-2413:SA'PRI+AAA:7'PRI+AAA:6'RNG+4+EA:10:99'CNT+2:2'UNT+15+1'UNZ+1+R1'"
)
_X12 = (
    "ISA*00*          *00*          *ZZ*SALTREEVE      *ZZ*FENNELQUAY     *261001*0900*U*00401*"
    "000000001*0*P*>~GS*SC*S*F*20261001*0900*1*X*004010~ST*832*0001~CUR*SE*USD~LIN*1*VP*NF-1~"
    "PID*F****Valve kit~CTP*WS*NET*72.5*1*EA~PO4*10*1*EA~CTT*1~SE*8*0001~GE*1*1~IEA*1*000000001~"
)
_UBL = (
    '<?xml version="1.0"?><Catalogue xmlns="urn:oasis:names:specification:ubl:schema:xsd:Catalogue-2" '
    'xmlns:cac="urn:c" xmlns:cbc="urn:b"><cac:CatalogueLine><cbc:ID>1</cbc:ID>'
    '<cac:RequiredItemLocationQuantity><cac:Price><cbc:PriceAmount currencyID="EUR">7.5</cbc:PriceAmount>'
    '<cbc:BaseQuantity unitCode="CEN">1</cbc:BaseQuantity></cac:Price></cac:RequiredItemLocationQuantity>'
    "<cac:Item><cbc:Description>Ball &amp; seat</cbc:Description><cac:SellersItemIdentification>"
    "<cbc:ID>KV-1</cbc:ID></cac:SellersItemIdentification></cac:Item></cac:CatalogueLine></Catalogue>"
)
_ODS = "application/vnd.oasis.opendocument.spreadsheet"
_ODF = "urn:oasis:names:tc:opendocument:xmlns"


def seeds() -> dict[str, bytes]:
    """Return name of a kind -> the bytes of an honest list of that kind."""
    texts = [[str(cell) for cell in row] for row in ROWS]
    lines = "\n".join(
        f'{{"part number": "A{n}", "description": "Ball", "price": {n}.5}}' for n in (1, 2)
    )
    fixed = "\n".join("  ".join(cell.ljust(30) for cell in row).rstrip() for row in texts)
    return {
        "csv": "\r\n".join(";".join(row).replace('"', "") for row in texts).encode("cp1252"),
        "fixed width": fixed.encode(),
        "json lines": lines.encode(),
        "edifact": _EDIFACT.encode(),
        "x12": _X12.encode(),
        "ubl": _UBL.encode(),
        "xlsx": _xlsx(),
        "xls": _xls(),
        "ods": ods(ROWS),
        "pdf": _pdf(texts),
    }


def _xlsx() -> bytes:
    import openpyxl

    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in ROWS:
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def _xls() -> bytes:
    import xlwt

    book, out = xlwt.Workbook(), io.BytesIO()
    sheet = book.add_sheet("Prices")
    formats = ("00000", "0.00", "yyyy-mm-dd", '#,##0.00 "EUR"')
    styles = [xlwt.easyxf(num_format_str=each) for each in formats]
    for r, row in enumerate((*ROWS, (13, "Seat, kept back", "250 bar", 8.2, "EA"))):
        for c, value in enumerate(row):
            is_number = isinstance(value, (int, float))
            sheet.write(r, c, value, styles[(r + c) % 2] if is_number else xlwt.Style.default_style)
        for c in (6, 7):
            sheet.write(r, c, 46_000 + r, styles[c - 4])
    sheet.row(len(ROWS)).hidden = True
    sheet.col(7).hidden = True
    book.save(out)
    return out.getvalue()


def ods(rows: object) -> bytes:
    """Return an OpenDocument spreadsheet of one sheet "Prices" with these rows (ODF 1.2)."""
    body = "".join(
        f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>" for row in rows
    )
    content = (
        f'<?xml version="1.0"?><office:document-content xmlns:office="{_ODF}:office:1.0" '
        f'xmlns:table="{_ODF}:table:1.0" xmlns:text="{_ODF}:text:1.0"><office:body>'
        f'<office:spreadsheet><table:table table:name="Prices">{body}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        f'<manifest:manifest xmlns:manifest="{_ODF}:manifest:1.0"><manifest:file-entry '
        f'manifest:full-path="/" manifest:media-type="{_ODS}"/></manifest:manifest>'
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("mimetype"), _ODS)
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest)
    return out.getvalue()


def _ods_cell(value: object) -> str:
    if isinstance(value, float):
        return (
            f'<table:table-cell office:value-type="float" office:value="{value}">'
            f"<text:p>{value}</text:p></table:table-cell>"
        )
    text = str(value).replace("&", "&amp;")
    return (
        f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>'
    )


def _pdf(texts: list[list[str]]) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = write_pdf(Path(folder) / "a.pdf", [table(texts, (50, 120, 330, 430, 500))])
        return path.read_bytes()


def spoiled(data: bytes, rng: random.Random) -> bytes:
    """Return the bytes with one to six things changed; of a container mostly within one part."""
    if data.startswith(b"PK") and rng.random() < 0.8:
        return _spoiled_part(data, rng)
    if data.startswith(OLE) and rng.random() < 0.8:
        return _spoiled_records(data, rng)
    changed = bytearray(data)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(changed) + 1)
        choice = rng.random()
        if choice < 0.35 and at < len(changed):
            changed[at] = rng.randrange(256)
        elif choice < 0.5:
            del changed[at : at + rng.randint(1, 30)]
        elif choice < 0.8:
            changed[at:at] = rng.choice(_MAGIC)
        elif choice < 0.9:
            start = rng.randrange(len(changed) + 1)
            changed[at:at] = changed[start : start + rng.randint(1, 60)]
        else:
            del changed[at:]
    return bytes(changed)


def _spoiled_part(data: bytes, rng: random.Random) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = rng.choice(sorted(parts))
    parts[name] = spoiled(parts[name], rng)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, content in parts.items():
            how = zipfile.ZIP_STORED if part == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(zipfile.ZipInfo(part), content, how)
    return out.getvalue()


def _spoiled_records(data: bytes, rng: random.Random) -> bytes:
    """Spoil the records of an old workbook, mostly without moving them: a whole file around them."""
    from xlwt.CompoundDoc import XlsDoc

    records, out = bytearray(workbook_stream(Source("seed", data))), io.BytesIO()
    for _ in range(rng.randint(1, 6)):
        at, start = rng.randrange(len(records)), rng.randrange(len(records))
        if rng.random() < 0.8:
            records[at] = rng.randrange(256)
        else:
            records[at:at] = records[start : start + rng.randint(1, 60)]
    XlsDoc().save(out, bytes(records))
    return out.getvalue()
