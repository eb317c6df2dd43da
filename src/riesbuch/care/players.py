"""Players' files: a new one, what is added to one that is there, one more club; who is like whom,
and what somebody new is called."""

import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from riesbuch.folder.archive import read_bytes
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.holdings import SheetEntry
from riesbuch.text.atomic import Write
from riesbuch.text.document import Document
from riesbuch.text.editing import edited, with_item
from riesbuch.text.layout import PLAYER_SHAPE
from riesbuch.text.plain import bare
from riesbuch.text.record_text import file_text, written_keys, written_value
from riesbuch.text.register import read_player
from riesbuch.text.schemas import editor_line
from riesbuch.trade.ids import ClassId, ClubId, PlayerId, club_of, is_identifier
from riesbuch.trade.keys import keys_of
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.names import folded
from riesbuch.trade.people import MOST_PARENTS, Membership, Player, Register
from riesbuch.trade.problems import RiesbuchError, UsageError, alternatives

_VERY_LIKE = 0.9
_SMALL_WORDS = frozenset(("von", "van", "de", "da", "di", "del", "della", "der", "den", "la", "le"))
"""Of family names of several words."""


def titled(player: Player) -> str:
    return f"{player.id} ({player.name})"


def unknown_people(register: Register, sheet: SheetEntry) -> dict[PlayerId, ClubId | None]:
    """Those whom the sheet names and the register does not, each with the club of the side."""
    teams = {mention.player: sheet.team(mention.side) for mention in sheet.mentions.one_by_one()}
    return {
        player: club_of(team) if team and register.knows_club(club_of(team)) else None
        for player, team in teams.items()
        if not register.knows_player(player)
    }


def only_club(register: Register) -> ClubId | None:
    """The one club that there is, or that several people on the register are all at."""
    at = [club.club for player in register.players.values() if (club := player.current_club)]
    clubs = set(at) if len(at) > 1 else set(register.clubs)
    return clubs.pop() if len(clubs) == 1 else None


def identifier_for(name: str) -> PlayerId:
    """``aebi-ruedi`` for Ruedi Aebi, ``von-arx-lena`` for Lena von Arx. Raises UsageError where
    no identifier can be made of the name."""
    words = name.split()
    # What is written small within a name belongs to the family name.
    small = (index for index, word in enumerate(words) if index and word[:1].islower())
    family = next(small, len(words) - 1)
    made = folded(" ".join((*words[family:], *words[:family])))
    if not is_identifier(made):
        raise UsageError("no identifier can be made of `{name}`; give one before --name", name=name)
    return PlayerId(made)


def name_for(player: str) -> str:
    """``Ruedi Aebi`` for aebi-ruedi, ``Lena von Arx`` for von-arx-lena: the name of which the
    identifier was made, as near as can be told."""
    words = [word for word in player.split("-") if not word.isdecimal()] or [player]
    family = next((at for at, word in enumerate(words, 1) if word not in _SMALL_WORDS), 1)
    named = [word if word in _SMALL_WORDS else word.capitalize() for word in words]
    return " ".join([*named[family:], *named[:family]])


def expect_identifier(written: str) -> PlayerId:
    """``written`` where it may name a player's file; raises UsageError elsewhere."""
    # Without quotes YAML reads null as nothing at all.
    if is_identifier(written) and written != "null":
        return PlayerId(written)
    near = folded(written)
    raise UsageError(
        Message("`{written}` is not an identifier; ", written=written)
        + (
            Message("did you mean {near}?", near=near)
            if is_identifier(near) and near != "null"
            else Message(
                "identifiers are made of a-z, 0-9 and single hyphens, at most 64 characters"
            )
        )
    )


def very_like(register: Register, name: str) -> list[Player]:
    """Those who may be the same person: of the same name in any order, with initials written
    out or not, or a letter apart."""
    return sorted(
        (
            player
            for player in register.players.values()
            if any(_are_very_like(name, other) for other in (player.name, *player.also_written))
        ),
        key=lambda player: player.id,
    )


def _are_very_like(name: str, other: str) -> bool:
    from difflib import SequenceMatcher

    one, two = folded(name), folded(other)
    words, other_words = one.split("-"), two.split("-")
    if sorted(words) == sorted(other_words):
        return True
    if len(words) == len(other_words) > 1 and all(
        a == b or (min(len(a), len(b)) == 1 and a[:1] == b[:1])
        for a, b in zip(words, other_words, strict=True)
    ):
        return True
    matcher = SequenceMatcher(None, one, two)
    return (
        matcher.real_quick_ratio() >= _VERY_LIKE
        and matcher.quick_ratio() >= _VERY_LIKE
        and matcher.ratio() >= _VERY_LIKE
    )


