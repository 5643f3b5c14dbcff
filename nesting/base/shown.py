r"""Text as it may be shown on a terminal: the one place that takes out of it what a terminal would obey.

What people wrote (a title, a key of a file, the name of a file, a heading) is text; a terminal takes some of it for
orders: to move, to colour, to rename its window, to answer. Bidirectional embeddings and overrides let a line read
other than it runs (https://www.unicode.org/reports/tr36/#Bidirectional_Text_Spoofing). Each such character is shown as
a program would write it, ``\u001b``, which is the same character in JSON: what programs read means what it meant.
"""

import re
from typing import Final

_OBEYED: Final = re.compile(
    "["
    "\x00-\x08\x0b-\x1f\x7f-\x9f"  # C0 but for tab and line end, DEL, C1 (ECMA-48, ISO/IEC 6429)
    "\u2028\u2029"  # line and paragraph ends
    "\u202a-\u202e\u2066-\u2069"  # bidirectional embeddings, overrides, isolates (Unicode annex 9)
    "\ud800-\udfff"  # halves of pairs: bytes of a file's name that are no text
    "]"
)


def shown(text: str) -> str:
    """Return a text of one or many lines as it may be shown; what a terminal would obey is written out."""
    return _OBEYED.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def shown_on_a_line(text: str) -> str:
    """Return a name as it may be shown within a line, which it cannot end."""
    return shown(text.replace("\n", "\\n").replace("\t", " "))
