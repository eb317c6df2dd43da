"""New files of clubs and players, written out from records in the canonical layout."""

from collections.abc import Iterator

from riesbuch.files.sheet_text import Value, value_text
from riesbuch.trade.people import Club, Player


def player_text(player: Player) -> str:
    """The text of a player's file that reads back as a record equal to ``player``."""
    private = ["private: true"] if player.private else []
    return "\n".join([*_player(player), *private, ""])


def club_text(club: Club) -> str:
    """The text of a club's file that reads back as a record equal to ``club``."""
    return "\n".join([*_club(club), ""])


def _player(player: Player) -> Iterator[str]:
    yield f"name: {value_text(player.name)}"
    if player.born is not None:
        yield f"born: {player.born}"
    if player.clubs:
        memberships = [_entry(club=each.club, since=("from", each.since)) for each in player.clubs]
        yield f"clubs: {value_text(memberships)}"
    if player.parents:
        yield f"parents: {value_text(player.parents)}"
    if player.also_written:
        yield f"also_written: {value_text(player.also_written)}"


def _club(club: Club) -> Iterator[str]:
    yield f"name: {value_text(club.name)}"
    if club.founded is not None:
        yield f"founded: {club.founded}"
    if club.ground is not None:
        yield f"ground: {value_text(club.ground)}"
    if club.teams:
        yield f"teams: {value_text(dict(club.teams))}"
    if club.formerly:
        names = [_entry(name=each.name, since=("until", each.until)) for each in club.formerly]
        yield f"formerly: {value_text(names)}"
    if club.merged_from:
        yield f"merged_from: {value_text(club.merged_from)}"


def _entry(since: tuple[str, int | None], **named: str) -> dict[str, Value]:
    key, year = since
    return {**named} if year is None else {**named, key: str(year)}
