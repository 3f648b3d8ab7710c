"""Names of makers and suppliers: the key under which their spellings meet."""

from __future__ import annotations

import re
import unicodedata

_WORD = re.compile(r"[^\W_]+")
# Legal forms say nothing about who a firm is. Common practice, no source.
_LEGAL_FORMS = frozenset(
    {
        *("ab", "ag", "as", "bv", "co", "corp", "corporation", "company", "gmbh", "inc", "kg"),
        *("limited", "llc", "llp", "ltd", "nv", "oy", "plc", "pty", "sa", "sarl", "sas", "spa"),
        *("srl", "ug"),
    }
)


def name_key(name: str) -> str:
    """Return the name without case, accents, punctuation and legal form ("Quillmere Ltd.")."""
    flat = unicodedata.normalize("NFKD", name).casefold()
    plain = "".join(c for c in flat if not unicodedata.combining(c))
    words = _WORD.findall(plain.replace(".", ""))
    telling = [word for word in words if word not in _LEGAL_FORMS]
    return "".join(telling or words)
