"""How a match went, in the few words of a list and in the sentence of its own page."""

from riesbuch.language.outcomes import result_sentences
from riesbuch.pages.markdown import Markdown, joined
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.match import Outcome


def has_page(recorded: RecordedMatch) -> bool:
    """A draft gets its page once it is complete."""
    return not recorded.tally.is_draft


def _winner(wording: Wording, recorded: RecordedMatch) -> Markdown | None:
    winner = recorded.tally.winner
    if winner is None:
        return None
    return (
        wording.say("draw") if winner == "draw" else wording.team(recorded.tally.side(winner).team)
    )


def outcome_words(wording: Wording, recorded: RecordedMatch) -> Markdown:
    """The winner, or why there is none."""
    outcome = recorded.tally.outcome
    winner = _winner(wording, recorded)
    if outcome is Outcome.POSTPONED:
        if recorded.match.moved_to is None:
            return wording.say("postponed, no new date yet")
        return wording.say("postponed to {date}", date=wording.date(recorded.match.moved_to))
    if outcome is Outcome.ANNULLED:
        return wording.say("annulled")
    if recorded.tally.is_draft:
        return wording.say("sheet not yet complete")
    if outcome is Outcome.FORFEITED:
        words = (
            wording.say("forfeited, awarded to {team}", team=winner)
            if winner
            else wording.say("forfeited")
        )
    elif outcome is Outcome.ABANDONED:
        words = (
            wording.say("{team} (abandoned)", team=winner) if winner else wording.say("abandoned")
        )
    else:
        words = winner or wording.say("not known")
    return (
        wording.say("{outcome}; kept out of the tables", outcome=words)
        if recorded.is_kept_out
        else words
    )


def outcome_sentence(wording: Wording, recorded: RecordedMatch) -> Markdown:
    """Who won and what decided it, or why nobody did."""
    tally, outcome = recorded.tally, recorded.tally.outcome
    if outcome is Outcome.POSTPONED:
        if recorded.match.moved_to is None:
            return wording.say("Postponed; no new date yet.")
        return wording.say("Postponed to {date}.", date=wording.date(recorded.match.moved_to))
    if outcome is Outcome.ANNULLED:
        return wording.say("Annulled: the match counts nowhere.")
    sentences = [*map(Markdown, result_sentences(wording.words, tally, wording.team))]
    if tally.winner is None and outcome is not Outcome.FORFEITED:
        sentences.append(wording.say("Who won is not known."))
    if recorded.is_kept_out:
        sentences.append(wording.say("The match is kept out of the tables."))
    return joined(sentences, " ")
