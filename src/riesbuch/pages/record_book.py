"""The record book, of all clubs or of one."""

from fractions import Fraction

from riesbuch.pages.markdown import (
    Column,
    Markdown,
    escape,
    fill,
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
    book = record_book(past.connection, Scope(), LEAST_STRIKES, ages=False)
    say = past.pen.past
    found = records_table(past, book, RECORDS_PAGE)
    return page(
        [
            heading(1, escape(say.records)),
            past.ways(RECORDS_PAGE),
            *(found or [escape(say.no_records)]),
        ]
    )


def records_table(past: Past, book: RecordBook, here: str) -> list[Markdown]:
    """The records that somebody holds, and what they rest on; empty where nobody does."""
    pen, say = past.pen, past.pen.past
    rows = [
        [
            escape(say.record_kinds[each.kind]) if number == 0 else Markdown(""),
            _figure(past, each) if number == 0 else Markdown(""),
            holder,
        ]
        for each in book.records
        for number, holder in enumerate(_holders(past, each, here))
    ]
    if not rows:
        return []
    columns = [
        Column(escape(say.record)),
        Column(escape(say.figure), figures=True),
        Column(escape(say.holder)),
    ]
    rests = [
        pen.counted(
            book.matches,
            say.rests_one,
            say.rests_many,
            known=pen.number(book.strike_by_strike),
        ),
        fill(say.least_strikes, count=pen.number(LEAST_STRIKES)),
    ]
    return [markdown_table(columns, rows), joined(rests, " ")]


def _figure(past: Past, each: Record) -> Markdown:
    if isinstance(each.value, Fraction):
        return past.pen.ratio(each.value)
    return past.pen.number(each.value)


def _holders(past: Past, each: Record, here: str) -> list[Markdown]:
    shown = [_holder(past, holder, here) for holder in each.holders[:_MOST_HOLDERS]]
    more = len(each.holders) - len(shown)
    if more > 0:
        shown.append(fill(past.pen.past.and_more, count=past.pen.number(more)))
    return shown


def _holder(past: Past, holder: Holder, here: str) -> Markdown:
    pen, say = past.pen, past.pen.past
    team = pen.team(holder.team, here)
    who = team
    if holder.player is not None:
        player = pen.player(holder.player, holder.season, here)
        who = fill(say.player_of, player=player, team=team)
    if holder.opponent is not None:
        who = fill(say.against, who=who, opponent=pen.team(holder.opponent, here))
    return joined([who, _when(past, holder, here)])


def _when(past: Past, holder: Holder, here: str) -> Markdown:
    pen, sheets = past.pen, holder.sheets
    if not sheets or holder.date is None:
        return link(here, season_page(holder.season), escape(str(holder.season)))
    first = link(here, match_page(sheets[0]), pen.date(holder.date))
    if len(sheets) < 2 or holder.until is None:
        return first
    last = link(here, match_page(sheets[-1]), pen.date(holder.until))
    return fill(pen.past.from_until, first=first, last=last)
