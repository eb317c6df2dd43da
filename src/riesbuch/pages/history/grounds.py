"""The page of grounds and weather."""

from fractions import Fraction
from math import floor

from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    section,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.pages.wording import Wording
from riesbuch.questions.conditions import LEAST_MATCHES, ByCondition, Conditions, grounds
from riesbuch.trade.messages import translated


def grounds_text(past: Past, here: str) -> Markdown:
    """Nothing of it says why: a ground is also a club's, and rain has its own days."""
    wording, found = past.wording, grounds(past.tables)
    both = found.home_and_away.conditions
    if not both:
        return wording.say("There are too few matches yet.")

    def told(title: Markdown, of: ByCondition, named: PageColumn[Conditions]) -> Markdown:
        if not of.conditions:
            return NOTHING
        number, notes = wording.number, list[Markdown]()
        if of.sheets < found.matches:
            notes.append(
                wording.say(
                    "It stands on {sheets} of {count} sheets.",
                    sheets=number(of.sheets),
                    count=number(found.matches),
                )
            )
        if of.others:
            notes.append(
                wording.counted(
                    of.others,
                    "{count} other had fewer matches.",
                    "{count} others had fewer matches.",
                )
            )
        shown = table(
            of.conditions,
            named,
            wording.figure_column("Matches", lambda row: row.matches),
            wording.figure_column("Total", lambda row: _whole(row.mean)),
            wording.figures(Markdown("±"), lambda row: _above(wording, row)),
            wording.figure_column("Nummern", lambda row: row.nummern),
        )
        return section(2, title, shown, sentences(*notes))

    side = {"home": wording.say("Home"), "away": wording.say("Away")}

    def kind(row: Conditions) -> Markdown:
        return Markdown(translated(row.name, wording.words))

    return stacked(
        sentences(
            wording.say(
                "What was, not why: a ground’s figures are also its club’s, and on wet days others"
                " may have struck than on dry ones."
            ),
            wording.counted(
                found.matches,
                "All of it is of {count} match of leagues and cups that was played to its end and"
                " counts.",
                "All of it is of {count} matches of leagues and cups that were played to their end"
                " and count.",
            ),
            wording.say(
                "The total is the mean of a side; beside it (±) stands how far it was above or"
                " below the mean of its competition in that season, since teams were not always of"
                " one size. Nummern are those that a side conceded. Nothing is told of fewer than"
                " {count} matches, nor of as few figures; known are {totals} of {sides} totals. A"
                " sheet that names several kinds of weather, such as sun and clouds, stands with"
                " each; one that names none plainly stands under “told otherwise”.",
                count=Markdown(wording.words.in_words(LEAST_MATCHES)),
                totals=wording.number(sum(row.known_totals for row in both)),
                sides=wording.number(2 * found.matches),
            ),
        ),
        told(
            wording.say("Home and away"),
            found.home_and_away,
            wording.column("Side", lambda row: side[row.name]),
        ),
        told(
            wording.say("By ground"),
            found.by_ground,
            wording.column("Ground", lambda row: wording.text(row.name)),
        ),
        told(wording.say("By weather"), found.by_weather, wording.column("Weather", kind)),
        told(wording.say("By wind"), found.by_wind, wording.column("Wind", kind)),
    )


def _above(wording: Wording, row: Conditions) -> Markdown:
    points = _whole(row.above_season)
    if not points:
        return wording.number(points)
    return Markdown(f"{'+' if points > 0 else '−'}{wording.number(abs(points))}")


def _whole(figure: Fraction | None) -> int | None:
    return None if figure is None else floor(figure + Fraction(1, 2))
