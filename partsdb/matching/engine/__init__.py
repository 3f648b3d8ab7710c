"""The engine for long lists: a catalogue index kept on disk, lines matched many at once.

`build.build_index` writes the index, `delta.update_index` keeps it in step, `run.match_list` reads
a list against it on several processes, `find.find_parts` answers one question without numpy.
`decision.lane` alone says what settles; `evidence` names what was seen.
"""
