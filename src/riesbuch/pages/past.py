"""What the pages over all seasons are written from."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from riesbuch.folder.archive import Archive
from riesbuch.index.index import Tables
from riesbuch.pages.markdown import (
    Markdown,
    escape,
    joined,
    link,
    table,
)
from riesbuch.pages.outcomes import ToCome, to_come
from riesbuch.pages.paths import (
    FRONT_PAGE,
    HISTORY_PAGE,
    competition_page,
    match_page,
)
from riesbuch.pages.wording import Wording, wording_of
from riesbuch.questions.almanac import Almanac, almanac
from riesbuch.questions.career import Span, players_with_strikes, spans
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
from riesbuch.questions.match_lines import MatchLine, last_day
from riesbuch.questions.sheets import recorded_sheets
from riesbuch.trade.ids import CompetitionId, PlayerId


@dataclass(frozen=True, kw_only=True)
class Past:
    """The folder's seasons, asked each question once for all pages."""

    archive: Archive
    tables: Tables
    wording: Wording

    @cached_property
    def honours(self) -> tuple[Honours, ...]:
        return honours(self.tables)

    @cached_property
    def overview(self) -> tuple[CompetitionOverview, ...]:
        """The newest season first, within one the competitions as its file lists them."""
        order = {
            (year, each.id): number
            for year, season in self.archive.seasons.items()
            for number, each in enumerate(season.competitions)
        }
        return tuple(
            sorted(
                overview(self.tables),
                key=lambda each: (
                    -each.season,
                    order.get((each.season, CompetitionId(each.competition)), 0),
                ),
            )
        )

    @cached_property
    def competitions(self) -> Mapping[tuple[int, str], CompetitionOverview]:
        return {(each.season, each.competition): each for each in self.overview}

    @cached_property
    def rows_of_teams(self) -> Mapping[str, Sequence[TableRow]]:
        """Of each team its rows in team tables, the newest season first."""
        found: dict[str, list[TableRow]] = {}
        for row in table_rows(self.tables):
            found.setdefault(row.team, []).append(row)
        return found

    @cached_property
    def last_day(self) -> datetime.date | None:
        return last_day(self.tables)

    @cached_property
    def to_come(self) -> tuple[ToCome, ...]:
        """Of the newest season, by day. Sheets that were laid out and not filled in yet enter
        nothing."""
        newest = max(self.archive.seasons, default=0)
        fixtures = self.archive.fixtures.get(newest, ())
        if not fixtures:
            return ()
        return to_come(fixtures, recorded_sheets(self.tables, newest))

    @cached_property
    def almanac(self) -> Almanac | None:
        """Of the day of the last match on record, as seen from it."""
        if self.last_day is None:
            return None
        return almanac(self.tables, f"{self.last_day:%m-%d}", self.last_day.year)

    @cached_property
    def strikers_by_team(self) -> Mapping[str, Sequence[Faithful]]:
        return by_team(self.tables)

    @cached_property
    def spans(self) -> Mapping[str, Span]:
        return spans(self.tables)

    @cached_property
    def with_strikes(self) -> frozenset[str]:
        """Everybody of whom a strike is known in a match that counts."""
        return players_with_strikes(self.tables)

    @cached_property
    def children(self) -> Mapping[PlayerId, list[PlayerId]]:
        """Whose parents say so in their files."""
        children: dict[PlayerId, list[PlayerId]] = {}
        for player in sorted(self.archive.register.players):
            for parent in dict.fromkeys(self.archive.register.players[player].parents):
                children.setdefault(parent, []).append(player)
        return children

    @property
    def league_name(self) -> str:
        return self.archive.league.name

    def competition(self, here: str, season: int, competition: str | None) -> Markdown:
        """The competition's name as a link."""
        known = self.competitions.get((season, competition or ""))
        if known is None or competition is None:
            return escape(competition) if competition else self.wording.unknown
        return link(here, competition_page(season, competition), escape(known.name))

    def ways(self, here: str, *others: Markdown) -> Markdown:
        """The line below a page's title that leads on."""
        front = link(here, FRONT_PAGE, escape(self.league_name))
        parts = [front, *others]
        if here.startswith("reports/history/") and here != HISTORY_PAGE:
            parts.append(link(here, HISTORY_PAGE, self.wording.say("History")))
        return joined(parts, " · ")

    def first_place(self, each: CompetitionOverview, here: str) -> Markdown:
        wording = self.wording
        if not each.first:
            return wording.unknown
        first = wording.listed(wording.team(team, here) for team in each.first)
        if each.champion and each.kind == "league":
            return wording.say("{teams} (champion)", teams=first)
        return first

    def how_many(self, each: CompetitionOverview) -> Markdown:
        played = self.wording.number(each.played)
        if each.planned is None:
            return played
        return self.wording.say(
            "{played} of {all}", played=played, all=self.wording.number(each.planned)
        )

    def match_table(self, matches: Iterable[MatchLine], here: str) -> Markdown:
        """Matches one a line, as on the page of a competition."""
        wording = self.wording
        rows = [
            [
                wording.date(each.date),
                link(here, match_page(each.sheet), self.sides(each)),
                wording.pair(each.home_nummern, each.away_nummern),
                wording.pair(each.home_points, each.away_points),
                self.winner(each),
            ]
            for each in matches
        ]
        columns = [
            wording.column("Date"),
            wording.column("Match"),
            wording.figure_column("Nummern"),
            wording.figure_column("Points"),
            wording.column("Winner"),
        ]
        return table(columns, rows)

    def sides(self, each: MatchLine) -> Markdown:
        return joined([self.wording.team(each.home), self.wording.team(each.away)], " – ")

    def winner(self, each: MatchLine) -> Markdown:
        if each.winner is None:
            return self.wording.say("not known")
        if each.winner == "draw":
            return self.wording.say("draw")
        return self.wording.team(each.winning_team)


def past_of(archive: Archive, tables: Tables) -> Past:
    return Past(archive=archive, tables=tables, wording=wording_of(archive))
