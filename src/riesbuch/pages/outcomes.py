"""How a match went, in the few words of a list and in the sentence of its own page."""

from riesbuch.pages.markdown import Markdown, escape, fill, joined
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
    return escape(pen.say.draw) if winner == "draw" else pen.team(recorded.tally.side(winner).team)


def outcome_words(pen: Pen, recorded: RecordedMatch) -> Markdown:
    """The winner, or why there is none."""
    say, outcome = pen.say, recorded.tally.outcome
    winner = _winner(pen, recorded)
    if outcome is Outcome.POSTPONED:
        if recorded.match.moved_to is None:
            return escape(say.postponed)
        return fill(say.postponed_to, date=pen.date(recorded.match.moved_to))
    if outcome is Outcome.ANNULLED:
        return escape(say.annulled)
    if recorded.tally.is_draft:
        return escape(say.draft)
    if outcome is Outcome.FORFEITED:
        words = fill(say.forfeited_to, team=winner) if winner else escape(say.forfeited)
    elif outcome is Outcome.ABANDONED:
        words = fill(say.abandoned_to, team=winner) if winner else escape(say.abandoned)
    else:
        words = winner or escape(say.winner_unknown)
    return fill(say.not_counted, outcome=words) if recorded.is_kept_out else words


def outcome_sentence(pen: Pen, recorded: RecordedMatch) -> Markdown:
    """Who won and what decided it, or why nobody did."""
    say, tally, outcome = pen.say, recorded.tally, recorded.tally.outcome
    if outcome is Outcome.POSTPONED:
        if recorded.match.moved_to is None:
            return escape(say.match_postponed)
        return fill(say.match_postponed_to, date=pen.date(recorded.match.moved_to))
    if outcome is Outcome.ANNULLED:
        return escape(say.match_annulled)
    sentences: list[Markdown] = []
    if outcome is Outcome.ABANDONED:
        sentences.append(escape(say.match_abandoned))
    if tally.winner == "draw":
        recorded_so = tally.decided_by == "recorded"
        sentences.append(escape(say.drawn_as_recorded if recorded_so else say.drawn_level))
    elif tally.winner is not None and tally.decided_by is not None:
        team = pen.team(tally.side(tally.winner).team)
        sentences.append(fill(say.won_by[tally.decided_by], team=team))
    elif outcome is Outcome.FORFEITED:
        sentences.append(escape(say.match_forfeited))
    else:
        sentences.append(escape(say.match_winner_unknown))
    if recorded.is_kept_out:
        sentences.append(escape(say.match_not_counted))
    return joined(sentences, " ")
