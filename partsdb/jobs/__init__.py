"""One file per job: gather facts from the store, ask the rules, return plain dataclasses."""
