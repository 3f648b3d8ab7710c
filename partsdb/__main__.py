"""Lets `python -m partsdb` be the console script, and both end quietly when interrupted at once."""

import sys

INTERRUPTED = 130


def run() -> None:
    """Load the command line and run it; leave with its exit code."""
    try:
        from partsdb.cli.main import run as run_command_line
    except KeyboardInterrupt:  # while it was loading
        sys.stderr.write("error: interrupted before anything was begun\n")
        sys.exit(INTERRUPTED)
    run_command_line()


if __name__ == "__main__":
    run()
