"""Characters that no name, note or remark needs: they steer a terminal, or turn the direction of
what follows them. Joiners and blanks of other widths are none of them: languages need those."""

import re

_STEERING = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"
_TURNING = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
# A carriage return alone writes over the line that stands there.
_CONTROL = re.compile(f"[{_STEERING}{_TURNING}]|\r(?!\n)")
_CONTROL_OR_LINE_END = re.compile(f"[{_STEERING}{_TURNING}\r\n\u2028\u2029]")

_SPANS = (
    (0x00, 0x1F), (0x7F, 0x9F), (0x61C, 0x61C), (0x200E, 0x200F), (0x2028, 0x202E),
    (0x2066, 0x2069),
)  # fmt: skip
UNSEEN = frozenset(chr(code) for first, last in _SPANS for code in range(first, last + 1))
"""Every control, and what ends a line or stands for several blanks."""


def control_in(text: str) -> str | None:
    """The first character of ``text`` that steers or turns, but for tabs and line ends."""
    # None of them is printable, and to ask for that takes a third of the time.
    found = None if text.replace("\n", "").isprintable() else _CONTROL.search(text)
    return found[0] if found else None


def harmless(text: str) -> str:
    r"""``text`` with each control written as ``\x1b`` or ``\u202e``; lines stay lines."""
    return _CONTROL.sub(_written, text)


def on_one_line(text: str) -> str:
    r"""As `harmless`, the line ends too: ``\n``."""
    return _CONTROL_OR_LINE_END.sub(_written, text)


def _written(found: re.Match[str]) -> str:
    return ascii(found[0])[1:-1]
