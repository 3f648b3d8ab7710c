"""Where the tables of a sheet start and what their columns mean, told by words and content."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from importers.content import Content, content_of
from importers.heading_units import is_only_units, units_for
from importers.headings import Heading, read_heading
from importers.raw import NUMBER, RawRow, RawSheet
from importers.rows import Column, word_behind
from importers.tax_words import INCLUDED, tax_said

IDENTITY = frozenset({"code", "maker_number", "description"})
PRICES = ("price", "list_price")
_SHORT = 30


@dataclass(frozen=True, slots=True)
class Header:
    """A header: the positions of its first and last row in the sheet, its headings and meanings."""

    first: int
    last: int
    texts: tuple[str, ...]
    headings: tuple[Heading | None, ...]

    @property
    def meanings(self) -> tuple[str, ...]:
        """Return the meaning of each heading, "" where it is unknown."""
        return tuple(h.meaning if h else "" for h in self.headings)


def headings_of_cells(cells: Sequence[str]) -> list[Heading | None]:
    """Return what each cell would mean as a heading."""
    return [read_heading(cell.strip()) for cell in cells]


def is_header(row: RawRow) -> bool:
    """Say whether a row reads as a header: several known headings, one of them of an article.

    One exact word at least, four in ten of the filled cells or the very words for code, text and
    price among columns of the supplier's own, and hardly any stored number.
    """
    found = [h for h in headings_of_cells(row.cells) if h]
    if len(found) < 2:
        return False
    meanings = {h.meaning for h in found} - {"other"}
    filled = sum(bool(cell.strip()) for cell in row.cells)
    exact = sum(h.strength == 2 for h in found)
    named = {h.meaning for h in found if h.strength == 2}
    is_plain = {"code", "description"} <= named and bool(named & set(PRICES))
    return (
        len(meanings) >= 2
        and bool(meanings & (IDENTITY | {"replaces", "ean"}))
        and exact >= 1
        and exact * 2 + len(found) >= 5
        and (is_plain or len(found) * 5 >= filled * 2)
        and row.kinds.count(NUMBER) * 3 <= filled
    )


def header_at(sheet: RawSheet, position: int) -> Header:
    """Return the header at a row that `is_header`, with the rows above and below that belong.

    Above it merged group headings, below it units or subheadings.
    """
    first = last = position
    if position and _is_group_row(sheet, position - 1):
        first = position - 1
    if position + 1 < len(sheet.rows):
        below = sheet.rows[position + 1]
        if _is_subheading(below) or _is_under_merges(sheet, position):
            last = position + 1
    layers = [_filled(sheet, index) for index in range(first, last + 1)]
    width = max(map(len, layers))
    stacked = [[layer[i] if i < len(layer) else "" for layer in layers] for i in range(width)]
    texts = tuple(" ".join(dict.fromkeys(t for t in stack if t)) for stack in stacked)
    headings = tuple(_stacked(stack, text) for stack, text in zip(stacked, texts, strict=True))
    return Header(first, last, texts, headings)


def _stacked(stack: list[str], text: str) -> Heading | None:
    """Read a heading of several rows: as a whole, else its lowest part, else any part."""
    whole = read_heading(text)
    if len(stack) == 1 or (whole and whole.strength == 2):
        return whole
    for part in reversed(stack):
        lower = read_heading(part) if part else None
        if lower and lower.strength == 2:
            return Heading(lower.meaning, units_for(lower.meaning, text, lower.unit), 2)
    return whole


def _filled(sheet: RawSheet, position: int) -> list[str]:
    """Return a header row's cells with every merged range filled from its first cell."""
    row = sheet.rows[position]
    cells = [" ".join(cell.split()) for cell in row.cells]
    for top, left, _bottom, right in sheet.merges_at(row.number):
        text = cells[left] if top == row.number and left < len(cells) else ""
        cells += [""] * (min(right, 511) + 1 - len(cells))
        for index in range(left, min(right, 511) + 1):
            cells[index] = cells[index] or text
    return cells


