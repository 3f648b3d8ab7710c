"""Matching of two whole lists by text: no labels, no headings' meaning, one setting for all."""
