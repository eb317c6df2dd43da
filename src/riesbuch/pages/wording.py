"""What a page is written with: a language, and the register's names."""

import datetime
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from riesbuch.language.catalogue import Catalogue
from riesbuch.language.naming import NAMED
from riesbuch.pages.markdown import (
    Markdown,
    PageColumn,
    Row,
    escape,
    heading,
    joined,
    link,
    page,
    plain,
    section,
    strong,
    table,
)
from riesbuch.pages.paths import (
    FRONT_PAGE,
    club_page,
    competition_page,
    match_page,
    player_page,
    season_page,
)
from riesbuch.questions.honours import AllTimeRow, CompetitionOverview, TableRow
from riesbuch.text.league import Publishing
from riesbuch.trade.ids import ClubId, PlayerId, TeamId
from riesbuch.trade.match import SourceKind
from riesbuch.trade.messages import translated
from riesbuch.trade.names import PublicNames
from riesbuch.trade.people import Register
from riesbuch.trade.season import Competition
from riesbuch.trade.standings import Standing, at_least

Figure = Markdown | int | Fraction | None
Totals = Standing | TableRow | AllTimeRow
MatchRow = tuple[Markdown, Markdown, Markdown, Markdown]
"""Date, sides, points or why there are none, Nummern."""


@dataclass(frozen=True, kw_only=True)
class Wording:
    """Writes words, names and figures as Markdown; what is unknown is a dash.

    ``newest`` is the last season on record, by which it is told who is a child now;
    ``marks`` tell those of one name apart who are named in full."""

    words: Catalogue
    league: str
    register: Register
    publishing: Publishing
    newest: int
    marks: Mapping[str, str]

    @property
    def unknown(self) -> Markdown:
        return Markdown("–")

    def say(self, message: str, **parts: Markdown) -> Markdown:
        """The sentence with its gaps filled; without ``parts`` they stay open. What our own
        sentences say is Markdown as it stands."""
        return Markdown(self.words.say(message, **parts))

    def counted(self, number: int, one: str, many: str, **parts: Markdown) -> Markdown:
        """The sentence for ``number`` things, which stands in its gap ``count``."""
        return Markdown(self.words.counted(number, one, many, **parts))

    def column(self, title: str, cell: Callable[[Row], Markdown]) -> PageColumn[Row]:
        return PageColumn(self.say(title), cell)

    def figure_column(self, title: str, cell: Callable[[Row], Figure]) -> PageColumn[Row]:
        return self.figures(self.say(title), cell)

    def figures(self, title: Markdown, cell: Callable[[Row], Figure]) -> PageColumn[Row]:
        def written(row: Row) -> Markdown:
            figure = cell(row)
            if isinstance(figure, str):
                return Markdown(figure)
            return self.ratio(figure) if isinstance(figure, Fraction) else self.number(figure)

        return PageColumn(title, written, is_figure=True)

    def total_columns(self, *, by_figures: bool = False) -> tuple[PageColumn[Totals], ...]:
        """Of a team's matches added up; who won them is left out where it goes ``by_figures``."""
        won: tuple[PageColumn[Totals], ...] = (
            self.figure_column("Won", lambda row: row.won),
            self.figure_column("Drawn", lambda row: row.drawn),
            self.figure_column("Lost", lambda row: row.lost),
        )
        return (
            self.figure_column("Played", lambda row: row.played),
            *(() if by_figures else won),
            self.figure_column(
                "Nummern", lambda row: self.at_least(row.nummern, row.nummern_unknown)
            ),
            self.figure_column("Points", lambda row: self.at_least(row.points, row.points_unknown)),
        )

    def left_out(self, sheets: int) -> Markdown:
        """That so many ``sheets`` have errors; nothing of none."""
        if not sheets:
            return Markdown("")
        return self.counted(
            sheets,
            "{count} sheet has an error and is left out of everything here; `riesbuch check` names"
            " it.",
            "{count} sheets have errors and are left out of everything here; `riesbuch check` names"
            " them.",
        )

    def qualified(self, figure: Markdown, known: CompetitionOverview | None) -> Markdown:
        """A place, a best or a first of the competition, marked where its matches are not all on
        record: the season is under way, or an older one patchy."""
        if known is None or known.complete:
            return figure
        return self.say(
            "{figure} (so far)" if known.season == self.newest else "{figure} (on record)",
            figure=figure,
        )

    def extent(self, known: CompetitionOverview | None) -> Markdown:
        """On how many of its matches rests what is told of a competition of which not all are on
        record: ``18 of 30 matches``; nothing of any other."""
        if known is None or known.complete:
            return Markdown("")
        if known.planned is None:
            return self.counted(known.played, "{count} match", "{count} matches")
        return self.counted(
            known.planned,
            "{played} of {count} match",
            "{played} of {count} matches",
            played=self.number(known.played),
        )

    def match_table(self, rows: Iterable[MatchRow], *, dated: bool = True) -> Markdown:
        """Matches one a line."""
        return table(
            rows,
            self.column("Date", lambda row: row[0]) if dated else None,
            self.column("Match", lambda row: row[1]),
            self.figure_column("Points", lambda row: row[2]),
            self.figure_column("Nummern", lambda row: row[3]),
        )

    def result(
        self, home: int | None, away: int | None, winner: str | None, team: TeamId | str | None
    ) -> Markdown:
        """``**971** : 886``: both sides' points, those of the ``winner`` in bold; in words what
        they do not tell of who won."""
        won = self.winner(winner, team)
        if home is None and away is None:
            return won or self.say("not known")
        points = [self.number(home), self.number(away)]
        if winner == "home" and home is not None:
            points[0] = strong(points[0])
        elif winner == "away" and away is not None:
            points[1] = strong(points[1])
        elif winner != "draw" or home != away:
            points[1] = joined([points[1], won or self.say("winner not known")])
        # Not to be broken in a narrow column.
        return joined(points, "\u00a0:\u00a0")

    def sources(self, sheets: Iterable[tuple[SourceKind | str | None, int]]) -> Markdown:
        """How many sheets come from each kind of source; nothing where there are none."""
        return self.titled(
            "Where the sheets come from",
            table(
                sheets,
                self.column("Source", lambda row: self.source_kind(row[0])),
                self.figure_column("Sheets", lambda row: row[1]),
            ),
        )

    def page(
        self, here: str, title: Markdown, *blocks: Markdown, ways: Iterable[Markdown] = ()
    ) -> str:
        """The page of that title, which leads on to the front page and by the other ``ways``."""
        leading = [link(here, FRONT_PAGE, escape(self.league)), *ways]
        return page([heading(1, title), joined(leading, " · "), *blocks])

    def titled(self, title: str, *blocks: Markdown, level: int = 2) -> Markdown:
        """The blocks below their heading; nothing where none holds anything."""
        return section(level, self.say(title), *blocks)

    def season_title(self, year: int, here: str | None = None) -> Markdown:
        """On the page ``here`` a link to that of the season."""
        title = self.say("Season {year}", year=self.year(year))
        return title if here is None else link(here, season_page(year), title)

    def competition_title(
        self, year: int, competition: Competition, here: str | None = None
    ) -> Markdown:
        """On the page ``here`` a link to that of the competition."""
        title = self.say(
            "{competition}, {year}", competition=escape(competition.name), year=self.year(year)
        )
        return title if here is None else link(here, competition_page(year, competition.id), title)

    def season(self, year: int, here: str) -> Markdown:
        """The year, a link to the page of its season."""
        return link(here, season_page(year), self.year(year))

    def match(self, sheet: str, date: datetime.date | str | None, here: str) -> Markdown:
        """The date of a match, a link to its page."""
        return link(here, match_page(sheet), self.date(date))

    def sides(self, home: TeamId | str | None, away: TeamId | str | None) -> Markdown:
        return joined([self.team(home), self.team(away)], " – ")

    def team(self, team: TeamId | str | None, here: str | None = None) -> Markdown:
        """The team's name; on the page ``here`` a link to its club."""
        if team is None:
            return self.unknown
        name = escape(self.register.team_name(TeamId(team)))
        club = ClubId(team.rpartition("-")[0])
        if here is None or club not in self.register.clubs or here == club_page(club):
            return name
        return link(here, club_page(club), name)

    def winner(self, winner: str | None, team: TeamId | str | None) -> Markdown | None:
        """The ``team`` that won, or that it was a draw; None where that is not known."""
        if winner is None:
            return None
        return self.say("draw") if winner == "draw" else self.team(team)

    @cached_property
    def people(self) -> PublicNames:
        return self.register.public_names[self.publishing.minors]

    def player(self, player: PlayerId | str, season: int, here: str | None = None) -> Markdown:
        """The player as one of ``season`` may be named; on the page ``here`` a link to the
        player's own page. All pages get their people's names here."""
        player = PlayerId(player)
        is_whole = self.people.is_whole(player, season)
        told = self.full_name(player) if is_whole else self.people.name(player, season)
        name = self.say("a player") if told is None else escape(told)
        if here is None or here == player_page(player) or not self.publishing.players:
            return name
        return link(here, player_page(player), name) if is_whole else name

    def full_name(self, player: str) -> str:
        """Of one who may be named in full, told apart from others of that name."""
        known, mark = self.register.players.get(PlayerId(player)), self.marks.get(player)
        name = known.name if known else player
        return f"{name} ({mark})" if mark else name

    def class_line(
        self, name: str, players: Iterable[PlayerId | str], season: int, here: str
    ) -> Markdown:
        """``Women: Nadja Aebi and Lena Zaugg``."""
        best = self.listed(self.player(player, season, here) for player in players)
        return self.say("{name}: {players}", name=escape(name), players=best)

    def has_page(self, player: PlayerId | str) -> bool:
        """Whether a player, who is on record, has a page. It would name a child in its path."""
        return self.publishing.players and self.people.is_whole(PlayerId(player), self.newest)

    def text(self, written: str, season: int | None = None) -> Markdown:
        """What somebody wrote in their own words, about ``season`` where it is about one, without
        the names that neither its pages nor those of now tell."""
        seasons = (self.newest,) if season is None else (season, self.newest)
        return escape(self.people.masked(plain(written), seasons, self.say("a player")))

    def club(self, club: str, here: str | None = None) -> Markdown:
        known = self.register.clubs.get(ClubId(club))
        if known is None:
            return escape(club)
        name = escape(known.name)
        return (
            name if here is None or here == club_page(club) else link(here, club_page(club), name)
        )

    def number(self, number: int | None) -> Markdown:
        return self.unknown if number is None else Markdown(self.words.number(number))

    def at_least(self, known: int, unknown: int) -> Markdown:
        """A sum of what is known, marked where ``unknown`` more are missing in it."""
        return Markdown(at_least(self.words.number(known), unknown))

    def ratio(self, ratio: Fraction | None) -> Markdown:
        return self.unknown if ratio is None else Markdown(self.words.figure(ratio))

    def average(self, points: int, strikes: int) -> Markdown:
        return self.ratio(Fraction(points, strikes) if strikes else None)

    def date(self, date: datetime.date | str | None) -> Markdown:
        if isinstance(date, str):
            date = datetime.date.fromisoformat(date)
        return self.unknown if date is None else Markdown(self.words.date(date))

    def day(self, date: datetime.date) -> Markdown:
        """The day of the year."""
        return Markdown(self.words.day(date))

    def year(self, year: int) -> Markdown:
        return Markdown(str(year))

    def decade(self, year: int) -> Markdown:
        return self.say("{year}s", year=self.year(year - year % 10))

    def years(self, first: int, last: int) -> Markdown:
        return self.year(first) if first == last else Markdown(f"{first}–{last}")

    def listed(self, parts: Iterable[Markdown]) -> Markdown:
        """``A, B and C``; a dash where there are none."""
        together = list(parts)
        return Markdown(self.words.listed(together)) if together else self.unknown

    def source_kind(self, kind: SourceKind | str | None) -> Markdown:
        return {
            SourceKind.PAPER_SHEET: self.say("paper sheet"),
            SourceKind.NEWSPAPER: self.say("newspaper"),
            SourceKind.MINUTE_BOOK: self.say("minute book"),
            SourceKind.LETTER: self.say("letter"),
            SourceKind.MEMORY: self.say("told from memory"),
            SourceKind.OTHER: self.say("another source"),
            None: self.say("no source named"),
        }[SourceKind(kind) if kind else None]

    def source(
        self, kind: SourceKind | None, reference: str | None, season: int | None = None
    ) -> list[Markdown]:
        """Its kind and its reference, as far as they are given."""
        parts = []
        words = self.source_kind(kind) if kind is not None else ""
        # Who copied it may have begun with the same word: "minute book, page 44".
        if words and not (reference or "").casefold().startswith(words.casefold()):
            parts.append(Markdown(words))
        if reference is not None:
            parts.append(self.text(reference, season))
        return parts

    def named_by(self, kind: str) -> Markdown:
        """By what kind of source, empty where none is given, a player is named."""
        return Markdown(translated(NAMED[kind], self.words))

    def pair(self, first: int | None, second: int | None) -> Markdown:
        """``3 : 1``"""
        if first is None and second is None:
            return self.unknown
        return Markdown(f"{self.number(first)} : {self.number(second)}")
