"""The page of a competition's striker table."""

from riesbuch.folder.archive import Archive
from riesbuch.pages.competition import competition_title
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
    page,
    table,
)
from riesbuch.pages.paths import FRONT_PAGE, competition_page, strikers_page
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import CompetitionResults
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.rules import Award
from riesbuch.trade.strikers import Striker


def strikers_text(archive: Archive, pen: Pen, results: CompetitionResults) -> str:

    here = strikers_page(results.year, results.competition.id)
    title = competition_title(pen, results.year, results.competition)
    return page(
        [
            heading(1, joined([pen.say("Striker table"), title], " – ")),
            joined(
                [
                    link(here, FRONT_PAGE, escape(archive.league.name)),
                    link(here, competition_page(results.year, results.competition.id), title),
                ],
                " · ",
            ),
            _rests_on(pen, results),
            *_awards(pen, results),
            _table(pen, here, results),
            pen.say(
                "The average is points a strike, over the matches known strike by strike; the"
                " best match is the most points in one. Rank points are earned match by match."
            )
            if results.strikers
            else NOTHING,
        ]
    )


def _rests_on(pen: Pen, results: CompetitionResults) -> Markdown:
    """On how many of the matches that were struck the table rests, and how fully."""
    struck = [
        each.tally
        for each in results.matches
        if each.tally.outcome in (Outcome.PLAYED, Outcome.ABANDONED)
        and not each.is_kept_out
        and not each.tally.is_draft
    ]
    used = [tally for tally in struck if tally.sheet in results.with_individuals]
    known = sum(
        tally.home.depth is Depth.STRIKES and tally.away.depth is Depth.STRIKES for tally in used
    )
    rests = pen.counted(
        len(struck),
        "This table rests on {used} of {count} match",
        "This table rests on {used} of {count} matches",
        used=pen.number(len(used)),
    )
    return joined(
        [rests, pen.say("; {known} known strike by strike.", known=pen.number(known))], ""
    )


def _table(pen: Pen, here: str, results: CompetitionResults) -> Markdown:
    if not results.strikers:
        return pen.say("No player's points are known yet.")
    columns = [
        pen.figures("Rank"),
        pen.column("Name"),
        pen.column("Team"),
        pen.figures("Played"),
        pen.figures("Strikes"),
        pen.figures("Points"),
        pen.figures("Average"),
        pen.figures("Best match"),
        pen.figures("Rank points"),
    ]
    return table(columns, [_row(pen, here, results.year, each) for each in results.strikers])


def _row(pen: Pen, here: str, season: int, striker: Striker) -> list[Markdown]:
    return [
        pen.number(striker.rank),
        pen.player(striker.player, season, here),
        pen.team(striker.team, here),
        pen.number(striker.matches),
        pen.number(striker.strikes or None),
        pen.number(striker.points),
        pen.ratio(striker.average),
        pen.number(striker.best),
        pen.number(striker.rank_points),
    ]


def _awards(pen: Pen, results: CompetitionResults) -> list[Markdown]:
    """Each award with those to whom it is the highest they reached."""
    awards = sorted(results.rules.awards, key=lambda each: -each.points)
    if not awards or not results.strikers:
        return []
    items: list[Markdown] = []
    above: Award | None = None
    for award in awards:
        most = None if above is None else above.points - 1
        reached = [
            pen.player(each.player, results.year)
            for each in results.strikers
            if each.points >= award.points and (most is None or each.points <= most)
        ]
        items.append(
            fill(
                pen.say("{name} (from {points} points): {players}")
                if most is None
                else pen.say("{name} ({points} to {most} points): {players}"),
                name=escape(award.name),
                points=pen.number(award.points),
                most=pen.number(most),
                players=pen.listed(reached) if reached else pen.say("nobody"),
            )
        )
        above = award
    return [
        heading(2, pen.say("Awards")),
        bullets(items),
        heading(2, pen.say("Striker table")),
    ]