def _is_group_row(sheet: RawSheet, position: int) -> bool:
    """Say whether a row is group headings: merged over some columns, or words over the header."""
    row, below = sheet.rows[position], sheet.rows[position + 1]
    filled = [cell.strip() for cell in row.cells if cell.strip()]
    if row.number + 1 != below.number or not _could_head(row):
        return False
    if len(filled) >= 2 and all(read_heading(cell) for cell in filled):
        return True
    width = len(below.cells)
    return any(
        right - left + (bottom - top) > 0 and right - left + 1 < width and bottom <= below.number
        for top, left, bottom, right in sheet.merges_at(row.number)
        # a lone merge from the first column on is a title that does not span the whole table
        if top == row.number and row.cell(left).strip() and (left or len(filled) > 1)
    )


def _is_under_merges(sheet: RawSheet, position: int) -> bool:
    """Say whether the row below holds the short headings under merged group headings."""
    row, below = sheet.rows[position], sheet.rows[position + 1]
    filled = [cell for cell in below.cells if cell.strip()]
    if below.number != row.number + 1 or len(filled) < 2 or not _could_head(below):
        return False
    width = len(row.cells)
    return any(
        top == row.number and (bottom == below.number or 0 < right - left < width - 1)
        for top, left, bottom, right in sheet.merges_at(row.number)
    )


def _could_head(row: RawRow) -> bool:
    """Say whether a row holds short words alone: no stored number, no figure but a quantity."""
    filled = [cell.strip() for cell in row.cells if cell.strip()]
    return NUMBER not in row.kinds and not any(len(c) > _SHORT or _is_figure(c) for c in filled)


def _is_figure(cell: str) -> bool:
    return any(map(str.isdecimal, cell)) and not is_only_units(cell)


def _is_subheading(row: RawRow) -> bool:
    """Say whether every filled cell is a unit or a header word, and the row no table of its own."""
    filled = [cell.strip() for cell in row.cells if cell.strip()]
    if not filled or any(len(cell) > _SHORT for cell in filled):
        return False
    if len(filled) == 1:  # a lone word may as well be a section heading
        return is_only_units(filled[0])
    return all(_is_subword(cell) for cell in filled)


def _is_subword(cell: str) -> bool:
    heading = read_heading(cell)
    return is_only_units(cell) or (heading is not None and heading.strength == 2)


def propose(header: Header, body: Sequence[RawRow]) -> tuple[list[Column], list[str]]:
    """Return the columns of a table with one meaning each, and sentences on what was assumed."""
    contents = [content_of(body, i) for i in range(len(header.texts))]
    meanings = list(header.meanings)
    said = _settle_codes(header, meanings, contents)
    said += _fill_from_content(header, meanings, contents)
    said += _settle_prices(header, meanings)
    said += _settle_rest(header, meanings)
    columns = [
        Column(i, text, meanings[i] or "other", h.unit if h else "")
        for i, (text, h) in enumerate(zip(header.texts, header.headings, strict=True))
        if text or contents[i].fill
    ]
    return columns, said


def _settle_codes(header: Header, meanings: list[str], contents: list[Content]) -> list[str]:
    """Keep one code column: the one whose cells look most like codes; text becomes description."""
    said: list[str] = []
    claimants = [i for i, m in enumerate(meanings) if m == "code"]
    sure = max((contents[i].code_like for i in claimants), default=0.0)
    for index in claimants:
        content = contents[index]
        is_long = content.length > 14 and content.code_like < 0.5
        is_text = bool(content.fill) and (is_long or content.code_like < sure - 0.5)
        if content.is_counter and len(claimants) > 1:
            meanings[index] = "other"
            said.append(f'column "{header.texts[index]}" only counts the rows; it is no code')
        elif is_text and "description" not in meanings:
            meanings[index] = "description"
            said.append(f'column "{header.texts[index]}" is taken as description by its cells')
    claimants = [i for i in claimants if meanings[i] == "code"]
    if len(claimants) > 1:
        best = max(claimants, key=lambda i: (_codeness(contents[i]), -i))
        for index in claimants:
            meanings[index] = "code" if index == best else "other"
        others = ", ".join(f'"{header.texts[i]}"' for i in claimants if i != best)
        said.append(f'"{header.texts[best]}" is taken as the code column, not {others}')
    return said


