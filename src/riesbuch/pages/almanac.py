"""The almanac: what happened in earlier years on the day of the last match, and what comes."""

from collections.abc import Sequence

from riesbuch.pages.markdown import (
    Markdown,
    bullets,
    escape,
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
    pen = past.pen
    blocks = [heading(1, pen.say("Almanac")), past.ways(ALMANAC_PAGE)]
    day, found = past.last_day, past.almanac
    if day is None or found is None:
        return page([*blocks, pen.say("No match has been recorded yet.")])
    near = [each for each in found.anniversaries if each.day is not None]
    of_year = [each for each in found.anniversaries if each.day is None]
    return page(
        [
            *blocks,
            pen.say("Seen from the last match on record, {date}.", date=pen.date(day)),
            heading(2, pen.say("On this day: {day}", day=pen.day(day))),
            past.match_table(found.matches, ALMANAC_PAGE)
            if found.matches
            else pen.say("No match of an earlier year is on record for this day."),
            heading(
                2,
                pen.say(
                    "Round anniversaries of the {days} days after it", days=pen.number(DAYS_AHEAD)
                ),
            ),
            _listed(past, near),
            heading(2, pen.say("Round anniversaries of {year}", year=escape(str(day.year)))),
            _listed(past, of_year),
            pen.say(
                "First matches were looked for in {count} matches that count and have a date.",
                count=pen.number(found.searched),
            ),
        ]
    )


def _listed(past: Past, found: Sequence[Anniversary]) -> Markdown:
    if not found:
        return past.pen.say("None on record.")
    return bullets(_anniversary(past, each) for each in found)


def _anniversary(past: Past, each: Anniversary) -> Markdown:
    pen, here = past.pen, ALMANAC_PAGE
    years = pen.number(each.years)
    if each.what == FOUNDED:
        club = pen.club(each.subject, here)
        return pen.say(
            "{years} years: {club}, founded in {year}",
            years=years,
            club=club,
            year=escape(each.date),
        )
    team = pen.team(each.subject, here)
    if each.what == CHAMPION:
        competition = past.competition(here, int(each.date), each.competition)
        return pen.say(
            "{years} years: {team} won {competition}",
            years=years,
            team=team,
            competition=competition,
        )
    date = pen.date(each.date)
    if each.sheet is not None:
        date = link(here, match_page(each.sheet), date)
    if each.what == FIRST_MATCH:
        return pen.say(
            "{years} years: first match on record of {team}, {date}",
            years=years,
            team=team,
            date=date,
        )
    return pen.say(
        "{years} years: highest team total on record, {team} with {points} points, {date}",
        years=years,
        team=team,
        date=date,
        points=pen.number(each.points),
    )