_UNFINISHED = re.compile(
    r"# unfinished: give `riesbuch roster rename ([a-z0-9-]+) ([a-z0-9-]+)` again\n"
)


class Renaming(NamedTuple):
    """``player`` becomes ``becomes``, who may be on the register already."""

    player: PlayerId
    becomes: PlayerId


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
        place = folder.relative(path)
        lines = joined("\n", (finding.in_file(place).as_line() for finding in reading.findings))
        raise RiesbuchError("this must be mended first; nothing was changed:\n{lines}", lines=lines)
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
    classes: Sequence[ClassId] = (),
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
        classes=tuple(classes),
        positions={},
    )
    return f"{editor_line('player', 1)}\n{file_text(player)}"


def one_line(name: str) -> str:
    """``name`` with single blanks; raises UsageError where it is empty or not printable."""
    text = " ".join(name.split())
    if not text or not text.isprintable():
        raise UsageError(
            "a name is a line of printable text; {written} is none", written=json.dumps(name)
        )
    return text


def with_membership(text: str, player: Player, added: Membership) -> str:
    """The file's ``text`` with a club more, before those from a later year."""
    place = place_of(added, player.clubs)
    before = place + 1 if place < len(player.clubs) else None
    return with_item(text, "clubs", written_keys(added), PLAYER_SHAPE, before)


def place_of(added: Membership, clubs: Sequence[Membership]) -> int:
    """How many of the ``clubs`` stand before the one ``added``: all up to the first from a later
    year."""
    later = (n for n, club in enumerate(clubs) if (club.since or 0) > (added.since or 0))
    return next(later, len(clubs))


def merged_text(text: str, kept: Player, merged: Player, other_text: str | None) -> str:
    """The ``text`` of ``kept`` with what ``merged`` has more, and at the end the comments of the
    file that goes."""
    for key in keys_of(Player):
        before, after = getattr(kept, key.field), getattr(merged, key.field)
        if key.field == "clubs":
            text = _with_clubs(text, list(kept.clubs), merged.clubs)
        elif key.form == "list":
            for item in after:
                if item not in before:
                    text = with_item(text, key.name, item, PLAYER_SHAPE)
        elif after != before:
            text = edited(text, {key.name: written_value(key, after)}, PLAYER_SHAPE)
    return text if other_text is None else _with_comments(text, other_text)


def _with_clubs(text: str, kept: list[Membership], merged: Sequence[Membership]) -> str:
    for index, club in enumerate(merged):
        there = kept[index] if index < len(kept) else None
        if there == club:
            continue
        if there == Membership(club.club, None):
            text = edited(text, {f"clubs.{index + 1}.from": str(club.since)}, PLAYER_SHAPE)
            kept[index] = club
        else:
            before = index + 1 if there is not None else None
            text = with_item(text, "clubs", written_keys(club), PLAYER_SHAPE, before)
            kept.insert(index, club)
    return text


def _with_comments(text: str, other_text: str) -> str:
    there, comments = (Document(bare(one)).comments() for one in (text, other_text))
    added = [
        comment
        for comment in dict.fromkeys(comments)
        if comment not in there and not comment.startswith("# yaml-language-server:")
    ]
    if not added:
        return text
    newline = "\r\n" if "\r\n" in text else "\n"
    end = "" if text.endswith("\n") else newline
    return text + end + "".join(f"{comment}{newline}" for comment in added)


# A renaming under way


def unfinished_renaming(folder: ClubFolder, player: PlayerId) -> Renaming | None:
    """The renaming that a file was made for and that was stopped before its end."""
    try:
        content = folder.read(player_path(folder, player))
    except OSError:
        return None
    line = content.partition(b"\n")[0].decode("utf-8", "replace")
    match = _UNFINISHED.fullmatch(f"{line}\n")
    return Renaming(PlayerId(match[1]), PlayerId(match[2])) if match else None


def expect_finished(folder: ClubFolder, player: PlayerId) -> None:
    """Raises RiesbuchError where a renaming to that identifier was stopped before its end."""
    renaming = unfinished_renaming(folder, player)
    if renaming is not None:
        raise RiesbuchError(
            "renaming `{player}` to `{becomes}` was stopped before its end; give"
            " `riesbuch roster rename {renaming}` again first",
            player=renaming.player,
            becomes=renaming.becomes,
            renaming=" ".join(renaming),
        )


_AGE_OF_MAJORITY = 18


