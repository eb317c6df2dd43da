"""Another identifier for a player, in all files; two entries of one person made one."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from riesbuch.care.player_in_files import (
    Naming,
    NamingFile,
    changed_files,
    conflict,
    conflicts_beside_sheets,
    few,
    files_naming,
    sides_naming,
)
from riesbuch.care.players import (
    PlayerFile,
    Renaming,
    expect_finished,
    expect_identifier,
    merged_text,
    open_player_file,
    place_of,
    player_path,
    unfinished_renaming,
)
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.holdings import sheet_entry
from riesbuch.text.atomic import Vanishing, Write, write_all
from riesbuch.text.plain import bare, read_plain
from riesbuch.text.register import read_player
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.keys import keys_of
from riesbuch.trade.match import Match, Outcome
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Membership, Player, Register
from riesbuch.trade.problems import RiesbuchError, UsageError


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedChange:
    """A change worked out in memory. ``paths`` are the files it concerns, relative to the
    folder; ``goes`` is the one that is not there any more afterwards."""

    paths: tuple[str, ...]
    goes: str | None
    writes: tuple[Write, ...]
    last: Vanishing | None

    def carry_out(self) -> None:
        write_all(self.writes, self.last)


def plan_rename(folder: ClubFolder, player: Player, written: str) -> PlannedChange:
    """What it takes to call ``player`` by the identifier ``written``.

    First a second file of the player is made, which says in its first line that the renaming is
    under way, then the sheets and the files of children are changed, and last the former file
    takes its place. Whatever stops in between leaves a folder in which everybody named has a
    file, and the same command finds that line and goes on.

    Raises UsageError where ``written`` is no identifier, RiesbuchError where it is taken, where
    a file cannot be read, and where a sealed sheet says what the player struck.
    """
    new = expect_identifier(written)
    if new == player.id:
        raise RiesbuchError("`{new}` is called so already; nothing was changed", new=new)
    renaming = Renaming(player.id, new)
    old_file = open_player_file(folder, player.id)
    expect_finished(folder, player.id)
    target = player_path(folder, new)
    goes_on = unfinished_renaming(folder, new) == renaming
    if target.exists() and not goes_on:
        expect_finished(folder, new)
        raise RiesbuchError(
            "there is a player `{new}` already, in players/{new}.yaml; if the two are one person,"
            " `riesbuch roster merge {new} {id}` makes them one; nothing was changed",
            new=new,
            id=player.id,
        )
    naming = files_naming(folder, renaming)
    if not goes_on:
        _expect_unnamed(naming, renaming)
    marker = () if goes_on else (_marker(old_file, folder, renaming),)
    if_sealed = Message(
        "the tables show the name, which stands in players/{id}.yaml and may be"
        " changed there at any time; the identifier stays",
        id=player.id,
    )
    changes = changed_files(naming, renaming, if_sealed)
    old = folder.relative(old_file.path)
    return PlannedChange(
        paths=(*(folder.relative(write.path) for write in changes), folder.relative(target)),
        goes=old,
        writes=(*marker, *changes),
        last=Vanishing(path=old_file.path, to=target),
    )


def _marker(old_file: PlayerFile, folder: ClubFolder, renaming: Renaming) -> Write:
    line = f"# unfinished: give `riesbuch roster rename {' '.join(renaming)}` again\n"
    content = line + bare(old_file.text)
    return Write(
        path=player_path(folder, renaming.becomes), before=None, after=content.encode("utf-8")
    )


def _expect_unnamed(naming: Naming, renaming: Renaming) -> None:
    """Nobody else is called so in any sheet, nor is a parent; else two people became one."""
    named = _named_in(naming, renaming.becomes)
    if named:
        raise RiesbuchError(
            "`{becomes}` is named already, though nobody in players/ is called so;"
            " if it is the same person, `riesbuch roster merge {renaming}` makes"
            " them one; nothing was changed:\n{lines}",
            becomes=renaming.becomes,
            renaming=" ".join(renaming),
            lines=few(named),
        )


def _named_in(naming: Naming, player: PlayerId) -> list[str]:
    """The paths of sheets, of tables handed down, of trainings and of children's files."""
    return [file.path for files in naming for file in files if file.names(player)]


