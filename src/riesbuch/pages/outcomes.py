"""How a match went, in the few words of a list and in the sentence of its own page."""

from riesbuch.language.outcomes import result_sentences
from riesbuch.pages.markdown import Markdown, joined
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.match import Outcome


def has_page(recorded: RecordedMatch) -> bool:
    """A draft gets its page once it is complete."""
    return not recorded.tally.is_draft


def _winner(pen: Pen, recorded: RecordedMatch) -> Markdown | None:
    winner = recorded.tally.winner
    if winner is None:
        return None
    return pen.say("draw") if winner == "draw" else pen.team(recorded.tally.side(winner).team)


def outcome_words(pen: Pen, recorded: RecordedMatch) -> Markdown:
    """The winner, or why there is none."""
    outcome = recorded.tally.outcome
    winner = _winner(pen, recorded)
    if outcome is Outcome.POSTPONED:
        if recorded.match.moved_to is None:
            return pen.say("postponed, no new date yet")
        return pen.say("postponed to {date}", date=pen.date(recorded.match.moved_to))
    if outcome is Outcome.ANNULLED:
        return pen.say("annulled")
    if recorded.tally.is_draft:
        return pen.say("sheet not yet complete")
    if outcome is Outcome.FORFEITED:
        words = (
            pen.say("forfeited, awarded to {team}", team=winner) if winner else pen.say("forfeited")
        )
    elif outcome is Outcome.ABANDONED:
        words = pen.say("{team} (abandoned)", team=winner) if winner else pen.say("abandoned")
    else:
        words = winner or pen.say("not known")
    return (
        pen.say("{outcome}; kept out of the tables", outcome=words)
        if recorded.is_kept_out
        else words
    )


def outcome_sentence(pen: Pen, recorded: RecordedMatch) -> Markdown:
    """Who won and what decided it, or why nobody did."""
    tally, outcome = recorded.tally, recorded.tally.outcome
    if outcome is Outcome.POSTPONED:
        if recorded.match.moved_to is None:
            return pen.say("Postponed; no new date yet.")
        return pen.say("Postponed to {date}.", date=pen.date(recorded.match.moved_to))
    if outcome is Outcome.ANNULLED:
        return pen.say("Annulled: the match counts nowhere.")
    sentences = [*map(Markdown, result_sentences(pen.words, tally, pen.team))]
    if tally.winner is None and outcome is not Outcome.FORFEITED:
        sentences.append(pen.say("Who won is not known."))
    if recorded.is_kept_out:
        sentences.append(pen.say("The match is kept out of the tables."))
    return joined(sentences, " ")
