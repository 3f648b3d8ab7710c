"""Lets `python -m partsdb` be the console script."""

from partsdb.cli.main import run

run()
