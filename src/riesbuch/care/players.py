"""Who is like whom, and what somebody new is called in files."""

from riesbuch.judge.holdings import SheetEntry
from riesbuch.trade.ids import ClubId, PlayerId, club_of, is_identifier
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded
from riesbuch.trade.people import Player, Register
from riesbuch.trade.problems import UsageError

_VERY_LIKE = 0.9
_SMALL_WORDS = frozenset(("von", "van", "de", "da", "di", "del", "della", "der", "den", "la", "le"))
"""Of family names of several words."""


def titled(player: Player) -> str:
    return f"{player.id} ({player.name})"


def unknown_people(register: Register, sheet: SheetEntry) -> dict[PlayerId, ClubId | None]:
    """Those whom the sheet names and the register does not, each with the club of the side."""
    teams = {mention.player: sheet.team(mention.side) for mention in sheet.mentions}
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
