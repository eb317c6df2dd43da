"""The page of grounds and weather."""

from collections.abc import Sequence
from fractions import Fraction
from functools import partial
from math import floor

from riesbuch.language.weather import CALM, OTHER, SOME_WIND, WEATHER, WIND
from riesbuch.pages.markdown import NOTHING, Markdown, PageColumn, sentences, stacked, table
from riesbuch.pages.past import Past
from riesbuch.pages.wording import Wording
from riesbuch.questions.grounds import AWAY, HOME, LEAST_MATCHES, Conditions, Told, grounds
from riesbuch.trade.messages import translated

_WEATHER, _WIND = (*WEATHER, OTHER), (*WIND, SOME_WIND, CALM)


def grounds_text(past: Past, here: str) -> Markdown:
    """Nothing of it says why: a ground is also a club's, and rain has its own days."""
    wording, found = past.wording, grounds(past.tables)
    side = {HOME: wording.say("Home"), AWAY: wording.say("Away")}

    def kind(row: Conditions) -> Markdown:
        return Markdown(translated(row.name, wording.words))

    def in_order(told: Told, kinds: Sequence[str]) -> Told:
        ordered = sorted(told.conditions, key=lambda row: kinds.index(row.name))
        return told._replace(conditions=tuple(ordered))

    both = found.home_and_away.conditions
    if not both:
        return wording.say("There are too few matches yet.")
    told = partial(_told, wording, found.matches)
    return stacked(
        sentences(
            wording.say(
                "What was, not why: a ground is also its club’s, and on wet days others may have"
                " struck than on dry ones."
            ),
            wording.counted(
                found.matches,
                "All of it is of {count} match of leagues and cups that was played to its end and"
                " counts.",
                "All of it is of {count} matches of leagues and cups that were played to their end"
                " and count.",
            ),
            wording.say(
                "The team total is the mean of a side; beside it stands how far it was above or"
                " below the mean of its competition in that season, since teams were not always of"
                " one size. Nummern are those that a side conceded. Nothing is told of fewer than"
                " {count} matches, nor of as few figures; known are {totals} of {sides} totals.",
                count=Markdown(wording.words.in_words(LEAST_MATCHES)),
                totals=wording.number(sum(row.known_totals for row in both)),
                sides=wording.number(2 * found.matches),
            ),
        ),
        wording.titled(
            "Home and away",
            told(found.home_and_away, wording.column("Side", lambda row: side[row.name])),
        ),
        wording.titled(
            "By ground",
            told(found.by_ground, wording.column("Ground", lambda row: wording.text(row.name))),
        ),
        wording.titled(
            "By weather",
            told(in_order(found.by_weather, _WEATHER), wording.column("Weather", kind)),
            wording.say(
                "A sheet that names several, such as sun and clouds, stands with each; one that"
                " names none of them is told otherwise."
            )
            if found.by_weather.conditions
            else NOTHING,
        ),
        wording.titled(
            "By wind", told(in_order(found.by_wind, _WIND), wording.column("Wind", kind))
        ),
    )


def _told(wording: Wording, matches: int, told: Told, named: PageColumn[Conditions]) -> Markdown:
    """Nothing where there are too few matches of each."""

    def above(row: Conditions) -> Markdown:
        points = _whole(row.above_season)
        if not points:
            return wording.number(points)
        return Markdown(f"{'+' if points > 0 else '−'}{wording.number(abs(points))}")

    rest = wording.say(
        "It stands on {sheets} of {count} sheets.",
        sheets=wording.number(told.sheets),
        count=wording.number(matches),
    )
    others = wording.say("{count} others had fewer matches.", count=wording.number(told.others))
    return (
        stacked(
            table(
                told.conditions,
                named,
                wording.figure_column("Matches", lambda row: row.matches),
                wording.figure_column("Team total", lambda row: _whole(row.mean)),
                wording.figure_column("± season", above),
                wording.figure_column("Nummern", lambda row: row.nummern),
            ),
            sentences(
                rest if told.sheets < matches else NOTHING, others if told.others else NOTHING
            ),
        )
        if told.conditions
        else NOTHING
    )


def _whole(figure: Fraction | None) -> int | None:
    return None if figure is None else floor(figure + Fraction(1, 2))
