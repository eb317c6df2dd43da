"""The rows of a spreadsheet as written matches, before anybody in them is known; all that cannot be
read is collected."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar

from riesbuch.exchange.columns import (
    UNKNOWN,
    AmbiguousDateError,
    CellError,
    Columns,
    is_of_a_player,
    read_cell_strike,
    read_date,
    read_number,
    read_numbers,
    read_outcome,
    read_pair,
    read_role,
    read_source_kind,
    read_strikes,
    read_winner,
    slash_order,
)
from riesbuch.exchange.csv_text import CsvRow
from riesbuch.trade.match import Outcome, SourceKind
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded


class Fault(NamedTuple):
    """Something in the file that cannot be right. ``row`` counts as the spreadsheet does,
    ``cell`` within the row from 0."""

    row: int
    cell: int
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPlayer:
    """``strikes`` are inning by inning in their one spelling, or flat where ``in_innings`` is
    False; a strike of an empty cell is "". ``role`` is team, supernumerary or replacement."""

    row: int
    name: str
    role: str
    points: int | None
    strikes: tuple[tuple[str, ...], ...] | None
    in_innings: bool


@dataclass(slots=True, kw_only=True)
class WrittenSide:
    team: str
    captain: str | None = None
    points: int | None = None
    nummern: int | None = None
    ries: tuple[int, ...] | None = None
    players: list[WrittenPlayer] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class WrittenMatch:
    """A match as a row or a group of rows has it. ``date`` is None only where a question is open
    or a fault was told."""

    rows: list[int]
    season: int | None
    competition: str
    date: datetime.date | None
    round: int | None
    home: WrittenSide
    away: WrittenSide
    ground: str | None = None
    weather: str | None = None
    notes: str | None = None
    outcome: Outcome = Outcome.PLAYED
    awarded: str | None = None
    winner: str | None = None
    source_kind: SourceKind | None = None
    reference: str | None = None
    transcribed_by: str | None = None

    @property
    def row(self) -> int:
        return self.rows[0]


_Value = TypeVar("_Value")
_SIDES = ("home", "away")
_TEXTS = ("ground", "weather", "notes", "reference", "transcribed_by")


class Gathered:
    """The matches of the rows that were taken, and what is wrong with these.

    ``season`` and ``competition`` are those of rows that do not say it; ``day_first`` is how
    10/05/1987 is meant and ``empty_strike`` what an empty cell among strikes is, x or ~, None
    where not decided. ``ambiguous_dates`` and ``empty_strikes`` are the rows that wait for such a
    decision, with what is written there; ``days_first`` and ``months_first`` count the dates with
    slashes that can be meant in one way only."""

    def __init__(
        self,
        columns: Columns,
        *,
        season: int | None,
        competition: str | None,
        day_first: bool | None,
        empty_strike: str | None,
    ) -> None:
        self.columns = columns
        self.season = season
        self.competition = competition
        self.day_first = day_first
        self.empty_strike = empty_strike
        self.matches: list[WrittenMatch] = []
        self.faults: list[Fault] = []
        self.ambiguous_dates: list[tuple[int, str]] = []
        self.empty_strikes: list[tuple[int, str]] = []
        self.days_first = self.months_first = 0
        self.strikes = columns.numbered("strike")
        self.ries = {side: columns.numbered(f"{side}_ries") for side in _SIDES}
        self.of_key: dict[object, WrittenMatch] = {}
        self.of_cells: dict[tuple[str, ...], WrittenMatch] = {}
        self.match_keys = [key for key in columns.place if not is_of_a_player(key)]

    def take(self, record: CsvRow) -> None:
        """Read a row, which is not the head."""
        if not self.columns.one_row_a_player:
            match = self.match(record)
            self.matches.append(match)
            return
        cells = tuple([self.cell(record, key) for key in self.match_keys])
        known = self.of_cells.get(cells)
        if known is None:
            known = self.of_cells[cells] = self.joined(self.match(record), record)
        else:
            known.rows.append(record.row)
        self.player(known, record)

    def joined(self, match: WrittenMatch, record: CsvRow) -> WrittenMatch:
        """The match that this row is of, where rows before it were of the same."""
        key = (
            match.season,
            folded(match.competition),
            match.date or self.cell(record, "date"),
            match.round,
            folded(match.home.team),
            folded(match.away.team),
        )
        known = self.of_key.setdefault(key, match)
        if known is match:
            self.matches.append(match)
        else:
            self.merge(known, match, record.row)
        return known

    # Cells

    def cell(self, record: CsvRow, key: str) -> str:
        place = self.columns.place.get(key)
        return "" if place is None or place >= len(record.cells) else record.cells[place]

    def fault(self, said: str, row: int, key: str, **values: object) -> None:
        message = Message.of(said, values)
        if key in self.columns.title:
            column = self.columns.title[key]
            message = Message("column `{column}`: {message}", column=column, message=message)
        self.faults.append(Fault(row, self.columns.place.get(key, 0), message))

    def read(
        self, record: CsvRow, key: str, reader: Callable[[str], _Value], otherwise: _Value
    ) -> _Value:
        text = self.cell(record, key)
        if not text:
            return otherwise
        try:
            return reader(text)
        except CellError as error:
            self.fault(error.message, record.row, key)
            return otherwise

    def number(self, record: CsvRow, key: str) -> int | None:
        return self.read(record, key, read_number, None)

    # A match

    def match(self, record: CsvRow) -> WrittenMatch:
        season = self.read(record, "season", read_number, self.season)
        date, year = self.date(record, season)
        season = year if season is None else season
        competition = self.cell(record, "competition") or self.competition or ""
        if not competition:
            self.fault(
                "no competition is named – fill it in, or use --competition",
                record.row,
                "competition",
            )
        home, away = (self.side(record, side) for side in _SIDES)
        for key, first, second in (("points", 0, 1), ("nummern", 0, 1)):
            nothing: tuple[int | None, int | None] = (None, None)
            pair = self.read(record, key, read_pair, nothing)
            for side, figure in ((home, pair[first]), (away, pair[second])):
                if figure is not None and getattr(side, key) is None:
                    setattr(side, key, figure)
        sides = {folded(home.team): "home", folded(away.team): "away"}

        def winner(text: str) -> str | None:
            return read_winner(text, sides)

        number = self.number(record, "round")
        awarded = self.read(record, "awarded", winner, None)
        if awarded == "draw":
            self.fault("a match is awarded to one side – write home or away", record.row, "awarded")
        if date is not None and season is not None and date.year != season:
            self.fault(
                "{date} is not in the season {season} – mend the date or the season; a season is"
                " one year",
                record.row,
                "date",
                date=date,
                season=season,
            )
        return WrittenMatch(
            rows=[record.row],
            season=season,
            competition=competition,
            date=date,
            round=number or None,
            home=home,
            away=away,
            outcome=self.read(record, "outcome", read_outcome, Outcome.PLAYED),
            awarded=awarded,
            winner=self.read(record, "winner", winner, None),
            source_kind=self.read(record, "source_kind", read_source_kind, None),
            **{key: self.text(record, key) for key in _TEXTS},
        )

    def text(self, record: CsvRow, key: str) -> str | None:
        return self.cell(record, key) or None

    def date(self, record: CsvRow, season: int | None) -> tuple[datetime.date | None, int | None]:
        """The day, and its year, which may be known without the day."""
        text = self.cell(record, "date")
        order = slash_order(text)
        if order is not None:
            self.days_first += order
            self.months_first += not order
        try:
            date = read_date(text, season, self.day_first)
            return date, date.year
        except CellError as error:
            self.fault(error.message, record.row, "date")
        except AmbiguousDateError as ambiguous:
            self.ambiguous_dates.append((record.row, text))
            return None, ambiguous.year
        return None, None

    def side(self, record: CsvRow, side: str) -> WrittenSide:
        team = self.cell(record, side)
        if not folded(team):
            self.fault("no team is named – every match needs both its teams", record.row, side)
        single = self.read(record, f"{side}_ries", read_numbers, None)
        numbered = [self.number(record, key) for key in self.ries[side]]
        ries: tuple[int, ...] | None = single
        known = [number for number in numbered if number is not None]
        if known and len(known) == len(numbered):
            ries = tuple(known)
        elif known:
            self.fault(
                "one of the Ries totals is missing – give all of them, or leave all empty and"
                " give the points",
                record.row,
                self.ries[side][numbered.index(None)],
            )
        points = self.number(record, f"{side}_points")
        if (
            ries is not None
            and points is not None
            and sum(ries) != points
            and not (self.columns.one_row_a_player)
        ):
            self.fault(
                "the Ries totals add up to {sum}, but the points are {points} – correct the one"
                " that is wrong, or leave it out",
                record.row,
                f"{side}_points",
                sum=sum(ries),
                points=points,
            )
        return WrittenSide(
            team=team,
            captain=self.text(record, f"{side}_captain"),
            points=points,
            nummern=self.number(record, f"{side}_nummern"),
            ries=ries,
        )

    # Rows of players

    def merge(self, known: WrittenMatch, match: WrittenMatch, row: int) -> None:
        """Take what this row says of the match; it must not contradict the rows before."""
        known.rows.append(row)
        pairs: list[tuple[Any, Any, str, str]] = []
        for key in (*_TEXTS, "awarded", "winner", "source_kind"):
            pairs.append((known, match, key, key))
        for name, mine, theirs in (
            ("home", known.home, match.home),
            ("away", known.away, match.away),
        ):
            for key in ("captain", "points", "nummern", "ries"):
                pairs.append((mine, theirs, key, f"{name}_{key}"))
        for mine, theirs, key, column in pairs:
            before, now = getattr(mine, key), getattr(theirs, key)
            if before is None:
                setattr(mine, key, now)
            elif now is not None and now != before:
                self.fault(
                    "`{now}` contradicts `{before}` in row {first}, of the same match – all rows of"
                    " a match say the same of it, or leave it empty",
                    row,
                    column,
                    now=now,
                    before=before,
                    first=known.row,
                )
        if match.outcome is not Outcome.PLAYED:
            known.outcome = match.outcome

    def player(self, match: WrittenMatch, record: CsvRow) -> None:
        name = self.name(record)
        side = self.side_of(match, record) if folded(name) else None
        if side is None:
            if not folded(name) and any(self.cell(record, key) for key in
                                        ("player_points", "strikes", *self.strikes)):  # fmt: skip
                key = "player" if "player" in self.columns.place else "last_name"
                self.fault(
                    "no player is named – name the player, or clear the row", record.row, key
                )
            return
        strikes, in_innings = self.strikes_of(record)
        points = self.number(record, "player_points")
        if points is None and strikes is None:
            self.fault(
                "nothing is known of {name} in this match – fill in points or strikes, or delete"
                " the row",
                record.row,
                "player_points",
                name=name,
            )
            return
        side.players.append(
            WrittenPlayer(
                row=record.row,
                name=name,
                role=self.read(record, "role", read_role, "team"),
                points=points,
                strikes=strikes,
                in_innings=in_innings,
            )
        )

    def name(self, record: CsvRow) -> str:
        first, last = self.cell(record, "first_name"), self.cell(record, "last_name")
        if first or last:
            return f"{last}, {first}" if first and last else first or last
        return self.cell(record, "player")

    def side_of(self, match: WrittenMatch, record: CsvRow) -> WrittenSide | None:
        written = self.cell(record, "side") or self.cell(record, "team")
        key = "side" if self.cell(record, "side") else "team"
        try:
            side = read_winner(
                written, {folded(match.home.team): "home", folded(match.away.team): "away"}
            )
        except CellError:
            side = "draw"
        if side is None or side == "draw":
            self.fault(
                "`{written}` is neither {home} nor {away} – write the team as in the columns of"
                " the match, or home or away",
                record.row,
                key,
                written=written,
                home=match.home.team,
                away=match.away.team,
            )
            return None
        return match.home if side == "home" else match.away

    def strikes_of(self, record: CsvRow) -> tuple[tuple[tuple[str, ...], ...] | None, bool]:
        """The strikes, and whether they are told inning by inning."""
        written = self.cell(record, "strikes")
        if written and written not in UNKNOWN:
            nothing: tuple[tuple[str, ...], ...] = ()
            return self.read(record, "strikes", read_strikes, nothing), "[" in written
        cells = [self.cell(record, key) for key in self.strikes]
        if not any(cells):
            return None, False
        read = []
        for key, cell in zip(self.strikes, cells, strict=True):
            if cell:
                read.append(self.read(record, key, read_cell_strike, ""))
            elif self.empty_strike is None:
                self.empty_strikes.append((record.row, self.columns.title[key]))
            else:
                read.append(self.empty_strike)
        return (tuple(read),), False
