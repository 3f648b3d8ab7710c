"""Remembers what a pure function returned for the very same frozen object: no text is hashed."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import wraps
from typing import TypeVar

_Thing = TypeVar("_Thing")
_Other = TypeVar("_Other")
_Key = TypeVar("_Key", bound=Hashable)
_Result = TypeVar("_Result")

MOST = 8192  # when full all is forgotten: a list's parts come and go


def once_per_object(function: Callable[[_Thing], _Result]) -> Callable[[_Thing], _Result]:
    """Return `function` that answers at once when it is asked about the same object again.

    The object must not change (a frozen dataclass, a tuple) and is kept alive while remembered.
    """
    known: dict[int, tuple[_Thing, _Result]] = {}

    @wraps(function)
    def remembering(thing: _Thing) -> _Result:
        found = known.get(id(thing))
        if found is not None and found[0] is thing:
            return found[1]
        result = function(thing)
        if len(known) >= MOST:
            known.clear()
        known[id(thing)] = (thing, result)
        return result

    return remembering


def once_per_object_and(
    function: Callable[[_Thing, _Key], _Result],
) -> Callable[[_Thing, _Key], _Result]:
    """Return `function` of an object, as `once_per_object`, and of a value that hashes fast."""
    known: dict[tuple[int, _Key], tuple[_Thing, _Result]] = {}

    @wraps(function)
    def remembering(thing: _Thing, key: _Key) -> _Result:
        found = known.get((id(thing), key))
        if found is not None and found[0] is thing:
            return found[1]
        result = function(thing, key)
        if len(known) >= MOST:
            known.clear()
        known[id(thing), key] = (thing, result)
        return result

    return remembering


def once_per_pair(
    function: Callable[[_Thing, _Other], _Result],
) -> Callable[[_Thing, _Other], _Result]:
    """Return `function` of two objects that answers at once for the same two objects again."""
    known: dict[tuple[int, int], tuple[_Thing, _Other, _Result]] = {}

    @wraps(function)
    def remembering(thing: _Thing, other: _Other) -> _Result:
        found = known.get((id(thing), id(other)))
        if found is not None and found[0] is thing and found[1] is other:
            return found[2]
        result = function(thing, other)
        if len(known) >= MOST:
            known.clear()
        known[id(thing), id(other)] = (thing, other, result)
        return result

    return remembering
