"""Records: the standard library's dataclasses, their methods written at their first use.

A command loads more than a hundred records and makes objects of a few. The library compiles six
methods for each while it is loaded, which was a third of the time of a whole command; here each is
compiled when it is first called. In all else a record behaves as its dataclass would. Fields for
`__init__` alone (InitVar) and fields by keyword only are not for records.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import MISSING, Field, FrozenInstanceError, field, fields, replace
from functools import partial
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any, NoReturn

__all__ = ["dataclass", "field", "replace"]

Source = tuple[str, dict[str, Any]]  # a method's text, and the values that its names stand for

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, order=False):
        """Make the class a record; one without slots is left to the library."""
        if not slots:
            return dataclasses.dataclass(cls, frozen=frozen, order=order)
        make = partial(_record, frozen=frozen, order=order)
        return make if cls is None else make(cls)


_FIELDS_AND_SLOTS = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True)
_ORDER = {"__lt__": "<", "__le__": "<=", "__gt__": ">", "__ge__": ">="}


def _record(cls: Any, *, frozen: bool, order: bool) -> type:
    cls.__doc__ = cls.__doc__ or cls.__name__  # else the library spells the signature out
    made: Any = _FIELDS_AND_SLOTS(cls)
    compared = [each.name for each in fields(made) if each.compare]
    signs = {"__eq__": "==", **(_ORDER if order else {})}
    methods: dict[str, Any] = {
        name: _late(made, name, partial(_comparison, name, sign, compared))
        for name, sign in signs.items()
    }
    methods["__init__"] = _late(made, "__init__", partial(_init, made))
    methods["__repr__"] = _repr
    methods["__hash__"] = None  # what may change is no key
    if frozen:
        methods["__hash__"] = _late(made, "__hash__", partial(_hash, compared))
        methods |= _FROZEN
    for name, method in methods.items():
        if name not in vars(cls):
            setattr(made, name, method)
    return made  # type: ignore[no-any-return]


def _late(cls: type, name: str, source: Callable[[], Source]) -> Callable[..., Any]:
    """Return a method that compiles `source` at its first call, and leaves it in its place."""

    def method(self: Any, *given: Any, **named: Any) -> Any:
        text, values = source()
        exec(text, values)
        compiled = values[name]
        compiled.__qualname__ = f"{cls.__qualname__}.{name}"
        setattr(cls, name, compiled)
        return compiled(self, *given, **named)

    return method


def _init(cls: type) -> Source:
    every: Sequence[Field[Any]] = fields(cls)
    values: dict[str, Any] = {}
    for each in every:
        # Straight into the slot: past what a frozen record refuses, and faster.
        values[f"_set_{each.name}"] = getattr(cls, each.name).__set__
        values[f"_default_{each.name}"] = each.default
        values[f"_new_{each.name}"] = each.default_factory
    taken = ", ".join(["self", *(_parameter(each) for each in every if each.init)])
    lines = [f"_set_{each.name}(self, {v})" for each in every if (v := _first_value(each))]
    if hasattr(cls, "__post_init__"):
        lines.append("self.__post_init__()")
    return f"def __init__({taken}):\n " + "\n ".join(lines or ["pass"]), values


def _parameter(each: Field[Any]) -> str:
    needed = each.default is MISSING and each.default_factory is MISSING
    return each.name if needed else f"{each.name}=_default_{each.name}"


def _first_value(each: Field[Any]) -> str:
    """Return the text of the value that a new object's field gets, or "" when it gets none."""
    name = each.name
    if each.default_factory is not MISSING:  # so that what is missing stands as the default
        made = f"_new_{name}()"
        return f"{made} if {name} is _default_{name} else {name}" if each.init else made
    if each.init:
        return name
    return "" if each.default is MISSING else f"_default_{name}"


def _comparison(name: str, sign: str, compared: Sequence[str]) -> Source:
    return (
        f"def {name}(self, other):\n"
        " if other.__class__ is self.__class__:\n"
        f"  return {_tuple('self', compared)} {sign} {_tuple('other', compared)}\n"
        " return NotImplemented"
    ), {}


def _hash(compared: Sequence[str]) -> Source:
    return f"def __hash__(self):\n return hash({_tuple('self', compared)})", {}


def _tuple(owner: str, names: Sequence[str]) -> str:
    return "(" + "".join(f"{owner}.{name}, " for name in names) + ")"


@recursive_repr()
def _repr(self: Any) -> str:
    shown = (f"{each.name}={getattr(self, each.name)!r}" for each in fields(self) if each.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _refuse_to_set(self: Any, name: str, value: object) -> NoReturn:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(self: Any, name: str) -> NoReturn:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, each.name) for each in fields(self)]


def _restore(self: Any, state: Sequence[Any]) -> None:
    for each, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, each.name, value)


_FROZEN = {
    "__setattr__": _refuse_to_set,
    "__delattr__": _refuse_to_delete,
    "__getstate__": _state,  # copies and pickles would set the fields one by one
    "__setstate__": _restore,
}