def plan_removal(folder: ClubFolder, player: Player) -> PlannedChange:
    """What it takes to take ``player`` off the register.

    Raises RiesbuchError where a sheet or a child's file names the player, or one that may cannot
    be read.
    """
    expect_finished(folder, player.id)
    named = _named_in(files_naming(folder, [player.id]), player.id)
    if named:
        raise RiesbuchError(
            "`{player}` is named in other files and stays; if it is the same person as OTHER,"
            " `riesbuch roster merge OTHER {player}` makes one of both; nothing was"
            " changed:\n{lines}",
            player=player.id,
            lines=few(named),
        )
    path = player_path(folder, player.id)
    return PlannedChange(
        paths=(),
        goes=folder.relative(path),
        writes=(),
        last=Vanishing(path=path, before=read_plain(path)),
    )


_IF_SEALED = Message(
    "perhaps the other entry can go instead; `riesbuch guide register` says what is left"
)


def plan_merge(
    folder: ClubFolder, register: Register, kept: Player, goes: PlayerId
) -> PlannedChange:
    """What it takes that all that is said of ``goes``, who may be known from sheets alone, is
    said of ``kept``.

    First the file that stays gets what the other has, then the sheets and the files of children
    are changed, and last the other file goes. Whatever stops in between can be finished by the
    same command, to which what is done already looks as if it had always been so.

    Raises RiesbuchError where the two contradict one another, in their files or in a sheet, where
    a file cannot be read, and where a sealed sheet says what ``goes`` struck.
    """
    if kept.id == goes:
        raise UsageError("`{goes}` was given twice; name two entries of one person", goes=goes)
    expect_finished(folder, kept.id)
    expect_finished(folder, goes)
    kept_file = open_player_file(folder, kept.id)
    is_there = player_path(folder, goes).exists()
    other_file = open_player_file(folder, goes) if is_there else None
    renaming = Renaming(goes, kept.id)
    naming = files_naming(folder, renaming)
    merged = kept_file.player
    new_text = kept_file.text
    if other_file is None:
        _expect_known(naming, goes)
    else:
        merged = merged_player(kept_file.player, other_file.player)
        new_text = merged_text(new_text, kept_file.player, merged, other_file.text)
        record = read_player(new_text.encode("utf-8"), kept.id).record
        if record != merged:
            raise AssertionError(f"players/{kept.id}.yaml would say something else")
    contradictions = [
        *_family_contradictions(register, merged, naming, renaming),
        *_sheet_contradictions(naming.sheets, renaming),
        *conflicts_beside_sheets(naming, renaming),
    ]
    if contradictions:
        raise RiesbuchError(
            "`{id}` and `{goes}` cannot be one person; nothing was changed:\n{lines}",
            id=kept.id,
            goes=goes,
            lines=few(contradictions),
        )
    own = Write(path=kept_file.path, before=kept_file.content, after=new_text.encode("utf-8"))
    writes = (
        *((own,) if own.after != own.before else ()),
        *changed_files(naming, renaming, _IF_SEALED),
    )
    return PlannedChange(
        paths=tuple(folder.relative(write.path) for write in writes),
        goes=None if other_file is None else folder.relative(other_file.path),
        writes=writes,
        last=None
        if other_file is None
        else Vanishing(path=other_file.path, before=other_file.content),
    )


def merged_player(kept: Player, other: Player) -> Player:
    """``kept`` with all that ``other`` says beyond it; raises RiesbuchError where they
    contradict one another."""
    if None not in (kept.born, other.born) and kept.born != other.born:
        what = Message("born in {born}, born in {otherwise}", born=kept.born, otherwise=other.born)
        raise _contradiction(kept, other, what)
    names = dict.fromkeys((*kept.also_written, other.name, *other.also_written))
    taken: dict[str, Any] = {}
    for key in keys_of(Player):
        one, two = getattr(kept, key.field), getattr(other, key.field)
        if key.form == "list":
            both = tuple(dict.fromkeys((*one, *two)))
            if len(both) > key.most:
                listed = ", ".join(map(str, both))
                what = Message(
                    "together they have the {name} {players}", name=key.name, players=listed
                )
                raise _contradiction(kept, other, what)
            taken[key.field] = both
        elif one == key.default:
            taken[key.field] = two
        elif key.field != "name" and two not in (one, key.default):
            what = Message(
                "`{name}` is {first}, `{name}` is {second}", name=key.name, first=one, second=two
            )
            raise _contradiction(kept, other, what)
    taken |= {
        "clubs": _merged_clubs(kept, other),
        "also_written": tuple(
            name for name in names if name != kept.name or name in kept.also_written
        ),
    }
    return replace(kept, **taken)


