"""The units of sale that a list writes: what each stands for, and which are new."""

from __future__ import annotations

from dataclasses import replace

from importers.rows import PriceListText, Profile, RowKind
from partsdb.errors import AmbiguousError, NotFoundError
from partsdb.jobs.listed import LayoutOf, unit_key
from partsdb.rules.unit_codes import unit_code

# A column of units has a dozen; more are something else under that heading.
_MOST = 50
_NAMED = 8


def with_units(source: PriceListText) -> tuple[Profile, ...]:
    """Return the list's layouts with every unit that its rows write and what that stands for."""
    seen = _seen(source)
    return tuple(
        replace(profile, units=_joined(profile, seen.get(at, ())))
        for at, profile in enumerate(source.profiles)
    )


def new_units(source: PriceListText) -> list[str]:
    """Return the sentences on units that the remembered layouts do not know."""
    seen = _seen(source)
    said = []
    for at, profile in enumerate(source.profiles):
        known = dict(profile.units)
        strange = [unit for unit in seen.get(at, ()) if unit not in known]
        if known and strange:
            named = ", ".join(f"{unit!r}" for unit in strange)
            said.append(f"units of sale that the remembered layout does not know: {named}")
    return said


def unknown_units(source: PriceListText) -> tuple[str, ...]:
    """Return the sentence on units of sale that nobody knows: their prices count as for one."""
    settled = {unit for profile in source.profiles for unit, code in profile.units if code}
    found = {unit for row in source.rows if (unit := row.fields.get("unit", ""))}
    strange = sorted({unit_key(unit) for unit in found if _is_unknown(unit)} - settled)
    if not strange:
        return ()
    named = ", ".join(f"{unit!r}" for unit in strange[:_NAMED])
    more = f" and {len(strange) - _NAMED} more" if len(strange) > _NAMED else ""
    return (
        f"units of sale that are not known: {named}{more}; the price of one is taken for that of a "
        f'piece: if it is a pack, partsdb pricelist layout takes --unit "{strange[0]}=PK"',
    )


def _is_unknown(unit: str) -> bool:
    try:
        return not unit_code(unit).code
    except AmbiguousError:
        return False  # refused row by row
    except NotFoundError:
        return True


def _seen(source: PriceListText) -> dict[int, tuple[str, ...]]:
    """Return for each layout by its position the units of its rows, in order of appearance."""
    above = LayoutOf(source.profiles)
    places = {id(profile): at for at, profile in enumerate(source.profiles)}
    found: dict[int, dict[str, None]] = {}
    for row in source.rows:
        unit = row.fields.get("unit", "")
        if unit and row.kind is RowKind.ITEM:
            at = places.get(id(above(row)), -1)
            found.setdefault(at, {}).setdefault(unit_key(unit))
    return {at: tuple(units)[:_MOST] for at, units in found.items()}


def _joined(profile: Profile, seen: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    known = dict(profile.units)
    return tuple((known | {unit: code_of(unit) for unit in seen if unit not in known}).items())


def code_of(unit: str) -> str:
    """Return the code of UN/ECE Recommendation 20 or 21, "" for a unit that is not sure."""
    try:
        return unit_code(unit).code
    except (AmbiguousError, NotFoundError):
        return ""
