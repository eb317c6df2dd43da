"""Whom a person means, who is like whom, and what somebody new is called in files."""

from collections.abc import Iterable

from riesbuch.trade.ids import ClubId, PlayerId, is_identifier
from riesbuch.trade.names import NearestNames, folded
from riesbuch.trade.people import Club, Membership, Player, Register
from riesbuch.trade.problems import UsageError, alternatives

_VERY_LIKE = 0.9
_MEANT_CLUBS = 3


def find_registered(register: Register, written: str) -> Player:
    """The registered player with that identifier, or whose name alone, or a spelling of it, is
    ``written``. Raises UsageError with the nearest names."""
    found = register.players.get(PlayerId(written))
    if found is not None:
        return found
    everybody = register.players.values()
    meant = [each for each in everybody if written in (each.name, *each.also_written)]
    if not meant and folded(written):
        meant = [each for each in everybody
                 if folded(written) in map(folded, (each.name, *each.also_written))]  # fmt: skip
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise UsageError(
            f"`{written}` is a name of {len(meant)} players; name one by the identifier:"
            f" {alternatives(sorted(each.id for each in meant))}"
        )
    if written in register.unread_players:
        raise UsageError(
            f"players/{written}.yaml cannot be read; `riesbuch check players` says what to mend"
        )
    nearest = NearestNames(everybody).near(written)
    advice = (
        f"did you mean {alternatives(titled(register.players[each]) for each in nearest)}?"
        if nearest
        else "`riesbuch roster` lists who there is"
    )
    raise UsageError(f"there is no player `{written}` in players/; {advice}")


def titled(player: Player) -> str:
    return f"{player.id} ({player.name})"


def find_club(register: Register, written: str) -> ClubId:
    """The club with that identifier, or that name. Raises UsageError with the nearest."""
    if register.knows_club(ClubId(written)):
        return ClubId(written)
    clubs = sorted(register.clubs.values(), key=lambda each: each.id)
    meant = [each.id for each in clubs if folded(written) in (each.id, folded(each.name))]
    if len(meant) == 1:
        return meant[0]
    near = meant or _near_clubs(clubs, written)
    raise UsageError(
        f"there is no club `{written}` in clubs/; "
        + (f"did you mean {alternatives(near)}?" if near else "it needs a file there first")
    )


def _near_clubs(clubs: Iterable[Club], written: str) -> list[ClubId]:
    # The same measure as for people, over the clubs' identifiers and names.
    likened = [Player(id=PlayerId(each.id), name=each.name, positions={}) for each in clubs]
    return [ClubId(each) for each in NearestNames(likened).near(written, most=_MEANT_CLUBS)]


def current_club(player: Player) -> Membership | None:
    """The last of the player's clubs; those without a year come first."""
    if not player.clubs:
        return None
    return max(enumerate(player.clubs), key=lambda each: (each[1].since or 0, each[0]))[1]


def identifier_for(name: str) -> PlayerId:
    """``aebi-ruedi`` for Ruedi Aebi, ``von-arx-lena`` for Lena von Arx. Raises UsageError where
    no identifier can be made of the name."""
    words = name.split()
    # What is written small within a name belongs to the family name.
    small = (index for index, word in enumerate(words) if index and word[:1].islower())
    family = next(small, len(words) - 1)
    made = folded(" ".join((*words[family:], *words[:family])))
    if not is_identifier(made):
        raise UsageError(f"no identifier can be made of `{name}`; give one before --name")
    return PlayerId(made)


def expect_identifier(written: str) -> PlayerId:
    """``written`` where it may name a player's file; raises UsageError elsewhere."""
    # Without quotes YAML reads null as nothing at all.
    if is_identifier(written) and written != "null":
        return PlayerId(written)
    near = folded(written)
    raise UsageError(
        f"`{written}` is not an identifier; "
        + (
            f"did you mean {near}?"
            if is_identifier(near) and near != "null"
            else "identifiers are made of a-z, 0-9 and single hyphens, at most 64 characters"
        )
    )


def very_like(register: Register, name: str) -> list[Player]:
    """Those who may be the same person: of the same name in any order, with initials written
    out or not, or a letter apart."""
    return sorted(
        (
            each
            for each in register.players.values()
            if any(_are_very_like(name, other) for other in (each.name, *each.also_written))
        ),
        key=lambda each: each.id,
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