def _contradiction(kept: Player, other: Player, what: str) -> RiesbuchError:
    return RiesbuchError(
        "`{player}` and `{other}` contradict one another: {what}; if they are one"
        " person, make the files agree first; nothing was changed",
        player=kept.id,
        other=other.id,
        what=what,
    )


def _merged_clubs(kept: Player, other: Player) -> tuple[Membership, ...]:
    clubs = list(kept.clubs)
    for added in other.clubs:
        if added in clubs:
            continue
        same_club = [membership for membership in clubs if membership.club == added.club]
        if added.since is None:
            if not same_club:
                clubs.insert(0, added)
            continue
        clash = next((membership for membership in clubs if membership.since == added.since), None)
        if clash is not None:
            what = Message(
                "from {since} at {club}, from {since} at {club_2}",
                since=added.since,
                club=clash.club,
                club_2=added.club,
            )
            raise _contradiction(kept, other, what)
        index = place_of(added, clubs)
        for membership in clubs[max(index - 1, 0) : index + 1]:
            if membership.club == added.club and membership.since is not None:
                what = Message(
                    "at {club} from {since}, at {club} from {since_2}",
                    club=added.club,
                    since=membership.since,
                    since_2=added.since,
                )
                raise _contradiction(kept, other, what)
        if index and clubs[index - 1] == Membership(added.club, None):
            clubs[index - 1] = added
        else:
            clubs.insert(index, added)
    return tuple(clubs)


def _expect_known(naming: Naming, goes: PlayerId) -> None:
    beside_sheets = (naming.handed_down, naming.trainings, naming.players)
    is_named = any(sides_naming(sheet.record, goes) for sheet in naming.sheets) or any(
        file.names(goes) for files in beside_sheets for file in files
    )
    if not is_named:
        raise UsageError(
            "there is no player `{goes}`, neither in players/ nor in any sheet", goes=goes
        )


def _family_contradictions(
    register: Register, merged: Player, naming: Naming, renaming: Renaming
) -> Iterator[str]:
    if renaming.player in merged.parents or merged.id in merged.parents:
        yield Message("one is the other's parent")
        return
    for entry in naming.players:
        child = entry.record
        if set(renaming) <= set(child.parents):
            yield Message(
                "players/{id}.yaml: both are parents of {name}", id=child.id, name=child.name
            )
    seen: set[PlayerId] = set()
    waiting = list(merged.parents)
    while waiting:
        ancestor = waiting.pop()
        if ancestor in renaming:
            yield Message("one is an ancestor of the other")
            return
        if ancestor not in seen and ancestor in register.players:
            seen.add(ancestor)
            waiting += register.players[ancestor].parents


def _sheet_contradictions(sheets: Sequence[NamingFile[Match]], renaming: Renaming) -> Iterator[str]:
    in_one_sheet = {sheet.path: conflict(sheet.record, renaming) for sheet in sheets}
    yield from (f"{path}: {why}" for path, why in in_one_sheet.items() if why)
    days: dict[datetime.date, list[tuple[PlayerId, str, str]]] = {}
    for sheet in sheets:
        entry = sheet_entry(sheet.path, sheet.record)
        if entry.date is None or entry.outcome not in (Outcome.PLAYED, Outcome.ABANDONED):
            continue
        for mention in entry.mentions.one_by_one():
            if mention.plays and mention.player in renaming:
                team = entry.team(mention.side) or ""
                days.setdefault(entry.date, []).append((mention.player, team, entry.path))
    for day, played in sorted(days.items()):
        # A day on which only the one that stays played twice is no news. The other's two teams
        # are: half done, they would look like both of them.
        if renaming.player in {player for player, _, _ in played}:
            teams = {
                team: Message("{player} for {team} in {path}", player=player, team=team, path=path)
                for player, team, path in played
            }
            if len(teams) > 1:
                yield f"{day}: {', '.join(teams[team] for team in sorted(teams))}"
