"""A cup's bracket as a table: a column for each round, so that each line leads from the left."""

from riesbuch.folder.archive import Archive
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    joined,
    link,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.outcomes import fixtures_of, has_page, result_words
from riesbuch.pages.paths import match_page
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults
from riesbuch.trade.bracket import Alone, Bracket, Row, Tie, bracket
from riesbuch.trade.tally import Tally


def bracket_of(archive: Archive, results: CompetitionResults) -> Bracket | None:
    tallies = [match.tally for match in results.matches]
    return bracket(results.competition.teams, fixtures_of(archive, results), tallies)


def bracket_table(
    wording: Wording, results: CompetitionResults, drawn: Bracket, here: str
) -> Markdown:
    recorded = {match.tally.sheet: match for match in results.matches}

    def cell(found: Tie | Alone | None) -> Markdown:
        if found is None:
            return Markdown("")
        if isinstance(found, Alone):
            team = wording.team(found.team)
            return wording.say("{team}: bye", team=team) if found.later else Markdown(f"{team} – ?")
        sides = wording.sides(*found.teams)
        if not found.tallies:
            day = wording.date(found.fixture.date if found.fixture else None)
            return joined([sides, day])
        return joined(map(played, found.tallies), "; ")

    def played(tally: Tally) -> Markdown:
        match = recorded[tally.sheet]
        home, away = match.tally.home, match.tally.away
        sides = wording.sides(home.team, away.team)
        nummern = Markdown(wording.pair(home.nummern, away.nummern).replace(" ", "\u00a0"))
        words = [result_words(wording, match)]
        if home.nummern is not None or away.nummern is not None:
            words.append(wording.say("Nummern {figures}", figures=nummern))
        if has_page(match):
            sides = link(here, match_page(match.tally.sheet), sides)
        return joined([sides, joined(words)], " ")

    def of_round(index: int, number: int) -> PageColumn[Row]:
        is_final = drawn.final is not None and drawn.final.round == number
        title = (
            wording.say("Final")
            if is_final
            else wording.say("Round {number}", number=Markdown(str(number)))
        )
        return PageColumn(title, lambda row: cell(row[index]))

    winner = drawn.final.gone_on if drawn.final is not None else None
    return stacked(
        NOTHING
        if winner is None
        else wording.say("Winner of the final: {team}.", team=wording.team(winner)),
        table(drawn.rows, *(of_round(index, number) for index, number in enumerate(drawn.rounds))),
        sentences(
            wording.say("In bold the points of the side that won and went on."),
            wording.say("Nummern are those a side conceded in the field: the fewer, the better."),
        ),
    )
