"""Matches as a newspaper prints them, one line each."""

from collections.abc import Callable, Sequence

from riesbuch.language.catalogue import Catalogue
from riesbuch.trade.ids import SheetId, TeamId
from riesbuch.trade.match import Outcome
from riesbuch.trade.tally import SideTally, Tally

_LONGEST_TITLE = 72


def result_line(words: Catalogue, tally: Tally, name: Callable[[TeamId], str]) -> str:
    """``Aarwald A – Birkenfluh A 0 Nr. 881 – 0 Nr. 936``: of each side the Nummern that it
    conceded and its points, a question mark for what nobody knows."""
    home, away = (name(side.team) if side.team else "?" for side in (tally.home, tally.away))
    pair = f"{home} – {away}"
    if tally.outcome is Outcome.POSTPONED:
        return words.say("{pair}: put off", pair=pair)
    if tally.outcome is Outcome.ANNULLED:
        return words.say("{pair}: annulled", pair=pair)
    if tally.outcome is Outcome.FORFEITED:
        if tally.winner not in ("home", "away"):
            return words.say("{pair}: forfeited", pair=pair)
        winner = home if tally.winner == "home" else away
        return words.say("{pair}: forfeited, awarded to {team}", pair=pair, team=winner)
    line = f"{pair} {_figures(tally.home)} – {_figures(tally.away)}"
    if tally.outcome is Outcome.ABANDONED:
        line = words.say("{line} (abandoned)", line=line)
    return line


def _figures(side: SideTally) -> str:
    nummern, points = (
        "?" if figure is None else str(figure) for figure in (side.nummern, side.points)
    )
    return f"{nummern} Nr. {points}"


def commit_message(
    words: Catalogue,
    entered: Sequence[Tally],
    older: Sequence[SheetId],
    rulings: Sequence[str],
    team: Callable[[TeamId], str],
    competition: Callable[[Tally], str],
) -> str:
    """What a match day brought: its round for a title, a line a match, which ``older`` sheets are
    others now, and which ``rulings`` by what they are on. ``competition`` names that of a match."""
    groups: dict[str, list[str]] = {}
    for tally in sorted(entered, key=_by_round):
        title = competition(tally)
        if tally.round is not None and tally.part is None:
            title = words.say(
                "{competition}, round {number}", competition=title, number=tally.round
            )
        groups.setdefault(title, []).append(result_line(words, tally, team))
    if len(groups) == 1:
        blocks = [next(iter(groups)), "\n".join(*groups.values())]
    elif groups:
        titles = "; ".join(groups)
        blocks = [
            titles
            if len(titles) <= _LONGEST_TITLE
            else words.counted(len(entered), "{count} result", "{count} results"),
            *("\n".join((title, *lines)) for title, lines in groups.items()),
        ]
    else:
        blocks = [
            words.say("Sheets changed")
            if older
            else words.say("Rulings changed")
            if rulings
            else words.say("Register, season and pages")
        ]
    if older:
        listed = "\n".join(older)
        blocks.append(words.say("Changed, though entered before:") + f"\n{listed}")
    if rulings:
        blocks.append("\n".join((words.say("Rulings of the match commission:"), *rulings)))
    return "\n\n".join(blocks) + "\n"


def _by_round(tally: Tally) -> tuple[int, str, int, str, str]:
    return tally.season, tally.competition or "", tally.round or 0, str(tally.date), tally.sheet
