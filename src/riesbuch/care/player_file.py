"""The text of a player's file: a new one, and what is added to one that is there."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from riesbuch.folder.archive import read_bytes
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.document import Document
from riesbuch.text.editing import edited, with_item
from riesbuch.text.layout import PLAYER_SHAPE
from riesbuch.text.register import read_player
from riesbuch.text.register_text import player_text
from riesbuch.text.schemas import editor_line
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.people import Membership, Player
from riesbuch.trade.problems import RiesbuchError, UsageError

_EDITOR_LINE = "# yaml-language-server:"


class PlayerFile(NamedTuple):
    """A player's file that reads whole."""

    path: Path
    content: bytes
    player: Player

    @property
    def text(self) -> str:
        return self.content.decode("utf-8")


def open_player_file(folder: ClubFolder, player: PlayerId) -> PlayerFile:
    """Raises RiesbuchError where it is not there or does not read whole."""
    path = player_path(folder, player)
    content, problem = read_bytes(folder, path)
    if content is None:
        assert problem is not None
        raise RiesbuchError(problem.as_line())
    reading = read_player(content, player)
    if reading.record is None or reading.findings:
        lines = "\n".join(each.in_file(folder.relative(path)).as_line() for each in
                          reading.findings)  # fmt: skip
        raise RiesbuchError(f"this must be mended first; nothing was changed:\n{lines}")
    return PlayerFile(path, content, reading.record)


def player_path(folder: ClubFolder, player: PlayerId) -> Path:
    return folder.root / "players" / f"{player}.yaml"


def new_player_text(
    *,
    name: str,
    born: int | None = None,
    clubs: Sequence[Membership] = (),
    parents: Sequence[PlayerId] = (),
    also_written: Sequence[str] = (),
) -> str:
    """A whole player's file in the one layout, with the line by which editors know its schema.

    Raises UsageError where a name is empty or no line of printable text. Whether clubs, parents
    and years fit the register is for the caller to ask.
    """
    player = Player(
        id=PlayerId(""),
        name=one_line(name),
        born=born,
        clubs=tuple(clubs),
        parents=tuple(parents),
        also_written=tuple(map(one_line, also_written)),
        positions={},
    )
    return f"{editor_line('player', 1)}\n{player_text(player)}"


def _entry(membership: Membership) -> dict[str, str]:
    entry = {"club": str(membership.club)}
    if membership.since is not None:
        entry["from"] = str(membership.since)
    return entry


def one_line(name: str) -> str:
    """``name`` with single blanks; raises UsageError where it is empty or not printable."""
    text = " ".join(name.split())
    if not text or not text.isprintable():
        raise UsageError(f"a name is a line of printable text; {json.dumps(name)} is none")
    return text


def with_membership(text: str, player: Player, added: Membership) -> str:
    """The file's ``text`` with a club more, before those from a later year."""
    before = next(
        (
            number
            for number, each in enumerate(player.clubs, start=1)
            if (each.since or 0) > (added.since or 0)
        ),
        None,
    )
    return with_item(text, "clubs", _entry(added), PLAYER_SHAPE, before)


def merged_text(text: str, kept: Player, merged: Player, other_text: str | None) -> str:
    """The ``text`` of ``kept`` with what ``merged`` has more, and at the end the comments of the
    file that goes."""
    if merged.born is not None and kept.born is None:
        text = edited(text, {"born": str(merged.born)}, PLAYER_SHAPE)
    text = _with_clubs(text, kept, merged)
    for parent in merged.parents:
        if parent not in kept.parents:
            text = with_item(text, "parents", parent, PLAYER_SHAPE)
    for name in merged.also_written:
        if name not in kept.also_written:
            text = with_item(text, "also_written", name, PLAYER_SHAPE)
    if merged.private and not kept.private:
        text = edited(text, {"private": "true"}, PLAYER_SHAPE)
    return text if other_text is None else _with_comments(text, other_text)


def _with_clubs(text: str, kept: Player, merged: Player) -> str:
    for number, club in enumerate(merged.clubs, start=1):
        there = kept.clubs[number - 1] if number <= len(kept.clubs) else None
        if there == club:
            continue
        if there is not None and there.club == club.club and there.since is None:
            text = edited(text, {f"clubs.{number}.from": str(club.since)}, PLAYER_SHAPE)
            clubs = [*kept.clubs[: number - 1], club, *kept.clubs[number:]]
        else:
            before = number if there is not None else None
            text = with_item(text, "clubs", _entry(club), PLAYER_SHAPE, before)
            clubs = [*kept.clubs[: number - 1], club, *kept.clubs[number - 1 :]]
        kept = Player(id=kept.id, name=kept.name, clubs=tuple(clubs), positions={})
    return text


def _with_comments(text: str, other_text: str) -> str:
    there = set(Document(text.removeprefix("\ufeff")).comments())
    comments = Document(other_text.removeprefix("\ufeff")).comments()
    added = [
        each
        for each in dict.fromkeys(comments)
        if each not in there and not each.startswith(_EDITOR_LINE)
    ]
    if not added:
        return text
    newline = "\r\n" if "\r\n" in text else "\n"
    end = "" if text.endswith("\n") else newline
    return text + end + "".join(f"{each}{newline}" for each in added)
