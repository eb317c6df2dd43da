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
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.ids import SideName
from riesbuch.trade.match import Match
from riesbuch.trade.strikes import StrikeKind
from riesbuch.trade.tally import OUTCOMES_IN_TABLES


def match_text(
    wording: Wording,
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
    sides = [wording.team(match.home.team), wording.team(match.away.team)]
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
                        competition_title(wording, results.year, results.competition),
                    ),
                    link(here, season_page(results.year), season_title(wording, results.year)),
                ],
                " · ",
            ),
            joined(
                [
                    strong(wording.say("Result:")),
                    outcome_sentence(wording, recorded),
                    *deciding_figures(wording, recorded, told=story != NOTHING),
                ],
                " ",
            ),
            story,
            _figures(wording, results, recorded, here),
            bullets(_around(wording, match)),
            *course_blocks(wording, recorded, *shown(here, drawings)),
            *(
                block
                for name in names
                for block in side_blocks(wording, here, recorded, name, results.rules)
            ),
            _legend(wording, match),
            *provenance(wording, here, recorded),
        ]
    )


def _figures(
    wording: Wording, results: CompetitionResults, recorded: RecordedMatch, here: str
) -> Markdown:
    tally = recorded.tally
    if tally.outcome not in OUTCOMES_IN_TABLES:
        return NOTHING
    columns = [wording.column("Team")]
    columns += [wording.figures("Nummern"), wording.figures("Points")]
    if is_league(results):
        columns.append(wording.figures("Rank points"))
    rows = []
    for side in (tally.home, tally.away):
        figures = [side.nummern, side.points]
        if is_league(results):
            figures.append(side.rank_points if tally.counts else None)
        rows.append(
            [wording.team(side.team, here), *(wording.number(figure) for figure in figures)]
        )
    return table(columns, rows)


def _around(wording: Wording, match: Match) -> list[Markdown]:
    """Date, round, and whatever else is known of the day."""
    day = wording.date(match.date)
    if match.round is not None:
        day = wording.say("{date}, round {number}", date=day, number=Markdown(str(match.round)))
    items = [wording.say("Date: {date}", date=day)]
    if match.ground is not None:
        items.append(wording.say("Ground: {text}", text=wording.text(match.ground)))
    if match.weather is not None:
        items.append(wording.say("Weather: {text}", text=wording.text(match.weather)))
    if match.notes is not None:
        items.append(wording.say("Notes: {text}", text=wording.text(match.notes)))
    if match.referees:
        names = joined(map(wording.text, match.referees))
        items.append(
            wording.counted(
                len(match.referees), "Referee: {names}", "Referees: {names}", names=names
            )
        )
    if match.home.rows is not None and match.away.rows is not None:
        first = match.side(match.strikes_first).team
        items.append(wording.say("Struck first: {team}", team=wording.team(first)))
    return items


def _legend(wording: Wording, match: Match) -> Markdown:
    kinds = {
        strike.kind
        for _, side in match.sides
        for row in side.team_rows + side.supernumeraries
        for strike in row.strikes
    }
    if not kinds:
        return NOTHING
    sentences = [
        wording.say(
            "2.1 is the first strike of the second inning. **16N** is a strike of 16 points"
            " that came down in the strip, a Nummer against the fielders; 0 is a Nuller; x"
            " was not struck."
        )
    ]
    if StrikeKind.UNKNOWN in kinds:
        sentences.append(wording.say("A ? was struck, but its points are not known."))
    return Markdown(" ".join(sentences))
