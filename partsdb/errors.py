"""The one family of errors: the command line catches PartsdbError and shows one sentence.

PartsdbError
 ├─ UsageError             exit 2   wrong flags, unknown part, machine, supplier, unit …
 │   ├─ NotFoundError
 │   └─ AmbiguousError
 ├─ InputRefusedError      exit 3   a file or a value in it that we do not take in
 └─ StoreError             exit 4   database missing, busy, damaged or of another version
"""

from __future__ import annotations


class PartsdbError(Exception):
    """Base of them all. `code` is for programs, the message for people, `hint` says what to do."""

    exit_code = 1
    code = "internal"

    def __init__(self, message: str, *, hint: str = "") -> None:
        self.message, self.hint = message, hint
        super().__init__(message)


class UsageError(PartsdbError):
    """What was asked for cannot be understood or is not known."""

    exit_code = 2
    code = "usage"


class NotFoundError(UsageError):
    """Nothing of that name is stored; `what` is the kind of thing, `name` what was asked for.

    `said` is the sentence where more was asked for than a name.
    """

    code = "not_found"

    def __init__(self, what: str, name: str, *, hint: str = "", said: str = "") -> None:
        self.what, self.name = what, name
        super().__init__(said or f"no {what} {name!r} is known here", hint=hint)


class AmbiguousError(UsageError):
    """More than one thing answers to the name; `choices` lists them."""

    code = "ambiguous"

    def __init__(self, what: str, name: str, choices: list[str], *, hint: str = "") -> None:
        self.what, self.name, self.choices = what, name, choices
        super().__init__(f"{what} {name!r} may be {' or '.join(choices)}", hint=hint)


class InputRefusedError(PartsdbError):
    """A file, or a value in it, that is refused; `place` says where (file, sheet, row, column)."""

    exit_code = 3
    code = "input_refused"

    def __init__(self, message: str, *, place: str = "", hint: str = "") -> None:
        self.place = place
        super().__init__(f"{place}: {message}" if place else message, hint=hint)


class StoreError(PartsdbError):
    """The database is missing, busy, damaged or of another version."""

    exit_code = 4
    code = "store"
