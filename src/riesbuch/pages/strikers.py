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
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.rules import Award
from riesbuch.trade.strikers import Striker


def strikers_text(archive: Archive, wording: Wording, results: CompetitionResults) -> str:

    here = strikers_page(results.year, results.competition.id)
    title = competition_title(wording, results.year, results.competition)
    return page(
        [
            heading(1, joined([wording.say("Striker table"), title], " – ")),
            joined(
                [
                    link(here, FRONT_PAGE, escape(archive.league.name)),
                    link(here, competition_page(results.year, results.competition.id), title),
                ],
                " · ",
            ),
            _rests_on(wording, results),
            *_awards(wording, results),
            _table(wording, here, results),
            wording.say(
                "The average is points a strike, over the matches known strike by strike; the"
                " best match is the most points in one. Rank points are earned match by match."
            )
            if results.strikers
            else NOTHING,
        ]
    )


def _rests_on(wording: Wording, results: CompetitionResults) -> Markdown:
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
    rests = wording.counted(
        len(struck),
        "This table rests on {used} of {count} match",
        "This table rests on {used} of {count} matches",
        used=wording.number(len(used)),
    )
    return joined(
        [rests, wording.say("; {known} known strike by strike.", known=wording.number(known))], ""
    )


def _table(wording: Wording, here: str, results: CompetitionResults) -> Markdown:
    if not results.strikers:
        return wording.say("No player's points are known yet.")
    columns = [
        wording.figures("Rank"),
        wording.column("Name"),
        wording.column("Team"),
        wording.figures("Played"),
        wording.figures("Strikes"),
        wording.figures("Points"),
        wording.figures("Average"),
        wording.figures("Best match"),
        wording.figures("Rank points"),
    ]
    return table(columns, [_row(wording, here, results.year, each) for each in results.strikers])


def _row(wording: Wording, here: str, season: int, striker: Striker) -> list[Markdown]:
    return [
        wording.number(striker.rank),
        wording.player(striker.player, season, here),
        wording.team(striker.team, here),
        wording.number(striker.matches),
        wording.number(striker.strikes or None),
        wording.number(striker.points),
        wording.ratio(striker.average),
        wording.number(striker.best),
        wording.number(striker.rank_points),
    ]


def _awards(wording: Wording, results: CompetitionResults) -> list[Markdown]:
    """Each award with those to whom it is the highest they reached."""
    awards = sorted(results.rules.awards, key=lambda each: -each.points)
    if not awards or not results.strikers:
        return []
    items: list[Markdown] = []
    above: Award | None = None
    for award in awards:
        most = None if above is None else above.points - 1
        reached = [
            wording.player(each.player, results.year)
            for each in results.strikers
            if each.points >= award.points and (most is None or each.points <= most)
        ]
        items.append(
            fill(
                wording.say("{name} (from {points} points): {players}")
                if most is None
                else wording.say("{name} ({points} to {most} points): {players}"),
                name=escape(award.name),
                points=wording.number(award.points),
                most=wording.number(most),
                players=wording.listed(reached) if reached else wording.say("nobody"),
            )
        )
        above = award
    return [
        heading(2, wording.say("Awards")),
        bullets(items),
        heading(2, wording.say("Striker table")),
    ]
