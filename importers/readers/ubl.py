"""UBL 2.1 Catalogue (OASIS): one row per catalogue line, counted from 1."""

from __future__ import annotations

import re

from importers.documents import Article, broken, sheet_of
from importers.limits import Limits
from importers.raw import RawFile, Source
from importers.rows import Profile
from importers.wording import counted
from importers.xml_tree import Node, parse

_ROOT = re.compile(rb"<(?:[A-Za-z_][\w.-]*:)?Catalogue[\s>]")
_NAMESPACE = b"urn:oasis:names:specification:ubl:schema:xsd:Catalogue-2"
_FIELDS = (
    # (field, path inside CatalogueLine)
    ("code", "Item/SellersItemIdentification/ID"),
    ("maker_number", "Item/ManufacturersItemIdentification/ID"),
    ("maker", "Item/ManufacturerParty/PartyName/Name"),
    ("ean", "Item/StandardItemIdentification/ID"),
    ("origin", "Item/OriginCountry/IdentificationCode"),
    ("superseded_by", "ReplacementRelatedItem/ID"),
    ("replaces", "ReplacedRelatedItem/ID"),
    ("note", "Note"),
)
_PROPERTIES = {
    "material": "material", "werkstoff": "material", "thread": "thread", "gewinde": "thread",
    "connection": "thread", "working pressure": "rating", "max. working pressure": "rating",
    "pressure rating": "rating", "betriebsdruck": "rating", "replaces": "replaces",
    "weight": "weight",
}  # fmt: skip
_DAYS = {"DAY": 1, "WEE": 7}  # UN/ECE Recommendation 20


class Ubl:
    """Reads the lines of a UBL 2.1 catalogue; document types and entities are refused."""

    name = "UBL catalogue"
    grows = False

    def recognizes(self, source: Source) -> bool:
        """Say whether the root element is a Catalogue of the UBL namespace."""
        head = source.data[:65_536]
        return head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") and bool(
            _ROOT.search(head) and _NAMESPACE in head
        )

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the catalogue lines; a line that the document deletes is refused."""
        root = parse(source, limits)
        if root.name != "Catalogue":
            raise broken(source, "", f"the document is a {root.name[:30]}, no Catalogue")
        lines = root.all("CatalogueLine")
        stated = root.first("LineCountNumeric")
        if stated and (not stated.isdecimal() or int(stated) != len(lines)):
            said = (
                f"LineCountNumeric says {stated}, the catalogue has {counted(len(lines), 'line')}"
            )
            raise broken(source, "", said)
        if not lines:
            raise broken(source, "", "the catalogue has no lines")
        head = _validity(root.all("ValidityPeriod"))
        articles = [_article(number, line, head) for number, line in enumerate(lines, start=1)]
        found = RawFile(self.name, [], assumptions=["document read as UBL 2.1 catalogue"])
        found.sheets.append(sheet_of("catalogue line", articles, limits, place=source.name))
        return found


def _article(number: int, line: Node, head: dict[str, str]) -> Article:
    article = Article(number, head | _validity(line.all("LineValidityPeriod")))
    for key, path in _FIELDS:
        for node in line.all(path):
            article.add(key, node.text)
    for path in ("Item/Name", "Item/Description"):
        for node in line.all(path):
            article.add("description", node.text)
    for each in line.all("Item/AdditionalItemProperty"):
        named = _PROPERTIES.get(each.first("Name").casefold())
        if named:
            quantity = each.all("ValueQuantity")
            unit = quantity[0].attrs.get("unitCode", "") if quantity else ""
            value = each.first("Value") or f"{each.first('ValueQuantity')} {unit}"
            article.add(named, value)
    if line.first("ActionCode").casefold() == "delete":
        article.refused = "the document deletes this article"
    _pack(article, line)
    _prices(article, line)
    return article


def _pack(article: Article, line: Node) -> None:
    article.once("pack", _whole(line.first("Item/PackSizeNumeric")))
    article.once("min_qty", _whole(line.first("MinimumOrderQuantity")))


def _prices(article: Article, line: Node) -> None:
    """The price for the least quantity is the price; the others are breaks."""
    priced: list[tuple[int, Node]] = []
    for place in line.all("RequiredItemLocationQuantity"):
        _lead(article, place)
        lowest = int(_whole(place.first("MinimumQuantity")) or "1")
        priced += [(lowest, price) for price in place.all("Price")]
    for least, price in sorted(priced, key=lambda each: each[0]):
        amounts = price.all("PriceAmount")
        base = price.all("BaseQuantity")
        per = base[0].text if base else ""
        unit = base[0].attrs.get("unitCode", "") if base else line.first("OrderableUnit")
        key = f"price_from_{least}" if least > 1 and "price" in article.fields else "price"
        if amounts:
            article.price(key, amounts[0].text, per, unit)
            article.once("currency", amounts[0].attrs.get("currencyID", ""))
        if least > 1 and key == "price":
            article.odd.append(f"the price holds only from {counted(least, 'unit')}")


def _lead(article: Article, place: Node) -> None:
    for measure in place.all("LeadTimeMeasure"):
        days = _DAYS.get(measure.attrs.get("unitCode", "").upper())
        if days and measure.text.isdecimal():
            article.once("lead_days", str(int(measure.text) * days))


def _validity(periods: list[Node]) -> dict[str, str]:
    if not periods:
        return {}
    found = {"valid_from": periods[0].first("StartDate"), "valid_to": periods[0].first("EndDate")}
    return {key: day for key, day in found.items() if re.fullmatch(r"\d{4}-\d\d-\d\d", day)}


def _whole(text: str) -> str:
    """Return a whole quantity, "" for none or a broken one."""
    found = re.fullmatch(r"([0-9]{1,9})(?:\.0*)?", text)
    return found.group(1) if found else ""
