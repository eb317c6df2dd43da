"""Who is like whom, and what somebody new is called in files."""

from riesbuch.trade.ids import PlayerId, is_identifier
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded
from riesbuch.trade.people import Membership, Player, Register
from riesbuch.trade.problems import UsageError

_VERY_LIKE = 0.9


def titled(player: Player) -> str:
    return f"{player.id} ({player.name})"


def current_club(player: Player) -> Membership | None:
    """The last of the player's clubs; those without a year come first."""
    if not player.clubs:
        return None
    return max(enumerate(player.clubs), key=lambda numbered: (numbered[1].since or 0, numbered[0]))[
        1
    ]


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
