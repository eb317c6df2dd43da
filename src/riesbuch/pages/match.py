"""The page of one match."""

from collections.abc import Sequence

from riesbuch.pages.competition import competition_title, season_title
from riesbuch.pages.drawings import Drawing, shown
from riesbuch.pages.markdown import (
    NOTHING,
    Column,
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
    page,
    strong,
    table,
)
from riesbuch.pages.match_course import course_blocks, deciding_figures
from riesbuch.pages.outcomes import outcome_sentence
from riesbuch.pages.paths import FRONT_PAGE, competition_page, match_page, season_page
from riesbuch.pages.provenance import provenance
from riesbuch.pages.side import side_blocks
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.ids import SideName
from riesbuch.trade.match import Match
from riesbuch.trade.strikes import StrikeKind
from riesbuch.trade.tally import OUTCOMES_IN_TABLES


def match_text(
    pen: Pen,
    league: str,
    results: CompetitionResults,
    recorded: RecordedMatch,
    story: Markdown = NOTHING,
    drawings: Sequence[Drawing] = (),
) -> str:
    """``story`` tells the match in a paragraph, and stands below its result."""
    match = recorded.match
    here = match_page(match.sheet)
    competition = competition_page(results.year, results.competition.id)
    sides = [pen.team(match.home.team), pen.team(match.away.team)]
    names: tuple[SideName, SideName] = ("home", "away")
    return page(
        [
            heading(1, joined(sides, " – ")),
            joined(
                [
                    link(here, FRONT_PAGE, escape(league)),
                    link(
                        here,
                        competition,
                        competition_title(pen, results.year, results.competition),
                    ),
                    link(here, season_page(results.year), season_title(pen, results.year)),
                ],
                " · ",
            ),
            joined(
                [
                    strong(escape(pen.say.result)),
                    outcome_sentence(pen, recorded),
                    *deciding_figures(pen, recorded, told=story != NOTHING),
                ],
                " ",
            ),
            story,
            _figures(pen, results, recorded, here),
            bullets(_around(pen, match)),
            *course_blocks(pen, recorded, *shown(here, drawings)),
            *(
                block
                for name in names
                for block in side_blocks(pen, here, recorded, name, results.rules)
            ),
            _legend(pen, match),
            *provenance(pen, here, recorded),
        ]
    )


def _figures(pen: Pen, results: CompetitionResults, recorded: RecordedMatch, here: str) -> Markdown:
    say, tally = pen.say, recorded.tally
    if tally.outcome not in OUTCOMES_IN_TABLES:
        return NOTHING
    columns = [Column(escape(say.team))]
    columns += [Column(escape(title), figures=True) for title in (say.nummern, say.points)]
    if is_league(results):
        columns.append(Column(escape(say.rank_points), figures=True))
    rows = []
    for side in (tally.home, tally.away):
        figures = [side.nummern, side.points]
        if is_league(results):
            figures.append(side.rank_points if tally.counts else None)
        rows.append([pen.team(side.team, here), *(pen.number(figure) for figure in figures)])
    return table(columns, rows)


def _around(pen: Pen, match: Match) -> list[Markdown]:
    """Date, round, and whatever else is known of the day."""
    say = pen.say
    day = pen.date(match.date)
    if match.round is not None:
        day = fill(say.in_round, date=day, number=Markdown(str(match.round)))
    items = [fill(say.played_on, date=day)]
    for phrase, written in (
        (say.ground, match.ground),
        (say.weather, match.weather),
        (say.notes, match.notes),
    ):
        if written is not None:
            items.append(fill(phrase, text=pen.text(written)))
    if match.referees:
        phrase = say.referees_one if len(match.referees) == 1 else say.referees_many
        items.append(fill(phrase, names=joined(pen.text(each) for each in match.referees)))
    if match.home.rows is not None and match.away.rows is not None:
        first = match.side(match.strikes_first).team
        items.append(fill(say.struck_first, team=pen.team(first)))
    return items


def _legend(pen: Pen, match: Match) -> Markdown:
    kinds = {
        strike.kind
        for _, side in match.sides
        for row in side.team_rows + side.supernumeraries
        for strike in row.strikes
    }
    if not kinds:
        return NOTHING
    sentences = [pen.say.legend]
    if StrikeKind.UNKNOWN in kinds:
        sentences.append(pen.say.legend_unknown)
    return Markdown(" ".join(sentences))
