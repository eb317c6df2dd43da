"""The record book, of all clubs or of one."""

from fractions import Fraction

from riesbuch.pages.markdown import (
    Markdown,
    escape,
    heading,
    joined,
    link,
    page,
)
from riesbuch.pages.markdown import table as markdown_table
from riesbuch.pages.past import Past
from riesbuch.pages.paths import RECORDS_PAGE, match_page, season_page
from riesbuch.questions.records import RecordBook, record_book
from riesbuch.questions.scope import Holder, Record, Scope

LEAST_STRIKES = 40
_MOST_HOLDERS = 3


def records_text(past: Past) -> str:
    book = record_book(past.tables, Scope(), LEAST_STRIKES, ages=False)
    wording = past.wording
    found = records_table(past, book, RECORDS_PAGE)
    return page(
        [
            heading(1, wording.say("Record book")),
            past.ways(RECORDS_PAGE),
            *(found or [wording.say("There are no records yet.")]),
        ]
    )


def records_table(past: Past, book: RecordBook, here: str) -> list[Markdown]:
    """The records that somebody holds, and what they rest on; empty where nobody does."""
    wording = past.wording
    rows = [
        [
            _kind(past, each.kind) if number == 0 else Markdown(""),
            _figure(past, each) if number == 0 else Markdown(""),
            holder,
        ]
        for each in book.records
        for number, holder in enumerate(_holders(past, each, here))
    ]
    if not rows:
        return []
    columns = [
        wording.column("Record"),
        wording.figure_column("Figure"),
        wording.column("Held by"),
    ]
    rests = [
        wording.counted(
            book.matches,
            "These records rest on {count} match; {known} known strike by strike on both sides.",
            "These records rest on {count} matches; {known} known strike by strike on both sides.",
            known=wording.number(book.strike_by_strike),
        ),
        wording.say(
            "The average is that of a season with at least {count} strikes.",
            count=wording.number(LEAST_STRIKES),
        ),
    ]
    return [markdown_table(columns, rows), joined(rests, " ")]


def _kind(past: Past, kind: str) -> Markdown:
    wording = past.wording
    return {
        "team_points": wording.say("Highest team total"),
        "ries": wording.say("Highest Ries total"),
        "match_points": wording.say("Most points of a player in a match"),
        "season_average": wording.say("Highest average of a season"),
        "clean_run": wording.say("Matches in a row without conceding a Nummer"),
        "winning_run": wording.say("Matches won in a row"),
        "closest": wording.say("Closest match: points apart, level on Nummern"),
        "nummern": wording.say("Most Nummern conceded in a match"),
    }[kind]


def _figure(past: Past, each: Record) -> Markdown:
    if isinstance(each.value, Fraction):
        return past.wording.ratio(each.value)
    return past.wording.number(each.value)


def _holders(past: Past, each: Record, here: str) -> list[Markdown]:
    shown = [_holder(past, holder, here) for holder in each.holders[:_MOST_HOLDERS]]
    more = len(each.holders) - len(shown)
    if more > 0:
        shown.append(past.wording.say("and {count} more", count=past.wording.number(more)))
    return shown


def _holder(past: Past, holder: Holder, here: str) -> Markdown:
    wording = past.wording
    team = wording.team(holder.team, here)
    who = team
    if holder.player is not None:
        player = wording.player(holder.player, holder.season, here)
        who = wording.say("{player} ({team})", player=player, team=team)
    if holder.opponent is not None:
        who = wording.say(
            "{who} against {opponent}", who=who, opponent=wording.team(holder.opponent, here)
        )
    return joined([who, _when(past, holder, here)])


def _when(past: Past, holder: Holder, here: str) -> Markdown:
    wording, sheets = past.wording, holder.sheets
    if not sheets or holder.date is None:
        return link(here, season_page(holder.season), escape(str(holder.season)))
    first = link(here, match_page(sheets[0]), wording.date(holder.date))
    if len(sheets) < 2 or holder.until is None:
        return first
    last = link(here, match_page(sheets[-1]), wording.date(holder.until))
    return wording.say("{first} to {last}", first=first, last=last)
