"""The figures that a shop may set for itself, each with its default and what it must look like."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError, UsageError
from partsdb.rules.currencies import currency_info
from partsdb.rules.money import plain_decimal
from partsdb.store import events
from partsdb.store.rows import Stamp


@dataclass(frozen=True, slots=True)
class _Kind:
    """One setting: what it is when never set, what it means, and what refuses a bad value."""

    default: str
    what: str
    check: Callable[[str], object]


@dataclass(frozen=True, slots=True)
class SettingShown:
    """A setting as it stands."""

    setting: str
    value: str
    default: str
    what: str


def _share(text: str) -> Fraction:
    value = plain_decimal(text)
    if not 0 < value < 1:
        raise UsageError(f"{text!r} is no share between 0 and 1", hint="write 5 % as 0.05")
    return value


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and int(text)):
        raise UsageError(f"{text!r} is no whole number above zero", hint="write 90")
    return int(text)


def _above_zero(text: str) -> Fraction:
    value = plain_decimal(text)
    if value <= 0:
        raise UsageError(f"{text!r} is not above zero", hint="write 1 or 0.5")
    return value


def _basis(text: str) -> str:
    if text not in ("CIF", "FOB"):
        raise UsageError(f"{text!r} is no customs basis", hint="CIF (EU, UK) or FOB (US)")
    return text


def _tax(text: str) -> Fraction:
    value = plain_decimal(text)
    if not 0 <= value < 1:
        raise UsageError(f"{text!r} is no rate of tax", hint="write 20 % as 0.2")
    return value


def _part(text: str) -> Fraction:
    value = plain_decimal(text)
    if not 0 <= value <= 1:
        raise UsageError(f"{text!r} is no share from 0 to 1", hint="write 90 % as 0.9")
    return value


def _yes_no(text: str) -> str:
    if text not in ("yes", "no"):
        raise UsageError(f"{text!r} is neither yes nor no", hint="write yes or no")
    return text


def _plan(text: str) -> str:
    from partsdb.rules.sampling import AQLS, LEVELS

    level, _, aql = text.partition(" ")
    if level not in LEVELS or aql not in AQLS:
        raise UsageError(
            f"{text!r} is no level and AQL of ISO 2859-1",
            hint=f"write II 1.0; levels {', '.join(LEVELS)}; AQLs {', '.join(AQLS)}",
        )
    return text


KINDS = {
    "home_currency": _Kind("EUR", "the currency that the shop counts in", currency_info),
    "customs_basis": _Kind("CIF", "what duty falls on: CIF (EU, UK) or FOB (US)", _basis),
    "vat_rate": _Kind("0", "VAT or sales tax on what is bought, 0.2 for 20 %", _tax),
    "vat_recoverable": _Kind("yes", "yes: the VAT is cash, not cost; no: it is a cost", _yes_no),
    "customs_whole": _Kind("1", "customs value a line in whole so many cents (US: 100)", _whole),
    "take_prompt_discount": _Kind("no", "yes: discounts for prompt payment are taken", _yes_no),
    "core_returned": _Kind("0", "share of old cores sent back, where the terms say none", _part),
    "grade_a_below": _Kind("0.02", "comeback rate that an A must be shown to stay below", _share),
    "grade_b_below": _Kind("0.05", "comeback rate that a B must be shown to stay below", _share),
    "grade_c_below": _Kind("0.10", "comeback rate that a C must be shown to stay below", _share),
    "grade_confidence": _Kind("0.90", "how surely it must be shown", _share),
    "grade_prior_failed": _Kind("1", "prior of the comeback rate: Beta(this, ...)", _above_zero),
    "grade_prior_clean": _Kind("1", "prior of the comeback rate: Beta(..., this)", _above_zero),
    "grade_lot_cap": _Kind("10", "fittings of one lot that count at most", _whole),
    "grade_months": _Kind("24", "months without a fitting after which a grade is aged", _whole),
    "grade_on_time": _Kind("0.80", "share on time that a supplier must not be shown below", _share),
    "grade_filled": _Kind("0.90", "share of ordered units sent, the same", _share),
    "warranty_days": _Kind("90", "days after which a fitting without comeback counts", _whole),
    "price_jump": _Kind("0.3", "a price that moves by more waits for a person", _share),
    "inspect_rate": _Kind("0.10", "share of bad pieces that a sample must find", _share),
    "inspect_risk": _Kind("0.10", "risk of not finding it", _share),
    "inspect_wear_item": _Kind("II 1.0", "ISO 2859-1 level and AQL of wear items", _plan),
    "inspect_hardware": _Kind("I 2.5", "the same of hardware", _plan),
    "inspect_consumable": _Kind("S-2 4.0", "the same of consumables", _plan),
    "inspect_reduced": _Kind(
        "no", "yes: a good record reduces the inspection of what holds no pressure", _yes_no
    ),
}


def setting(name: str) -> str:
    """Return a setting as it stands."""
    return events.setting(name, KINDS[name].default)


def share(name: str) -> Fraction:
    """Return a setting that is a number, exactly."""
    return plain_decimal(setting(name))


def settings_shown() -> list[SettingShown]:
    """Return every setting with its default."""
    return [
        SettingShown(name, setting(name), kind.default, kind.what) for name, kind in KINDS.items()
    ]


def change_setting(name: str, value: str, by: Stamp) -> SettingShown:
    """Set one; raises UsageError for an unknown name or a value that it cannot have."""
    kind = KINDS.get(name)
    if kind is None:
        raise UsageError(f"there is no setting {name!r}", hint=f"there are: {', '.join(KINDS)}")
    try:
        kind.check(value)
    except InputRefusedError as refusal:
        raise UsageError(f"{name}: {refusal.message}", hint=refusal.hint) from refusal
    _refuse_disorder(name, value)
    events.set_setting(name, value, by=by)
    return SettingShown(name, value, kind.default, kind.what)


def _refuse_disorder(name: str, value: str) -> None:
    """Refuse limits of the grades that do not rise from A to C."""
    names = ("grade_a_below", "grade_b_below", "grade_c_below")
    if name not in names:
        return
    limits = [plain_decimal(value) if each == name else share(each) for each in names]
    if not limits[0] < limits[1] < limits[2]:
        said = ", ".join(str(float(limit)) for limit in limits)
        raise UsageError(
            f"the limits of A, B and C would be {said}", hint="each must be above the one before"
        )
