"""Which new file is which old one under another name, told by their lines."""

from collections import Counter
from collections.abc import Mapping
from pathlib import PurePosixPath

_ALIKE = 0.5
_MOST_PAIRS = 40_000


def paired(gone: Mapping[str, bytes], new: Mapping[str, bytes]) -> dict[str, str]:
    """Of the paths in ``new`` that are renamed ones their old paths in ``gone``: those with the
    same contents, then those of the same name, then the most alike, half of the lines at least.
    """
    found: dict[str, str] = {}
    by_contents: dict[bytes, list[str]] = {}
    for path in sorted(gone, reverse=True):
        by_contents.setdefault(gone[path], []).append(path)
    for path in sorted(new):
        same = by_contents.get(new[path])
        if same and new[path]:
            found[path] = same.pop()
    taken = set(found.values())
    old = {path: _lines(content) for path, content in gone.items() if path not in taken}
    fresh = {path: _lines(content) for path, content in new.items() if path not in found}
    candidates = [
        (-_likeness(old[before], fresh[after]), before, after)
        for before in sorted(old)
        for after in sorted(fresh)
        if _name(before) == _name(after)
    ]
    _take(candidates, found, taken)
    old = {path: lines for path, lines in old.items() if path not in taken}
    fresh = {path: lines for path, lines in fresh.items() if path not in found}
    if len(old) * len(fresh) <= _MOST_PAIRS:
        candidates = [
            (-_likeness(old[before], fresh[after]), before, after)
            for before in sorted(old)
            for after in sorted(fresh)
            if PurePosixPath(before).suffix == PurePosixPath(after).suffix
        ]
        _take(candidates, found, taken)
    return found


def _take(candidates: list[tuple[float, str, str]], found: dict[str, str], taken: set[str]) -> None:
    for likeness, before, after in sorted(candidates):
        if -likeness >= _ALIKE and before not in taken and after not in found:
            found[after] = before
            taken.add(before)


def _name(path: str) -> str:
    return PurePosixPath(path).name


def _lines(content: bytes) -> Counter[bytes]:
    return Counter(line.strip() for line in content.splitlines())


def _likeness(before: Counter[bytes], after: Counter[bytes]) -> float:
    """The share of lines that both have."""
    longer = max(before.total(), after.total())
    return (before & after).total() / longer if longer else 0.0
