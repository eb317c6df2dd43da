"""Reading a text that git left conflicts in."""

import re

_MARKER = re.compile(r"(<{7,} |\|{7,} |={7,}\r?$|>{7,} )")
_SIDES = {"<": ("ours",), "|": (), "=": ("theirs",), ">": ("ours", "theirs")}


def conflict_sides(text: str) -> tuple[str, str] | None:
    """The text as whoever takes all of ours makes it, and all of theirs; None where there is no
    conflict in it."""
    lines: dict[str, list[str]] = {"ours": [], "theirs": []}
    into: tuple[str, ...] = ("ours", "theirs")
    found = False
    for line in text.splitlines(keepends=True):
        marker = _MARKER.match(line)
        if marker:
            found = True
            into = _SIDES[line[0]]
            continue
        for side in into:
            lines[side].append(line)
    return ("".join(lines["ours"]), "".join(lines["theirs"])) if found else None
