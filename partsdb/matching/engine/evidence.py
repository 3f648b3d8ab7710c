"""Evidence as one number per candidate, and back into named reasons; plain Python, no numpy.

A million lines cannot carry their reasons as text. A code keeps every fact that the decision saw;
`explain` writes it out again, word for word the same whenever it is asked.
"""

from __future__ import annotations

from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.words import KIND_NAMES
from partsdb.matching.readings import Evidence

# name -> (first bit, bits)
FIELDS = {
    "way": (0, 4),
    "explained": (4, 7),
    "held": (11, 7),
    "conflict": (18, 4),
    "maker": (22, 2),
    "rival": (24, 7),
    "alone": (31, 1),
    "taught": (32, 1),
    "apart": (33, 1),
}
MAKER_UNKNOWN, MAKER_SAME, MAKER_OTHER = range(3)
# In "explained" and "rival": nothing could be compared.
UNSAID = 127

_WAYS = {
    Way.KEY: "the number is the part's, punctuation and case aside",
    Way.LOOKALIKE: "the number is the part's once look-alike characters are taken for each other",
    Way.SCIENTIFIC: "the number is the part's as a spreadsheet shows it in scientific notation",
    Way.DATE: "the number is the part's as a spreadsheet turns it into a date",
    Way.VALUE: "the number is the part's as a spreadsheet shows its value",
    Way.ZEROS: "the number is the part's without its leading zeros",
    Way.PREFIX: "the number is the part's behind a prefix",
    Way.SUFFIX: "the number is the part's before a suffix",
    Way.EDIT: "the number is one edit away from the part's, which proves nothing",
    Way.LETTER: "the number is one letter away from the part's, which proves nothing",
    Way.BEGINS: "the part's number begins with this one",
    Way.WORDS: "no number leads here, the words do",
}


def pack(facts: dict[str, int]) -> int:
    """Return the code of some facts by the names of FIELDS; those left out are 0."""
    return sum(value << FIELDS[name][0] for name, value in facts.items())


def unpack(code: int) -> dict[str, int]:
    """Return the facts of a code."""
    return {name: code >> first & (1 << bits) - 1 for name, (first, bits) in FIELDS.items()}


def explain(code: int) -> tuple[Evidence, ...]:
    """Return the named evidence of one candidate's code, what weighs most first."""
    facts = unpack(code)
    found = [_number(facts)]
    if facts["conflict"]:
        kind = KIND_NAMES[facts["conflict"]]
        found.append(
            Evidence(f"{kind} contradicted", "veto", f"the line and the part state another {kind}")
        )
    if facts["maker"]:
        same = facts["maker"] == MAKER_SAME
        text = "the makers agree" if same else "the line names another maker"
        found.append(Evidence("maker", "for" if same else "veto", text))
    if facts["apart"]:
        told = "the line and the part begin with words that the other has not"
        found.append(Evidence("noun", "against", told))
    found.append(_description(facts))
    if facts["rival"] not in (0, UNSAID) and facts["way"] < Way.EDIT:
        found.append(_rival(facts))
    if not facts["alone"]:
        found.append(Evidence("not alone", "against", "another part is claimed as well"))
    return tuple(found)


def _number(facts: dict[str, int]) -> Evidence:
    way = Way(facts["way"])
    weighs = "for" if way <= Way.SUFFIX else "against" if way in (Way.EDIT, Way.LETTER) else "for"
    text = _WAYS[way]
    if Way.ZEROS <= way <= Way.SUFFIX and not facts["taught"]:
        weighs, text = "against", f"{text}, which the rest of the list does not show"
    return Evidence(f"number: {way.name.lower()}", weighs, text)


def _description(facts: dict[str, int]) -> Evidence:
    if facts["explained"] == UNSAID:
        return Evidence("description", "against", "the line says nothing that can be compared")
    weighs = "for" if facts["explained"] >= 50 else "against"
    text = f"{facts['explained']} % of the line's words fit, {facts['held']} % of the part's appear"
    return Evidence("description", weighs, text)


def _rival(facts: dict[str, int]) -> Evidence:
    better = facts["rival"] > facts["explained"]
    text = f"a part one edit away explains {facts['rival']} % of the line's words"
    return Evidence("neighbour", "against" if better else "for", text)
