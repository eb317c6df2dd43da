"""Somebody new on the register."""

from collections.abc import Sequence
from typing import NamedTuple

from riesbuch.care.file_group import Write
from riesbuch.care.player_file import new_player_text, one_line, player_path
from riesbuch.care.players import expect_identifier, identifier_for, titled, very_like
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.people import Membership, Player, Register
from riesbuch.trade.problems import RiesbuchError, UsageError, alternatives

_AGE_OF_MAJORITY = 18
_MOST_PARENTS = 2


class NewPlayer(NamedTuple):
    """``made_of_name`` is whether the identifier was."""

    player: PlayerId
    made_of_name: bool
    write: Write


def plan_addition(
    folder: ClubFolder,
    register: Register,
    *,
    player: str | None,
    name: str,
    born: int | None = None,
    club: Membership | None = None,
    parents: Sequence[Player] = (),
    is_another: bool = False,
) -> NewPlayer:
    """The file of somebody new; ``is_another`` says that it is none of those called alike.

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
            f"there is a player `{new}` already{who}; if this is another person, give an"
            f" identifier of their own, like `{_free_identifier(folder, new)}`, and --namesake"
        )
    alike = very_like(register, name)
    if alike and not is_another:
        raise RiesbuchError(
            f"{name} may be on the register already, as"
            f" {alternatives(titled(each) for each in alike)}; if this is another person, say so"
            " with --namesake"
        )
    _expect_years(name, born, club, parents)
    text = new_player_text(
        name=name,
        born=born,
        clubs=() if club is None else (club,),
        parents=[each.id for each in parents],
    )
    write = Write(path=path, before=None, after=text.encode("utf-8"))
    return NewPlayer(new, player is None, write)


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
    if len(parents) > _MOST_PARENTS or len({each.id for each in parents}) < len(parents):
        raise UsageError(f"--parent names at most {_MOST_PARENTS} people, each of them once")
    if born is None:
        return
    if club is not None and club.since is not None and club.since < born:
        raise UsageError(f"{name} cannot be at {club.club} from {club.since}, born in {born}")
    for parent in parents:
        if parent.born is not None and parent.born >= born:
            raise UsageError(
                f"{titled(parent)}, born in {parent.born}, cannot be a parent of somebody born in"
                f" {born}"
            )
