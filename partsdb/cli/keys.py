"""One key at a time from a terminal, or one line at a time from anything else."""

import sys
from typing import Protocol

CTRL_C, CTRL_D, ESCAPE = "\x03", "\x04", "\x1b"


class Keys(Protocol):
    """Where answers come from; both raise EOFError when there are no more.

    `single` says that a key comes by itself, so that what must follow it is asked for.
    """

    single: bool

    def key(self) -> str:
        """Return what was typed next: a key, or a whole line where no key can be read."""

    def line(self) -> str:
        """Return a whole line, for an answer that is longer than a key."""


class Lines:
    """Answers from a pipe or a file: each line is one."""

    single = False

    def key(self) -> str:
        """Return the next line."""
        return self.line()

    def line(self) -> str:
        """Return the next line, blanks around it left out."""
        typed = sys.stdin.readline()
        if not typed:
            raise EOFError
        return typed.strip()


class _Windows(Lines):
    """Single keys of a Windows console."""

    single = True

    def key(self) -> str:
        """Return the key that is pressed next."""
        import msvcrt

        typed = str(msvcrt.getwch())  # type: ignore[attr-defined]
        if typed in ("\x00", "\xe0"):  # an arrow or function key comes as two
            msvcrt.getwch()  # type: ignore[attr-defined]
            return ""
        return _checked(typed)


class _Terminal(Lines):
    """Single keys of a terminal, which shows nothing of them by itself."""

    single = True

    def key(self) -> str:
        """Return the key that is pressed next; an arrow or function key is ""."""
        import os
        import select
        import termios
        import tty

        stream = sys.stdin.fileno()
        before = termios.tcgetattr(stream)
        try:
            tty.setcbreak(stream)
            typed = os.read(stream, 1)
            if typed == ESCAPE.encode():
                while select.select([stream], [], [], 0.01)[0]:
                    os.read(stream, 1)
                return ""
            return _checked(_whole(typed, stream))
        finally:
            termios.tcsetattr(stream, termios.TCSADRAIN, before)


def _whole(first: bytes, stream: int) -> str:
    """Return the character that begins with a byte; letters beyond ASCII have several."""
    import os

    typed = first
    while typed and typed[0] >= 0xC0 and len(typed) < 4:
        try:
            return typed.decode()
        except UnicodeDecodeError:
            typed += os.read(stream, 1)
    return typed.decode(errors="replace")


def _checked(typed: str) -> str:
    if typed == CTRL_C:
        raise KeyboardInterrupt
    if typed in ("", CTRL_D, "\x1a"):
        raise EOFError
    return typed


def best_keys() -> Keys:
    """Return the best way to read answers that there is."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return Lines()
    try:
        import termios  # noqa: F401
    except ImportError:
        return _Windows() if sys.platform == "win32" else Lines()
    return _Terminal()
