"""The pages of the honours and of the all-time table."""

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from riesbuch.pages.handed_down import title_words
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    escape,
    in_chapters,
    joined,
    stacked,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.questions.chronicle import told_competitions
from riesbuch.questions.honours import all_time_table, gaps


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
        "certain": wording.say("certain, though not played out or matches missing"),
        None: wording.say("not played out, or matches missing"),
    }
    missing = (
        wording.say(
            "{years}: no season is on record"
            if gap.competition is None
            else "{years}: no season of {competition} is on record",
            years=wording.years(gap.first, gap.last),
            competition=escape(gap.competition or ""),
        )
        for gap in gaps((*past.honours, *told_competitions(past.tables)))
    )
    return stacked(
        in_chapters(
            past.honours,
            lambda row: wording.decade(row.season),
            lambda rows: table(
                rows,
                *past.season_columns(here),
                wording.column("Champion", lambda row: teams(row.champions)),
                wording.column(
                    "Best striker",
                    lambda row: wording.listed(
                        wording.player(player, row.season, here) for player in row.best_strikers
                    ),
                ),
                wording.column(
                    "Promoted", lambda row: by_decision(row.promoted, row.promotion_note)
                ),
                wording.column(
                    "Relegated", lambda row: by_decision(row.relegated, row.relegation_note)
                ),
                wording.column(
                    "Best of each class",
                    lambda row: joined(
                        (
                            wording.class_line(best.name, best.players, row.season, here)
                            for best in row.best_of_classes
                        ),
                        "; ",
                    ),
                )
                if any(row.best_of_classes for row in past.honours)
                else None,
                wording.column(
                    "Remark", lambda row: NOTHING if row.complete else remarks[row.decided]
                ),
            ),
        ),
        wording.titled(
            "Handed down",
            table(
                past.titles,
                *past.season_columns(here),
                wording.column("Title", lambda row: title_words(past, row)),
                wording.column("Held by", lambda row: past.holder(row, here)),
                wording.column("Source", lambda row: past.told_source(row.source, row.reference)),
            ),
            wording.say("Titles that no sheets speak of, as they are handed down."),
        )
        if past.titles
        else NOTHING,
        wording.titled("Gaps", bullets(missing)),
    )


def all_time_text(past: Past, here: str) -> Markdown:
    wording = past.wording
    return stacked(
        in_chapters(
            all_time_table(past.tables, past.honours),
            lambda row: wording.say(
                "From rank {rank}", rank=wording.number(1 + (row.rank - 1) // 25 * 25)
            ),
            lambda rows: table(
                rows,
                wording.figure_column("Rank", lambda row: row.rank),
                wording.column("Team", lambda row: wording.team(row.team, here)),
                wording.figure_column("Seasons", lambda row: row.seasons),
                *wording.total_columns(),
                wording.figure_column("Titles", lambda row: row.titles),
                wording.column("Years", lambda row: wording.years(row.first, row.last)),
            ),
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
