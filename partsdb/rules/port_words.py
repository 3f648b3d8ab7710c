"""Words beside a thread in a statement of a port that may make it another one ("not", "worn")."""

from __future__ import annotations

import re
from functools import lru_cache

from partsdb.rules.thread_text import beside_threads, find_threads

_PLAIN_WORDS_LISTED = (
    "x to auf of the a an with and mit und thread threads gewinde port ports end ends both each "
    "inlet outlet connection anschluss swivel nut union boss tapped fixed face seat cone flare "
    "o ring plug chamfer hex stud fitting hose pump gun valve block filter pipe unf unc un unef "
    "uns in inch zoll"
)
# Neither "metric" beside an inch thread nor "left" (hand) is a plain word.
_PLAIN_WORDS = frozenset(_PLAIN_WORDS_LISTED.split())
_BESIDE = re.compile(r"\d+(?!\s*x\s)(?:[.,/:]\d+)*|[^\W\d_]+|[?~≈<>*†‡§±]")
_TO_ANOTHER = re.compile(r"[\s()]*(?:x|to|auf|and|und|-|;)[\s()]*", re.IGNORECASE)
_COMMA = re.compile(r"[\s()]*,[\s()]*")


@lru_cache(maxsize=4096)
def port_doubt(port: str) -> str:
    """Return what is not understood of a port beside its threads, in words, "" if nothing.

    Two threads that may be told as a choice ("1/4 NPT or G 1/4") leave open which one it has.
    """
    rest, between = beside_threads(port)
    words = [word for word in _BESIDE.findall(rest.casefold()) if word not in _PLAIN_WORDS]
    if words:
        return f"what {' '.join(words)!r} in {port!r} means"
    threads = find_threads(port, bare=True)
    is_list = all(thread.gender for thread in threads)
    is_choice = len({(thread.form, thread.size) for thread in threads}) > 1 and not all(
        _TO_ANOTHER.fullmatch(gap) or (is_list and _COMMA.fullmatch(gap)) for gap in between
    )
    return f"which of the threads in {port!r} it has" if is_choice else ""
