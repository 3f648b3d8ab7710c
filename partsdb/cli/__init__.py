"""The command line: parse, call one job, show what it returns."""
