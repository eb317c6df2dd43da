"""The pages of the honours, of the all-time table and of the records."""

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from math import isqrt
from typing import NamedTuple

from riesbuch.pages.handed_down import title_words
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    bullets,
    chapters,
    escape,
    in_chapters,
    joined,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.past import LEAST_SHARE, LEAST_STRIKES, TOP, Past
from riesbuch.pages.wording import Wording
from riesbuch.questions.chronicle import told_competitions
from riesbuch.questions.honours import AllTimeRow, Gap, Honours, all_time_table, gaps
from riesbuch.questions.ranked import RUNS, Holder, Ranked, Record, RecordBook, Value


def honours_text(past: Past, here: str) -> Markdown:
    wording = past.wording

    def teams(listed: Iterable[str]) -> Markdown:
        return wording.listed(wording.team(team, here) for team in listed)

    def by_decision(listed: Iterable[str], note: str | None) -> Markdown:
        if note is None:
            return teams(listed)
        return wording.say(
            "{teams} (by decision: {note})",
            teams=teams(listed) if listed else wording.say("nobody"),
            note=wording.text(note),
        )

    remarks = {
        "played": NOTHING,
        "certain": wording.say("certain, though not played out, or with matches missing"),
        None: wording.say("not played out, or matches missing"),
    }

    def gap_line(gap: Gap) -> Markdown:
        return wording.say(
            "{years}: no season is on record"
            if gap.competition is None
            else "{years}: no season of {competition} is on record",
            years=wording.years(gap.first, gap.last),
            competition=escape(gap.competition or ""),
        )

    def best(row: Honours) -> Markdown:
        players = (wording.player(player, row.season, here) for player in row.best_strikers)
        return wording.listed(players)

    def of_classes(row: Honours) -> Markdown:
        lines = (
            wording.class_line(best.name, best.players, row.season, here)
            for best in row.best_of_classes
        )
        return joined(lines, "; ")

    def remark(row: Honours) -> Markdown:
        return NOTHING if row.complete else remarks[row.decided]

    def promoted(row: Honours) -> Markdown:
        return by_decision(row.promoted, row.promotion_note)

    def relegated(row: Honours) -> Markdown:
        return by_decision(row.relegated, row.relegation_note)

    columns: list[PageColumn[Honours] | None] = [
        *past.season_columns(here),
        wording.column("Champion", lambda row: teams(row.champions)),
        wording.column("Best striker", best),
        wording.column("Promoted", promoted),
        wording.column("Relegated", relegated),
        wording.column("Best of each class", of_classes)
        if any(row.best_of_classes for row in past.honours)
        else None,
        wording.column("Remark", remark),
    ]
    told = table(
        past.titles,
        *past.season_columns(here),
        wording.column("Title", lambda row: title_words(past, row)),
        wording.column("Held by", lambda row: past.holder(row, here)),
        wording.column("Source", lambda row: past.told_source(row.source, row.reference)),
    )
    about_told = wording.say("Titles that no sheets speak of, as they are handed down.")
    missing = map(gap_line, gaps((*past.honours, *told_competitions(past.tables))))
    return stacked(
        in_chapters(
            past.honours,
            lambda row: wording.decade(row.season),
            lambda rows: table(rows, *columns),
        ),
        wording.titled("Handed down", told, about_told) if told else NOTHING,
        wording.titled("Gaps", bullets(missing)),
    )