def _settle_rest(header: Header, meanings: list[str]) -> list[str]:
    """Keep one column per meaning; of ratings the working one, never burst or proof before it."""
    said: list[str] = []
    for meaning in sorted(set(meanings) - {"", "other", "description"}):
        claimants = [i for i, m in enumerate(meanings) if m == meaning]
        best = min(claimants, key=lambda i: (not_working(header.headings[i]), i))
        for index in claimants:
            if index != best:
                meanings[index] = "other"
                words = meaning.replace("_", " ")
                said.append(
                    f'"{header.texts[best]}" is taken as {words}, not "{header.texts[index]}"'
                )
    return said


def not_working(heading: Heading | None) -> bool:
    """Say whether a heading names a burst or proof figure."""
    return heading is not None and bool({"burst", "proof"} & set(heading.unit.split()))


def _codeness(content: Content) -> float:
    return round(content.fill * content.distinct * (0.2 + content.code_like), 2)


def _fill_from_content(header: Header, meanings: list[str], contents: list[Content]) -> list[str]:
    """Give a missing price, code or description to the one unknown column that looks like it."""
    said: list[str] = []
    unknown = [i for i, m in enumerate(meanings) if not m and contents[i].fill >= 0.5]
    wanted: list[tuple[str, list[int]]] = []
    if not set(meanings) & set(PRICES):
        wanted.append(("price", [i for i in unknown if contents[i].price_like >= 0.8]))
    if not set(meanings) & {"code", "maker_number"}:
        wanted.append(("code", [i for i in unknown if _looks_like_code(contents[i])]))
    if "description" not in meanings:
        wanted.append(("description", [i for i in unknown if contents[i].length >= 15]))
    for meaning, candidates in wanted:
        if len(candidates) == 1 and not meanings[candidates[0]]:
            meanings[candidates[0]] = meaning
            text = header.texts[candidates[0]] or "without heading"
            said.append(f'column "{text}" is taken as {meaning} by what its cells look like')
    return said


def _looks_like_code(content: Content) -> bool:
    return (
        content.code_like >= 0.8
        and content.distinct >= 0.9
        and content.price_like < 0.5
        and not content.is_counter
    )


def _settle_prices(header: Header, meanings: list[str]) -> list[str]:
    """Say which column is the price where several claim it: the one for the smallest quantity.

    Of two for one quantity it is the one without tax, then the one of a piece.
    """
    claimants = [i for i, m in enumerate(meanings) if m == "price"]
    least = {i: _least_quantity(header.headings[i]) for i in claimants}
    taxed = {i: tax_said(header.texts[i]).kind == INCLUDED for i in claimants}
    claimants.sort(key=lambda i: (least[i], taxed[i], _is_per_pack(header.headings[i]), i))
    for index in claimants[1:]:
        meanings[index] = "other"
    said = []
    if claimants and least[claimants[0]] > 1 and not {"list_price", "discount"} <= set(meanings):
        text = header.texts[claimants[0]]
        said.append(f'the price in column "{text}" holds only from {least[claimants[0]]} units')
    rivals = [header.texts[i] for i in claimants[1:] if least[i] <= 1]
    if rivals:
        others = ", ".join(f'"{text}"' for text in rivals)
        said.append(f'"{header.texts[claimants[0]]}" is taken as the price, not {others}')
    return said


def _is_per_pack(heading: Heading | None) -> bool:
    """Say whether a price is that of a pack: one of a piece is preferred."""
    return heading is not None and "per pack" in heading.unit


def _least_quantity(heading: Heading | None) -> int:
    """Return the quantity from which a price column holds, 0 when the heading names none."""
    return int((heading and word_behind(heading.unit, "from")) or 0)
