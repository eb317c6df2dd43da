"""What is said of a club that changed its name or carries on others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from riesbuch.questions.clubs import FormerName, Party
    from riesbuch.questions.match_lines import Connection


def carried_on_note(connection: Connection, party: Party, teams: Sequence[str]) -> list[str]:
    """That the party stands for other clubs too, of those whose ``teams`` were looked for."""
    from riesbuch.questions.clubs import club_name

    names = [
        club_name(connection, club)
        for club in party.predecessors
        if any(team.rpartition("-")[0] == club for team in teams)
    ]
    if not names:
        return []
    return [f"{party.name} stands for {joined(names)} too, whose history it carries on."]


def former_name_notes(connection: Connection, former: Sequence[FormerName]) -> list[str]:
    from riesbuch.questions.clubs import club_name

    return [
        f"{club_name(connection, each.club)} was "
        + (f"formerly called {each.name}." if each.until is None
           else f"called {each.name} until {each.until}.")
        for each in former
    ]  # fmt: skip


def former_name_data(former: Sequence[FormerName]) -> list[dict[str, str | int | None]]:
    return [each._asdict() for each in former]


def joined(words: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    *front, last = words
    return f"{', '.join(front)} and {last}" if front else last
