"""The command line: parse, call one job, show what it returns.

No module of commands postpones its annotations: the library behind would evaluate each of them
twice at every start, which takes longer than all the rest of the start-up.
"""
