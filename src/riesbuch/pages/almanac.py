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
    wording = past.wording
    blocks = [heading(1, wording.say("Almanac")), past.ways(ALMANAC_PAGE)]
    day, found = past.last_day, past.almanac
    if day is None or found is None:
        return page([*blocks, wording.say("No match has been recorded yet.")])
    near = [each for each in found.anniversaries if each.day is not None]
    of_year = [each for each in found.anniversaries if each.day is None]
    return page(
        [
            *blocks,
            wording.say("Seen from the last match on record, {date}.", date=wording.date(day)),
            heading(2, wording.say("On this day: {day}", day=wording.day(day))),
            past.match_table(found.matches, ALMANAC_PAGE)
            if found.matches
            else wording.say("No match of an earlier year is on record for this day."),
            heading(
                2,
                wording.say(
                    "Round anniversaries of the {days} days after it",
                    days=wording.number(DAYS_AHEAD),
                ),
            ),
            _listed(past, near),
            heading(2, wording.say("Round anniversaries of {year}", year=escape(str(day.year)))),
            _listed(past, of_year),
            wording.say(
                "First matches were looked for in {count} matches that count and have a date.",
                count=wording.number(found.searched),
            ),
        ]
    )


def _listed(past: Past, found: Sequence[Anniversary]) -> Markdown:
    if not found:
        return past.wording.say("None on record.")
    return bullets(_anniversary(past, each) for each in found)


def _anniversary(past: Past, each: Anniversary) -> Markdown:
    wording, here = past.wording, ALMANAC_PAGE
    years = wording.number(each.years)
    if each.what == FOUNDED:
        club = wording.club(each.subject, here)
        return wording.say(
            "{years} years: {club}, founded in {year}",
            years=years,
            club=club,
            year=escape(each.date),
        )
    team = wording.team(each.subject, here)
    if each.what == CHAMPION:
        competition = past.competition(here, int(each.date), each.competition)
        return wording.say(
            "{years} years: {team} won {competition}",
            years=years,
            team=team,
            competition=competition,
        )
    date = wording.date(each.date)
    if each.sheet is not None:
        date = link(here, match_page(each.sheet), date)
    if each.what == FIRST_MATCH:
        return wording.say(
            "{years} years: first match on record of {team}, {date}",
            years=years,
            team=team,
            date=date,
        )
    return wording.say(
        "{years} years: highest team total on record, {team} with {points} points, {date}",
        years=years,
        team=team,
        date=date,
        points=wording.number(each.points),
    )