def plan_addition(
    folder: ClubFolder,
    register: Register,
    *,
    player: str | None,
    name: str,
    born: int | None = None,
    club: Membership | None = None,
    parents: Sequence[Player] = (),
    classes: Sequence[ClassId] = (),
    is_another: bool = False,
) -> Write:
    """The file of somebody new, under an identifier made of the name where ``player`` gives
    none; ``is_another`` says that it is none of those called alike.

    Raises RiesbuchError where there is such a player, or may be, UsageError where what is asked
    for cannot stand in a file.
    """
    name = one_line(name)
    new = identifier_for(name) if player is None else expect_identifier(player)
    path = player_path(folder, new)
    if path.exists() or register.knows_player(new):
        known = register.players.get(new)
        who = f", {known.name}" if known else ""
        raise RiesbuchError(
            "there is a player `{new}` already{who}; if this is another person, give an identifier"
            " of their own, like `{free_identifier}`, and --namesake",
            new=new,
            who=who,
            free_identifier=_free_identifier(folder, new),
        )
    alike = [] if is_another else very_like(register, name)
    if alike:
        raise RiesbuchError(
            "{name} may be on the register already, as {alike}; if this is another"
            " person, say so with --namesake",
            name=name,
            alike=alternatives(map(titled, alike)),
        )
    _expect_years(name, born, club, parents)
    text = new_player_text(
        name=name,
        born=born,
        clubs=() if club is None else (club,),
        parents=[parent.id for parent in parents],
        classes=classes,
    )
    return Write(path=path, before=None, after=text.encode("utf-8"))


def may_be_minor(folder: ClubFolder, born: int) -> bool:
    """Whether somebody born then is under age in the folder's latest season, as far as known."""
    years = folder.years()
    return not years or born > years[-1] - _AGE_OF_MAJORITY


def _free_identifier(folder: ClubFolder, taken: PlayerId) -> str:
    number = 2
    while player_path(folder, PlayerId(f"{taken}-{number}")).exists():
        number += 1
    return f"{taken}-{number}"


def _expect_years(
    name: str, born: int | None, club: Membership | None, parents: Sequence[Player]
) -> None:
    if len(parents) > MOST_PARENTS or len({parent.id for parent in parents}) < len(parents):
        raise UsageError(
            "--parent names at most {most_parents} people, each of them once",
            most_parents=MOST_PARENTS,
        )
    if born is None:
        return
    if club is not None and club.since is not None and club.since < born:
        raise UsageError(
            "{name} cannot be at {club} from {since}, born in {born}",
            name=name,
            club=club.club,
            since=club.since,
            born=born,
        )
    for parent in parents:
        if parent.born is not None and parent.born >= born:
            raise UsageError(
                "{titled}, born in {born}, cannot be a parent of somebody born in {born_2}",
                titled=titled(parent),
                born=parent.born,
                born_2=born,
            )


def plan_move(folder: ClubFolder, player: Player, club: ClubId, year: int) -> Write | None:
    """The player's file with the club more, in its place among the years; None where just that
    is written there already.

    Raises RiesbuchError where the file cannot be read, and where what it says contradicts the
    move: the same club just before or after it, another club from the same year, a later birth.
    """
    expect_finished(folder, player.id)
    file = open_player_file(folder, player.id)
    player = file.player
    added = Membership(club, year)
    if added in player.clubs:
        return None
    where = f"players/{player.id}.yaml"
    if player.born is not None and year < player.born:
        raise RiesbuchError(
            "{name} was born in {born}, after {year}; nothing was changed",
            name=player.name,
            born=player.born,
            year=year,
        )
    for membership in player.clubs:
        if membership.since == year:
            raise RiesbuchError(
                "{name} went to `{club}` in {year} already; if that is wrong, correct"
                " `clubs` in {where}; nothing was changed",
                name=player.name,
                club=membership.club,
                year=year,
                where=where,
            )
    ordered = sorted(player.clubs, key=lambda membership: membership.since or 0)
    place = place_of(added, ordered)
    if place and ordered[place - 1].club == club:
        since = ordered[place - 1].since
        known = (
            Message("since {since}", since=since)
            if since is not None
            else Message("from a year that is not on record")
        )
        raise RiesbuchError(
            "{name} was at `{club}` in {year} already, {known}; if that is wrong,"
            " correct `clubs` in {where}; nothing was changed",
            name=player.name,
            club=club,
            year=year,
            known=known,
            where=where,
        )
    if place < len(ordered) and ordered[place].club == club:
        raise RiesbuchError(
            "{name} is at `{club}` from {since}, and was at no other club since {year}; if {year}"
            " is right, write it in place of {since} in {where}; nothing was changed",
            name=player.name,
            club=club,
            since=ordered[place].since,
            year=year,
            where=where,
        )
    text = with_membership(file.text, player, added)
    return Write(path=file.path, before=file.content, after=text.encode("utf-8"))
