"""The files of a folder that name a player: few of thousands, so only these are parsed."""

import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from riesbuch.folder.archive import read_bytes
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.register import read_player
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import PlayerId, SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.people import Player
from riesbuch.trade.problems import Problem, RiesbuchError

_MOST_NAMED = 12


class NamingSheet(NamedTuple):
    """A sheet that reads whole and holds an identifier looked for, perhaps in a comment only."""

    file: Path
    path: str
    content: bytes
    match: Match

    @property
    def text(self) -> str:
        return self.content.decode("utf-8")


class NamingPlayer(NamedTuple):
    """The file of a player of whom one looked for is a parent."""

    file: Path
    path: str
    content: bytes
    player: Player


class Naming(NamedTuple):
    sheets: tuple[NamingSheet, ...]
    players: tuple[NamingPlayer, ...]


def files_naming(folder: ClubFolder, looked_for: Iterable[PlayerId]) -> Naming:
    """Every sheet and every player's file that may name one of those ``looked_for``.

    Raises RiesbuchError, naming them, where such files do not read whole, or cannot be read.
    """
    is_in = _holding(looked_for)
    problems: list[Problem] = []
    sheets = [
        NamingSheet(file, path, content, match)
        for year in folder.years()
        for file, path, content in _contents(folder, folder.sheet_files(year), is_in, problems)
        if (match := _match(content, path, SheetId(f"{year}/{file.stem}"), year, problems))
    ]
    files = [path for _, path in folder.player_files()]
    players = []
    for file, path, content in _contents(folder, files, is_in, problems):
        reading = read_player(content, PlayerId(file.stem))
        problems += [each.in_file(path) for each in reading.findings]
        if reading.record is not None and reading.record.parents:
            players.append(NamingPlayer(file, path, content, reading.record))
    if problems:
        raise RiesbuchError(
            "these files may name the player and cannot be read whole; nothing was changed, mend"
            f" them first:\n{few([each.as_line() for each in problems])}"
        )
    return Naming(tuple(sheets), tuple(players))


def few(lines: list[str]) -> str:
    """The lines, those beyond a dozen counted."""
    more = len(lines) - _MOST_NAMED
    shown = [f"  {line}" for line in lines[:_MOST_NAMED]]
    return "\n".join([*shown, *([f"  and {more} more"] if more > 0 else [])])


def _holding(looked_for: Iterable[PlayerId]) -> Callable[[bytes], bool]:
    """Whether a file's bytes may name one of the players.

    A backslash may write a letter otherwise, and a zero byte stands in text that is not UTF-8:
    such files are read to find out.
    """
    words = [each.encode("ascii") for each in sorted(looked_for)]
    pattern = re.compile(
        rb"\\|\x00|(?<![a-z0-9-])(?:" + b"|".join(map(re.escape, words)) + rb")(?![a-z0-9-])"
    )

    def is_in(content: bytes) -> bool:
        # Looking for the words alone is much quicker than looking for them within their bounds.
        likely = any(word in content for word in words) or b"\\" in content or b"\0" in content
        return likely and pattern.search(content) is not None

    return is_in


def _contents(
    folder: ClubFolder,
    files: Iterable[Path],
    is_in: Callable[[bytes], bool],
    problems: list[Problem],
) -> Iterator[tuple[Path, str, bytes]]:
    for file in files:
        content, problem = read_bytes(folder, file)
        if problem is not None:
            problems.append(problem)
        elif content is not None and is_in(content):
            yield file, folder.relative(file), content


def _match(
    content: bytes, path: str, sheet: SheetId, year: int, problems: list[Problem]
) -> Match | None:
    reading = read_sheet(content, sheet, year)
    problems += [each.in_file(path) for each in reading.findings]
    return None if reading.findings else reading.match