def all_time_text(past: Past, here: str) -> Markdown:
    wording = past.wording
    columns: tuple[PageColumn[AllTimeRow], ...] = (
        wording.figure_column("Rank", lambda row: row.rank),
        wording.column("Team", lambda row: wording.team(row.team, here)),
        wording.figure_column("Seasons", lambda row: row.seasons),
        *wording.total_columns(),
        wording.figure_column("Titles", lambda row: row.titles),
        wording.column("Years", lambda row: wording.years(row.first, row.last)),
    )
    return stacked(
        in_chapters(
            all_time_table(past.tables, past.honours),
            lambda row: wording.say(
                "From rank {rank}", rank=wording.number(1 + (row.rank - 1) // 25 * 25)
            ),
            lambda rows: table(rows, *columns),
        )
        or wording.say("No team has played yet."),
        past.ruling_notes(
            {(won.season, won.competition) for won in past.honours if won.kind == "league"},
            here,
            lambda ruling: ruling.nummern or ruling.points,
        ),
        wording.say(
            "All league seasons on record added up, most matches won first. Rank points are"
            " not added, since not every season gave as many. Gaps in the record are gaps in"
            " this table."
        ),
        _all_time_told(past, here),
    )


class _ToldTeam(NamedTuple):
    team: str | None
    name: str | None
    seasons: tuple[int, ...]
    titles: int


def _all_time_told(past: Past, here: str) -> Markdown:
    """Who stood in tables of leagues of which no sheet has the team, also of clubs that are no
    more; most titles first."""
    wording = past.wording
    seasons: dict[tuple[str | None, str | None], set[int]] = {}
    titles: Counter[tuple[str | None, str | None]] = Counter()
    leagues = {(of.season, of.competition) for of in past.overview if of.kind == "league"}
    for told in (past.told[key] for key in past.told.keys() & leagues):
        for row in (row for rows in told.tables.values() for row in rows):
            if not past.has_played(row.team, row[:2]):
                seasons.setdefault((row.team, row.team_name), set()).add(row.season)
        for title in told.titles:
            if title.what == "champion" and title.player is None:
                titles[title.team, title.holder] += 1
                seasons.setdefault((title.team, title.holder), set()).add(title.season)
    rows = [_ToldTeam(*key, tuple(sorted(own)), titles[key]) for key, own in seasons.items()]
    rows.sort(key=lambda row: (-row.titles, -len(row.seasons), row.team or row.name or ""))
    return wording.titled(
        "Handed down",
        table(
            rows,
            wording.column(
                "Team",
                lambda row: (
                    wording.team(row.team, here) if row.team else wording.text(row.name or "")
                ),
            ),
            wording.figure_column("Seasons", lambda row: len(row.seasons)),
            wording.figure_column("Titles", lambda row: row.titles),
            wording.column("Years", lambda row: wording.years(row.seasons[0], row.seasons[-1])),
        ),
        wording.say(
            "League seasons known from a table or a title alone; they are not in the table above."
        )
        if rows
        else NOTHING,
    )


# In the order of the page, the teams first.
_KINDS = (
    "team_points", "champion", "winning_run", "unbeaten_run", "clean_run", "losing_run", "closest",
    "widest", "ries", "nummern",
    "match_points", "strike", "season_average", "spread", "matches", "points", "best_striker",
)  # fmt: skip


def records_text(past: Past, here: str) -> Markdown:
    """The best few of each kind, with what it rests on."""
    wording, book = past.wording, past.records
    found = {record.kind: record for record in book.records if record.ranked}
    if not found:
        return wording.say("There are no records yet.")
    return stacked(
        sentences(
            rests_on(wording, book),
            wording.say(
                "Averages and spreads are of players with at least {count} strikes in the season,"
                " and {share} % of the strikes of whoever struck most in that table.",
                count=wording.number(LEAST_STRIKES),
                share=wording.number(LEAST_SHARE),
            ),
        ),
        chapters(
            (_kind(wording, found[kind]), _top(past, found[kind], here))
            for kind in _KINDS
            if kind in found
        ),
    )


def _value(record: Record, row: Ranked) -> Value:
    if record.kind == "spread":
        # The root of the square, in hundredths rounded half up.
        return Fraction((isqrt(int(40_000 * row.value)) + 1) // 2, 100)
    return row.value


def _top(past: Past, record: Record, here: str) -> Markdown:
    wording = past.wording

    def holder(row: Ranked) -> Markdown:
        told = _holder(past, row.holder, here)
        return wording.say("{who}, still going", who=told) if row.goes_on else told

    more = len(record.ranked) - TOP
    return stacked(
        table(
            record.ranked[:TOP],
            wording.figure_column("Rank", lambda row: row.rank),
            wording.figure_column("Figure", lambda row: _value(record, row)),
            wording.column("Held by", holder),
        ),
        sentences(
            wording.counted(
                more,
                "{count} more is level with the last of them.",
                "{count} more are level with the last of them.",
            )
            if more > 0
            else NOTHING,
            _known(wording, record),
        ),
    )


def _known(wording: Wording, record: Record) -> Markdown:
    """Of how much of all there is it is known."""
    if record.kind in ("season_average", "spread"):
        form = wording.say("{known} of {of} players’ seasons have as many strikes.")
    elif record.kind == "champion":
        form = wording.say("The champion is decided in {known} of {of} seasons of a league.")
    elif record.kind == "best_striker":
        form = wording.say("The best striker is decided in {known} of {of} competitions.")
    elif record.kind in (*RUNS, "closest", "widest") and record.kind != "clean_run":
        form = wording.say("It is known of {known} of {of} matches.")
    else:
        form = wording.say("It is known of {known} of {of} sides of a match.")
    known, of = wording.number(record.known), wording.number(record.of)
    return Markdown(form.format(known=known, of=of))


def record_line(past: Past, record: Record, here: str) -> Markdown:
    """What the record is, and who holds it first."""
    wording = past.wording
    figure = _value(record, record.ranked[0])
    value = wording.ratio(figure) if isinstance(figure, Fraction) else wording.number(figure)
    holders = [_holder(past, record.holders[0], here)]
    if len(record.holders) > 1:
        more = wording.number(len(record.holders) - 1)
        holders.append(wording.say("and {count} more", count=more))
    return Markdown(f"{_kind(wording, record)}: {value}, {joined(holders)}")


def records_table(past: Past, book: RecordBook, here: str) -> Markdown:
    """The records that somebody holds, and what they rest on; empty where nobody does."""
    wording = past.wording
    lines = [record_line(past, record, here) for record in book.records if record.ranked]
    if not lines:
        return NOTHING
    return stacked(
        bullets(lines),
        sentences(
            rests_on(wording, book),
            wording.say(
                "The average is that of a season with at least {count} strikes.",
                count=wording.number(LEAST_STRIKES),
            ),
        ),
    )


def rests_on(wording: Wording, book: RecordBook) -> Markdown:
    return wording.counted(
        book.matches,
        "These records rest on {count} match; {known} known strike by strike on both sides.",
        "These records rest on {count} matches; {known} known strike by strike on both sides.",
        known=wording.number(book.strike_by_strike),
    )


def _kind(wording: Wording, record: Record) -> Markdown:
    return {
        "team_points": wording.say("Highest team total"),
        "ries": wording.say("Highest Ries total"),
        "match_points": wording.say("Most points of a player in a match"),
        "season_average": wording.say("Highest average of a season"),
        "clean_run": wording.say("Matches in a row without conceding a Nummer"),
        "winning_run": wording.say("Matches won in a row"),
        "closest": wording.say("Closest match: points apart, level on Nummern"),
        "nummern": wording.say("Most Nummern conceded in a match"),
        "unbeaten_run": wording.say("Matches in a row without a defeat"),
        "losing_run": wording.say("Matches lost in a row"),
        "widest": wording.say("Widest win: points apart, level on Nummern"),
        "champion": wording.say("Most often champion of a league"),
        "strike": wording.say("Highest strike"),
        "matches": wording.say("Most matches"),
        "points": wording.say("Most points in all"),
        "spread": wording.say("Steadiest season: standard deviation of the strikes"),
        "best_striker": wording.say("Most often best striker"),
    }[record.kind]


def _holder(past: Past, holder: Holder, here: str) -> Markdown:
    wording = past.wording
    team = wording.team(holder.team, here)
    who = team
    if holder.player is not None:
        player = wording.text(holder.player)
        if holder.player in past.spans or holder.player in wording.register.players:
            last = holder.until if holder.until and not holder.sheets else holder.season
            player = wording.player(holder.player, int(last), here)
        of_team = wording.say("{player} ({team})", player=player, team=team)
        who = player if holder.team is None else of_team
    if holder.named_by is not None:
        who = joined([who, wording.named_by(holder.named_by)])
    if holder.opponent is not None:
        who = wording.say(
            "{who} against {opponent}", who=who, opponent=wording.team(holder.opponent, here)
        )
    return joined([who, _when(past, holder, here)])


def _when(past: Past, holder: Holder, here: str) -> Markdown:
    wording, sheets = past.wording, holder.sheets
    if not sheets and holder.date and holder.until:
        return wording.years(int(holder.date), int(holder.until))
    if not sheets or holder.date is None:
        return wording.season(holder.season, here)
    first = wording.match(sheets[0], holder.date, here)
    if len(sheets) < 2 or holder.until is None:
        return first
    last = wording.match(sheets[-1], holder.until, here)
    return wording.say("{first} to {last}", first=first, last=last)
