"""Rules for clubs and players."""

from collections.abc import Callable, Iterable, Iterator
from typing import Any, TypeVar

from riesbuch.folder.archive import read_signers
from riesbuch.folder.club_folder import LEAGUE_FILE, SIGNERS_FILE
from riesbuch.judge.holdings import Holdings, problem_at
from riesbuch.trade.ids import ClubId, PlayerId, Position
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Club, Player, Register
from riesbuch.trade.problems import Problem, did_you_mean

_Key = TypeVar("_Key", ClubId, PlayerId)


def memberships(holdings: Holdings) -> Iterator[Problem]:
    """A player's clubs have a file."""
    known = holdings.archive.register
    for _, membership, place in _of_players(known, "clubs"):
        if not known.knows_club(membership.club):
            yield unknown_club(place, membership.club, known)


def unknown_club(
    place: tuple[str, Position], club: ClubId, known: Register, advice: str = ""
) -> Problem:
    return problem_at(
        *place,
        "unknown-club",
        "the club `{club}` has no file in clubs/",
        did_you_mean(club, known.clubs) or advice,
        club=club,
    )


def origins(holdings: Holdings) -> Iterator[Problem]:
    """The clubs whose folders are gathered have a file."""
    known = holdings.archive.register
    for origin in holdings.archive.league.origins:
        if not known.knows_club(origin.club):
            yield unknown_club((LEAGUE_FILE, origin.positions["club"]), origin.club, known)


def signing_clubs(holdings: Holdings) -> Iterator[Problem]:
    """Each line of `signers` gives a key to clubs that have a file."""
    known = holdings.archive.register
    reading = read_signers(holdings.archive.folder)
    yield from reading.problems
    for signer in reading.signers:
        if not known.knows_club(signer.club):
            yield unknown_club((SIGNERS_FILE, signer.position), signer.club, known)


def mergers(holdings: Holdings) -> Iterator[Problem]:
    """The clubs whose history a club carries on have a file."""
    known = holdings.archive.register
    for club, merged, place in _merged(known):
        if merged == club.id:
            yield problem_at(
                *place, "unknown-club", "`{merged}` cannot be merged from itself", merged=merged
            )
        elif not known.knows_club(merged):
            yield unknown_club(place, merged, known)


def merged_in_no_circle(holdings: Holdings) -> Iterator[Problem]:
    """No club carries on its own history by way of others."""
    known = holdings.archive.register
    for club, merged, place in _merged(known):
        if merged != club.id and club.id in _predecessors(known, merged):
            yield problem_at(
                *place,
                "mergers-in-a-circle",
                "by way of `{merged}`, `{id}` would be among its own predecessors",
                merged=merged,
                id=club.id,
            )


def parents(holdings: Holdings) -> Iterator[Problem]:
    """A player's parents have a file."""
    known = holdings.archive.register
    for player, parent, place in _of_players(known, "parents"):
        if not known.knows_player(parent):
            yield problem_at(
                *place,
                "unknown-parent",
                "the parent `{parent}` has no file in players/",
                did_you_mean(parent, known.players.keys() - {player.id}),
                parent=parent,
            )


def no_circles(holdings: Holdings) -> Iterator[Problem]:
    """Nobody is their own ancestor."""
    known = holdings.archive.register
    for player, parent, place in _of_players(known, "parents"):
        if player.id in _line_upward(known, parent):
            yield problem_at(
                *place,
                "parents-in-a-circle",
                "by way of `{parent}`, `{id}` is among their own ancestors",
                parent=parent,
                id=player.id,
            )


def classes(holdings: Holdings) -> Iterator[Problem]:
    """A class that a player is listed in is one of some rule set, and goes by listing there."""
    archive = holdings.archive
    ranked = [one for rules in archive.rules.values() for one in rules.classes]
    known, by_listing = {one.id for one in ranked}, {one.id for one in ranked if not one.ages}
    for _, listed, place in _of_players(archive.register, "classes"):
        if listed not in known and not archive.unread_rules:
            yield problem_at(
                *place,
                "unknown-class",
                "no rule set knows the class `{listed}`",
                did_you_mean(listed, known)
                or Message(
                    "add it to the file in rules/: `[[classes]]` with `id = {quoted}` and a name",
                    quoted=f'"{listed}"',
                ),
                listed=listed,
            )
        elif listed in known - by_listing:
            yield problem_at(
                *place,
                "class-by-age",
                "the class `{listed}` goes by age, so listing somebody in it does nothing",
                "delete it here; who is in it is decided by `born`",
                listed=listed,
            )


_At = tuple[str, Position]


def _of_players(known: Register, key: str) -> Iterator[tuple[Player, Any, _At]]:
    """All that players' files list under a ``key``, with where."""
    for player in known.players.values():
        for number, listed in enumerate(getattr(player, key), start=1):
            place = f"players/{player.id}.yaml", player.positions[f"{key}.{number}"]
            yield player, listed, place


def _merged(known: Register) -> Iterator[tuple[Club, ClubId, _At]]:
    """All clubs that others carry on, with where these say so."""
    for club in known.clubs.values():
        for number, merged in enumerate(club.merged_from, start=1):
            yield club, merged, (f"clubs/{club.id}.yaml", club.positions[f"merged_from.{number}"])


def _line_upward(register: Register, start: PlayerId) -> set[PlayerId]:
    """``start`` and all ancestors on record."""
    players = register.players
    return _reached(start, lambda player: players[player].parents if player in players else ())


def _predecessors(register: Register, start: ClubId) -> set[ClubId]:
    """``start`` and all clubs that were merged into it, by whatever way."""
    clubs = register.clubs
    return _reached(start, lambda club: clubs[club].merged_from if club in clubs else ())


def _reached(start: _Key, onward: Callable[[_Key], Iterable[_Key]]) -> set[_Key]:
    found: set[_Key] = set()
    waiting = [start]
    while waiting:
        key = waiting.pop()
        if key not in found:
            found.add(key)
            waiting.extend(onward(key))
    return found
