"""The page of one match."""

from collections.abc import Sequence

from riesbuch.pages.competition import competition_title, season_title
from riesbuch.pages.drawings import Drawing, shown
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    escape,
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
                    strong(pen.say("Result:")),
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
    tally = recorded.tally
    if tally.outcome not in OUTCOMES_IN_TABLES:
        return NOTHING
    columns = [pen.column("Team")]
    columns += [pen.figures("Nummern"), pen.figures("Points")]
    if is_league(results):
        columns.append(pen.figures("Rank points"))
    rows = []
    for side in (tally.home, tally.away):
        figures = [side.nummern, side.points]
        if is_league(results):
            figures.append(side.rank_points if tally.counts else None)
        rows.append([pen.team(side.team, here), *(pen.number(figure) for figure in figures)])
    return table(columns, rows)


def _around(pen: Pen, match: Match) -> list[Markdown]:
    """Date, round, and whatever else is known of the day."""
    day = pen.date(match.date)
    if match.round is not None:
        day = pen.say("{date}, round {number}", date=day, number=Markdown(str(match.round)))
    items = [pen.say("Date: {date}", date=day)]
    if match.ground is not None:
        items.append(pen.say("Ground: {text}", text=pen.text(match.ground)))
    if match.weather is not None:
        items.append(pen.say("Weather: {text}", text=pen.text(match.weather)))
    if match.notes is not None:
        items.append(pen.say("Notes: {text}", text=pen.text(match.notes)))
    if match.referees:
        names = joined(map(pen.text, match.referees))
        items.append(
            pen.counted(len(match.referees), "Referee: {names}", "Referees: {names}", names=names)
        )
    if match.home.rows is not None and match.away.rows is not None:
        first = match.side(match.strikes_first).team
        items.append(pen.say("Struck first: {team}", team=pen.team(first)))
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
    sentences = [
        pen.say(
            "2.1 is the first strike of the second inning. **16N** is a strike of 16 points"
            " that came down in the strip, a Nummer against the fielders; 0 is a Nuller; x"
            " was not struck."
        )
    ]
    if StrikeKind.UNKNOWN in kinds:
        sentences.append(pen.say("A ? was struck, but its points are not known."))
    return Markdown(" ".join(sentences))
