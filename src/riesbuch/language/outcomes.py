"""Who won a match, in sentences."""

from collections.abc import Callable

from riesbuch.language.catalogue import Catalogue
from riesbuch.trade.ids import TeamId
from riesbuch.trade.match import Outcome
from riesbuch.trade.tally import DecidedBy, Tally


def result_sentences(
    words: Catalogue, tally: Tally, name: Callable[[TeamId | None], str]
) -> list[str]:
    """Who won and what decided it, or that it was a draw; empty where neither is known."""
    sentences = []
    if tally.outcome is Outcome.ABANDONED:
        sentences.append(words.say("The match was abandoned."))
    if tally.winner == "draw":
        sentences.append(
            words.say("A draw. The sheet says so; the figures known do not settle it.")
            if tally.decided_by == "recorded"
            else words.say("A draw: the sides were level on everything that decides.")
        )
    elif tally.winner is not None and tally.decided_by is not None:
        team = name(tally.side(tally.winner).team)
        sentences.append(_decided(words, tally.decided_by).format(team=team))
    elif tally.outcome is Outcome.FORFEITED:
        sentences.append(words.say("Forfeited."))
    return sentences


def _decided(words: Catalogue, decided_by: DecidedBy) -> str:
    match decided_by:
        case "nummern":
            return words.say("{team} won on Nummern.")
        case "points":
            return words.say("{team} won on points.")
        case "longest_ries":
            return words.say("{team} won by the longest Ries.")
        case "award":
            return words.say("Forfeited: the match was awarded to {team}.")
        case "recorded":
            return words.say("{team} won. The sheet says so; the figures known do not settle it.")
