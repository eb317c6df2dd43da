"""What the pages over all seasons are written from."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.index.index import Tables
from riesbuch.language.catalogue import catalogue
from riesbuch.pages.markdown import NOTHING, Markdown, PageColumn, bullets, escape, joined, link
from riesbuch.pages.outcomes import ComingFixture, coming_fixtures, recorded_left_out
from riesbuch.pages.paths import competition_page, match_page, strikers_page, team_page
from riesbuch.pages.wording import MatchRow, Wording
from riesbuch.questions.almanac import Almanac, DayOfYear, almanac, calendar
from riesbuch.questions.before_match import BeforeMatch
from riesbuch.questions.career import Span, spans
from riesbuch.questions.chronicle import (
    Title,
    ToldStriker,
    ToldTeam,
    told_competitions,
    told_strikers,
    told_teams,
    told_titles,
)
from riesbuch.questions.honours import (
    CompetitionOverview,
    Faithful,
    Honours,
    TableRow,
    by_team,
    honours,
    overview,
    table_rows,
)
from riesbuch.questions.match_lines import LeftOutSheet, MatchLine, last_day, sheets_left_out
from riesbuch.questions.ranked import RecordBook, Scope
from riesbuch.questions.records import record_book
from riesbuch.questions.sheets import recorded_sheets
from riesbuch.questions.strikes import Mean, Totals, means, seasons_with_strikes, totals
from riesbuch.questions.tables import RulingLine, ruling_lines
from riesbuch.questions.under_way import Playing, UnderWay, playing
from riesbuch.questions.who import player_marks
from riesbuch.trade.ids import CompetitionId, PlayerId, TeamId
from riesbuch.trade.match import SourceKind

LEAST_STRIKES, LEAST_SHARE, TOP = 40, 50, 10
_WITH_TEAM_PAGES = ("league", "cup")
_Source = tuple[str | None, str | None]


class Told(NamedTuple):
    """What is handed down of a competition: the tables by their source, and the titles."""

    tables: dict[_Source, list[ToldTeam]]
    striker_tables: dict[_Source, list[ToldStriker]]
    titles: list[Title]


@dataclass(frozen=True, kw_only=True)
class Past:
    """The folder's seasons, asked each question once for all pages."""

    archive: Archive
    tables: Tables
    whole: Past | None = None
    """The past of all seasons, where this one is of some: it tells what people are called and
    whether a season is over."""

    @cached_property
    def wording(self) -> Wording:
        league = self.archive.league
        return Wording(
            words=catalogue(league.language, "reports"),
            league=league.name,
            register=self.archive.register,
            publishing=league.publishing,
            newest=max(self.archive.seasons, default=0),
            marks=self.marks,
        )

    @cached_property
    def marks(self) -> Mapping[str, str]:
        """What tells those apart who have one name, and are named in full."""
        return self.whole.marks if self.whole else player_marks(self.tables, self.is_named)

    def is_named(self, player: str) -> bool:
        """Whether pages over all seasons tell the whole name."""
        newest, minors = max(self.archive.seasons, default=0), self.archive.league.publishing.minors
        return self.archive.register.public_names[minors].is_whole(PlayerId(player), newest)

    @cached_property
    def honours(self) -> tuple[Honours, ...]:
        """Those that sheets decide."""
        return honours(self.tables, with_told=False)

    @cached_property
    def overview(self) -> tuple[CompetitionOverview, ...]:
        """The newest season first, within one the competitions as its file lists them; then those
        of which nothing is known but what is handed down."""
        order = {
            (year, competition.id): number
            for year, season in self.archive.seasons.items()
            for number, competition in enumerate(season.competitions)
        }
        found = [
            known
            for known in overview(self.tables)
            if (known.season, CompetitionId(known.competition)) in order
        ]
        found += (
            CompetitionOverview(
                *(told.season, told.competition, told.name, told.kind or "league", 0, None),
                complete=True,
                champion=False,
                first=(),
            )
            for told in told_competitions(self.tables)
            if (told.season, CompetitionId(told.competition)) not in order
        )

        def place(known: CompetitionOverview) -> tuple[int, int]:
            listed = order.get((known.season, CompetitionId(known.competition)), len(order))
            return -known.season, listed

        return tuple(sorted(found, key=place))

    def is_told(self, known: CompetitionOverview) -> bool:
        """Whether season.toml does not have it: all of it is handed down."""
        key = CompetitionId(known.competition)
        return self.archive.competition(known.season, key) is None

    @cached_property
    def told(self) -> Mapping[tuple[int, str], Told]:
        """What is handed down of each competition."""
        found: dict[tuple[int, str], Told] = {}

        def of(row: ToldTeam | ToldStriker | Title) -> Told:
            return found.setdefault((row.season, row.competition), Told({}, {}, []))

        for team in told_teams(self.tables):
            of(team).tables.setdefault((team.source, team.reference), []).append(team)
        for striker in told_strikers(self.tables):
            by_source = of(striker).striker_tables
            by_source.setdefault((striker.source, striker.reference), []).append(striker)
        for title in told_titles(self.tables):
            of(title).titles.append(title)
        return found

    def has_played(self, team: str | None, of: tuple[object, ...]) -> bool:
        """Whether sheets of that season and competition have the team in the table."""
        rows = self.rows_of_teams.get(team or "", ())
        return any((row.season, row.competition) == of and row.played for row in rows)

    @cached_property
    def told_years(self) -> Mapping[str, Sequence[int]]:
        """Of everybody in a striker table handed down the seasons, the newest first."""
        found: dict[str, list[int]] = {}
        for row in told_strikers(self.tables, "player IS NOT NULL"):
            found.setdefault(row.player or "", []).append(row.season)
        return found

    @cached_property
    def titles(self) -> tuple[Title, ...]:
        """Those handed down that no sheets speak of, the newest first."""
        return told_titles(self.tables)

    def holder(self, title: Title, here: str | None = None) -> Markdown:
        """Who got it."""
        if title.team is not None:
            return self.wording.team(title.team, here)
        if title.player is not None:
            return self.wording.player(title.player, title.season, here)
        if title.holder is None:
            return self.wording.unknown
        return self.wording.text(title.holder, title.season)

    def told_source(self, kind: str | None, reference: str | None) -> Markdown:
        return joined(self.wording.source(SourceKind(kind) if kind else None, reference))

    @cached_property
    def competitions(self) -> Mapping[tuple[int, str], CompetitionOverview]:
        return {(known.season, known.competition): known for known in self.overview}

    def is_over(self, year: int) -> bool:
        """Whether a later season has a match that counts."""
        overview = (self.whole or self).overview
        return any(known.played for known in overview if known.season > year)

    @cached_property
    def before_match(self) -> BeforeMatch:
        return BeforeMatch(self.tables)

    def is_under_way(self, year: int) -> bool:
        """Whether it is the newest season and one of its competitions has matches to come."""
        return year == self.wording.newest and any(
            known.season == year and not known.complete for known in self.overview
        )

    @cached_property
    def under_way(self) -> UnderWay:
        """What the pages of players and clubs leave to those of the season."""
        newest = self.wording.newest
        going = (
            known.competition
            for known in self.overview
            if known.season == newest and not known.complete
        )
        return UnderWay(newest, tuple(going))

    @cached_property
    def playing(self) -> Mapping[str, Sequence[Playing]]:
        return playing(self.tables, self.under_way)

    @cached_property
    def totals(self) -> Mapping[str, Totals]:
        """Of everybody in what is over."""
        return totals(self.tables, self.under_way)

    @cached_property
    def means(self) -> Mapping[tuple[int, str], Mean]:
        return means(self.tables)

    def team_page(self, season: int, competition: str | None, team: str | None) -> str | None:
        """The page of a team in a league or a cup of which there are sheets."""
        known = self.competitions.get((season, competition or ""))
        if known is None or team is None or known.kind not in _WITH_TEAM_PAGES or not known.played:
            return None
        if (season, known.competition, team) not in self._listed_teams:
            return None
        return team_page(season, known.competition, team)

    @cached_property
    def _listed_teams(self) -> frozenset[tuple[int, str, str]]:
        return frozenset(
            (row.season, row.competition, row.team)
            for rows in self.rows_of_teams.values()
            for row in rows
        )

    def team(
        self, here: str, season: int, competition: str | None, team: TeamId | str | None
    ) -> Markdown:
        """The team's name, a link to its page in the competition, else to its club."""
        path = self.team_page(season, competition, team)
        if path is None or path == here:
            return self.wording.team(team, here if path is None else None)
        return link(here, path, self.wording.team(team))

    def team_in(self, here: str, season: int, competition: str, team: str) -> Markdown:
        """A link to the page of the team in the competition, else to the competition's."""
        path = self.team_page(season, competition, team)
        if path is None:
            return self.competition(here, season, competition)
        known = self.competitions[season, competition]
        return link(here, path, joined([self.wording.team(team), escape(known.name)]))

    def under_way_note(self, links: Iterable[Markdown]) -> Markdown:
        """Where the season under way is told, and up to when the page goes; nothing where it does
        not concern the page."""
        told = joined(links, " · ")
        if not told:
            return NOTHING
        year = self.under_way.season
        if self.is_newest_untold and self.overview[-1].season == year:
            return self.wording.say(
                "The season {year} is under way: {links}.", year=self.wording.year(year), links=told
            )
        return self.wording.say(
            "The season {year} is under way: {links}. What follows goes to the end of {before}."
            if self.is_newest_untold
            else "The season {year} is under way: {links}. What follows has what of it is over.",
            year=self.wording.year(year),
            before=self.wording.year(year - 1),
            links=told,
        )

    @cached_property
    def is_newest_untold(self) -> bool:
        """Whether nothing that was played of the season under way is over."""
        newest, competitions = self.under_way
        over = (
            known.played
            for known in self.overview
            if known.season == newest and known.competition not in competitions
        )
        return bool(competitions) and not any(over)

    @cached_property
    def rows_of_teams(self) -> Mapping[str, Sequence[TableRow]]:
        """Of each team its rows in team tables, the newest season first."""
        found: dict[str, list[TableRow]] = {}
        for row in table_rows(self.tables):
            found.setdefault(row.team, []).append(row)
        return found

    @cached_property
    def rulings(self) -> Mapping[tuple[int, str], Sequence[RulingLine]]:
        """By season and competition, the newest season first."""
        found: dict[tuple[int, str], list[RulingLine]] = {}
        for ruling in ruling_lines(self.tables):
            found.setdefault((ruling.season, ruling.competition), []).append(ruling)
        return found

    def ruling_notes(
        self,
        of: Collection[tuple[int, str]],
        here: str | None = None,
        concerns: Callable[[RulingLine], object] = lambda ruling: True,
    ) -> Markdown:
        """What rulings changed in the tables ``of`` these competitions, and why; on the page
        ``here`` each with its competition."""

        def told(ruling: RulingLine) -> Markdown:
            note = self._ruling_note(ruling)
            if here is None:
                return note
            competition = self.competition(here, ruling.season, ruling.competition)
            year = self.wording.year(ruling.season)
            of_it = self.wording.say("{competition}, {year}", competition=competition, year=year)
            return joined([of_it, note], ": ")

        return bullets(
            told(ruling)
            for key, rulings in self.rulings.items()
            if key in of
            for ruling in filter(concerns, rulings)
        )

    def _ruling_note(self, ruling: RulingLine) -> Markdown:
        wording = self.wording
        rank_points, nummern, points = map(abs, ruling[5:8])
        figures = (
            (ruling.rank_points,
             wording.counted(rank_points, "{count} rank point", "{count} rank points")),
            (ruling.nummern, wording.counted(nummern, "{count} Nummer", "{count} Nummern")),
            (ruling.points, wording.counted(points, "{count} point", "{count} points")),
        )  # fmt: skip
        return wording.say(
            "{team}: {figures}, ruled by {by} on {date}: {reason}"
            if ruling.ruled_by
            else "{team}: {figures}, ruled on {date}: {reason}",
            team=wording.team(ruling.team),
            figures=wording.listed(
                Markdown(f"{'−' if number < 0 else '+'}{words}")
                for number, words in figures
                if number
            ),
            by=wording.text(ruling.ruled_by or "", ruling.season),
            date=wording.date(ruling.date),
            reason=wording.text(ruling.reason, ruling.season),
        )

    @cached_property
    def left_out(self) -> Mapping[int, Sequence[LeftOutSheet]]:
        """Of each season its sheets with errors. One of which nothing can be read is of the
        fixture that its file is named by."""
        found: dict[int, list[LeftOutSheet]] = {}
        for year, sheets in sheets_left_out(self.tables).items():
            named = {
                f"{fixture.date}-{fixture.home}-{fixture.away}.yaml": fixture
                for fixture in self.archive.fixtures.get(year, ())
            }
            for sheet in sheets:
                fixture = named.get(sheet.path.rpartition("/")[2])
                if fixture is not None and sheet.home is sheet.competition is None:
                    when = fixture.competition, fixture.round, fixture.date.isoformat()
                    teams = fixture.home, fixture.away
                    sheet = LeftOutSheet(sheet.path, *when, *teams, fixture.part)
                found.setdefault(year, []).append(sheet)
        return found

    @cached_property
    def last_day(self) -> datetime.date | None:
        return last_day(self.tables)

    @cached_property
    def coming(self) -> tuple[ComingFixture, ...]:
        """Of the newest season, by day. Sheets that were laid out and not filled in yet enter
        nothing."""
        newest = max(self.archive.seasons, default=0)
        fixtures = self.archive.fixtures.get(newest, ())
        if not fixtures:
            return ()
        recorded = recorded_sheets(self.tables, newest)
        meetings = {(sheet.competition, sheet.meeting[:4]) for sheet in recorded}
        recorded += (
            sheet
            for sheet in recorded_left_out(self.left_out.get(newest, ()))
            if (sheet.competition, sheet.meeting[:4]) not in meetings
        )
        return coming_fixtures(fixtures, recorded)

    @cached_property
    def almanac(self) -> Almanac | None:
        """Of the day of the last match on record, as seen from it."""
        if self.last_day is None:
            return None
        return almanac(self.tables, f"{self.last_day:%m-%d}", self.last_day.year)

    @cached_property
    def calendar(self) -> tuple[DayOfYear, ...]:
        return calendar(self.tables, self.honours)

    @cached_property
    def records(self) -> RecordBook:
        """The best few of each kind."""
        return record_book(
            self.tables, Scope(), LEAST_STRIKES, ages=False, top=TOP, least_share=LEAST_SHARE
        )

    @cached_property
    def strikers_by_team(self) -> Mapping[str, Sequence[Faithful]]:
        return by_team(self.tables, self.under_way)

    @cached_property
    def spans(self) -> Mapping[str, Span]:
        return spans(self.tables)

    @cached_property
    def with_strikes(self) -> Mapping[str, int]:
        """Of everybody of whom a strike is known in a match that counts, of what is over, in how
        many seasons."""
        return seasons_with_strikes(self.tables, self.under_way)

    @cached_property
    def children(self) -> Mapping[PlayerId, list[PlayerId]]:
        """Whose parents say so in their files."""
        children: dict[PlayerId, list[PlayerId]] = {}
        for player in sorted(self.archive.register.players):
            for parent in dict.fromkeys(self.archive.register.players[player].parents):
                children.setdefault(parent, []).append(player)
        return children

    def competition(self, here: str, season: int, competition: str | None) -> Markdown:
        """The competition's name as a link."""
        known = self.competitions.get((season, competition or ""))
        if known is None or competition is None:
            return escape(competition) if competition else self.wording.unknown
        return link(here, competition_page(season, competition), escape(known.name))

    def season_columns(self, here: str) -> tuple[PageColumn[Any], ...]:
        """Of rows that have a season and a competition."""
        wording = self.wording
        return (
            wording.column("Season", lambda row: wording.season(row.season, here)),
            self.competition_column(here),
        )

    def competition_column(self, here: str) -> PageColumn[Any]:
        def name(row: Any) -> Markdown:
            return self.competition(here, row.season, row.competition)

        return self.wording.column("Competition", name)

    def first_place(self, competition: CompetitionOverview, here: str) -> Markdown:
        wording = self.wording
        if not competition.first:
            return self.told_holders(competition, "champion", here) or wording.unknown
        first = wording.listed(wording.team(team, here) for team in competition.first)
        if competition.first and competition.champion and competition.kind == "league":
            return wording.say("{teams} (champion)", teams=first)
        return first

    def told_holders(self, competition: CompetitionOverview, what: str, here: str) -> Markdown:
        """Who is handed down to have got a title; empty where nobody is."""
        told = self.told.get((competition.season, competition.competition))
        holders = [self.holder(title, here) for title in (told.titles if told else ())
                   if title.what == what]  # fmt: skip
        if not holders:
            return NOTHING
        return self.wording.say("{who} (handed down)", who=self.wording.listed(holders))

    def how_many(self, competition: CompetitionOverview) -> Markdown:
        if self.is_told(competition):
            return self.wording.say("handed down")
        played = self.wording.number(competition.played)
        if competition.planned is None:
            return played
        return self.wording.say(
            "{played} of {all}", played=played, all=self.wording.number(competition.planned)
        )

    def columns(self, here: str) -> tuple[PageColumn[CompetitionOverview], ...]:
        """What is said of each competition where several are listed."""
        wording = self.wording

        def strikers(known: CompetitionOverview) -> Markdown:
            path = strikers_page(known.season, known.competition)
            is_told = self.is_told(known)
            return wording.unknown if is_told else link(here, path, wording.say("strikers"))

        return (
            self.competition_column(here),
            wording.column("First place", lambda known: self.first_place(known, here)),
            wording.figure_column("Matches", self.how_many),
            wording.column("Striker table", strikers),
        )

    def left_out_match(self, sheet: LeftOutSheet, here: str) -> Markdown:
        """The match of a sheet with errors, a link to the sheet."""
        match = self.wording.sides(sheet.home, sheet.away)
        if sheet.home is None or sheet.away is None:
            match = escape(sheet.path.rpartition("/")[2])
        return link(here, sheet.path, match)

    def match_table(
        self, matches: Iterable[MatchLine], here: str, *, dated: bool = True
    ) -> Markdown:
        wording = self.wording

        def row(match: MatchLine) -> MatchRow:
            points = match.home_points, match.away_points
            return (
                wording.date(match.date),
                link(here, match_page(match.sheet), wording.sides(match.home, match.away)),
                wording.result(*points, match.winner, match.winning_team),
                wording.pair(match.home_nummern, match.away_nummern),
            )

        return wording.match_table(map(row, matches), dated=dated)
