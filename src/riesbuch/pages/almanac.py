"""The almanac: what happened in earlier years on the day of the last match, and what comes."""

from collections.abc import Sequence

from riesbuch.pages.markdown import (
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    link,
    page,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import ALMANAC_PAGE, match_page
from riesbuch.questions.almanac import (
    CHAMPION,
    DAYS_AHEAD,
    FIRST_MATCH,
    FOUNDED,
    Anniversary,
)


def almanac_text(past: Past) -> str:
    pen, say = past.pen, past.pen.past
    blocks = [heading(1, escape(say.almanac)), past.ways(ALMANAC_PAGE)]
    day, found = past.last_day, past.almanac
    if day is None or found is None:
        return page([*blocks, escape(pen.say.no_matches)])
    near = [each for each in found.anniversaries if each.day is not None]
    of_year = [each for each in found.anniversaries if each.day is None]
    return page(
        [
            *blocks,
            fill(say.almanac_seen_from, date=pen.date(day)),
            heading(2, fill(say.on_this_day, day=Markdown(pen.say.on_day(day)))),
            past.match_table(found.matches, ALMANAC_PAGE)
            if found.matches
            else escape(say.nothing_on_this_day),
            heading(2, fill(say.coming_anniversaries, days=pen.number(DAYS_AHEAD))),
            _listed(past, near),
            heading(2, fill(say.of_the_year, year=escape(str(day.year)))),
            _listed(past, of_year),
            fill(say.almanac_rests, count=pen.number(found.searched)),
        ]
    )


def _listed(past: Past, found: Sequence[Anniversary]) -> Markdown:
    if not found:
        return escape(past.pen.past.no_anniversary)
    return bullets(_anniversary(past, each) for each in found)


def _anniversary(past: Past, each: Anniversary) -> Markdown:
    pen, say, here = past.pen, past.pen.past, ALMANAC_PAGE
    years = pen.number(each.years)
    if each.what == FOUNDED:
        club = pen.club(each.subject, here)
        return fill(say.founded_ago, years=years, club=club, year=escape(each.date))
    team = pen.team(each.subject, here)
    if each.what == CHAMPION:
        competition = past.competition(here, int(each.date), each.competition)
        return fill(say.champion_ago, years=years, team=team, competition=competition)
    date = pen.date(each.date)
    if each.sheet is not None:
        date = link(here, match_page(each.sheet), date)
    if each.what == FIRST_MATCH:
        return fill(say.first_match_ago, years=years, team=team, date=date)
    return fill(
        say.highest_total_ago, years=years, team=team, date=date, points=pen.number(each.points)
    )
