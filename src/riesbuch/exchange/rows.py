"""The rows of a spreadsheet read as written matches; all that cannot be read is collected."""

import datetime
import re
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from riesbuch.exchange.cells import (
    UNKNOWN,
    AmbiguousDateError,
    CellError,
    Figures,
    is_outcome,
    is_total,
    read_cell_strike,
    read_date,
    read_figures,
    read_number,
    read_numbers,
    read_outcome,
    read_pair,
    read_role,
    read_source_kind,
    read_strikes,
    read_teams,
    read_venue,
    read_winner,
    slash_order,
    with_comma,
)
from riesbuch.exchange.columns import FAMILY_FIRST, TEXTS, Columns, is_of_a_player
from riesbuch.exchange.csv_text import CsvRow
from riesbuch.exchange.decisions import IGNORE, Decisions, Question, choice, numbers
from riesbuch.exchange.sheets import Fault, WrittenMatch, WrittenPlayer, WrittenSide
from riesbuch.trade.match import Outcome
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.names import folded

_Value = TypeVar("_Value")
_SIDES = ("home", "away")
_TEAMS = ("home", "away", "pairing", "opponent")
_LEADING = (
    "season", "competition", "part", "round", "date", *_TEAMS, "venue", "team", "side",
)  # fmt: skip
_OF_A_SIDE = ("captain", "points", "nummern", "ries")
_RESULTS = ("points", "we_they_points", "home_points", "away_points")
_LASTING = ("season", "competition")
_BYES = ("spielfrei", "frei", "bye")
_MOST_SHOWN = 60
_MOST_NAMED = 8


def _shown(cells: Sequence[str]) -> str:
    return " | ".join(cells)[:_MOST_SHOWN].strip()


class Gathered:
    """The matches of the rows that were taken, and what is wrong with these.

    ``season`` and ``competition`` are those of rows that do not say it, ``club`` the one whose
    view the file may be. ``questions`` wait for a decision on rows or on how cells are meant;
    ``remarks`` say which rows were passed over, and which empty cells were taken as merged."""

    def __init__(
        self,
        columns: Columns,
        decisions: Decisions,
        *,
        season: int | None = None,
        competition: str | None = None,
        club: str | None = None,
    ) -> None:
        self.columns = self.plain = columns
        self.views = {side: columns.seen_from(side) for side in _SIDES} if (
            "opponent" in columns.place and "home" not in columns.place) else None  # fmt: skip
        self.decisions = decisions
        self.season = season
        self.competition = competition
        self.club = club or ""
        self.own = ""
        self.day_first = decisions.chosen("dates")
        self.empty_strike = decisions.chosen("empty strikes")
        self.result_order = decisions.chosen("results")
        self.matches: list[WrittenMatch] = []
        self.faults: list[Fault] = []
        self.undecided: dict[str, list[tuple[int, str]]] = {}
        self.undecided_rows: list[tuple[int, str, str]] = []
        self.days_first = self.months_first = 0
        self.passed: list[tuple[int, str]] = []
        self.merged: dict[str, list[int]] = {}
        self.above: dict[str, str] = {}
        of_match = [key for key in columns.place if not is_of_a_player(key)]
        self.strikes = columns.numbered("strike")
        self.family_first = folded(columns.title.get("player", "")) in FAMILY_FIRST
        self.of_key: dict[object, WrittenMatch] = {}
        self.of_cells: dict[tuple[str, ...], WrittenMatch] = {}
        self.match_keys = [*of_match, "home"] if self.views else of_match
        self.leading = [
            key for key in _LEADING if columns.place.get(key, columns.width) < columns.width
        ]

    def take(self, record: CsvRow) -> None:
        """Read a row, which is not the head."""
        completed = self.completed(record)
        if completed is None:
            return
        if not self.columns.one_row_a_player:
            self.matches.append(self.match(completed))
            return
        cells = tuple([self.cell(completed, key) for key in self.match_keys])
        known = self.of_cells.get(cells)
        if known is None:
            known = self.of_cells[cells] = self.joined(self.match(completed), completed)
        else:
            known.rows.append(record.row)
        self.player(known, completed)

    def joined(self, match: WrittenMatch, record: CsvRow) -> WrittenMatch:
        """The match that this row is of, where rows before it were of the same."""
        key = (
            match.season,
            folded(match.competition),
            match.date or self.cell(record, "date"),
            match.round,
            folded(match.texts.get("part", "")),
            folded(match.home.team),
            folded(match.away.team),
        )
        known = self.of_key.setdefault(key, match)
        if known is match:
            self.matches.append(match)
        else:
            self.merge(known, match, record.row)
        return known

    # Rows

    def completed(self, record: CsvRow) -> CsvRow | None:
        """The row with both teams, and with what merged cells leave empty; None where it is of no
        match, or cannot be told of which."""
        self.columns = self.plain
        own = {key: self.cell(record, key) for key in self.leading}
        of_players = self.columns.one_row_a_player
        teams = [own[key] for key in _TEAMS if own.get(key)]
        name = self.name(record) if of_players else ""
        filled = [cell for cell in record.cells if cell]
        heads = (filled[0], name) if of_players else (filled[0], *teams)
        if any(map(is_total, heads)) or any(folded(team) in _BYES for team in teams):
            self.passed.append((record.row, _shown(filled)))
            return None
        if not name and len(filled) == 1:
            self.take_title(record.row, filled[0])
            return None
        figures = ("player_points", "strikes", *self.strikes)
        if not folded(name) and any(self.cell(record, key) for key in figures):
            self.undecided_row(record.row, _shown(filled), Message("no player is named"))
            return None
        if not of_players and not teams:
            if any(letter.isalpha() for cell in filled for letter in cell):
                self.undecided_row(record.row, _shown(filled), Message("no team is named"))
            else:
                # Figures alone are sums.
                self.passed.append((record.row, _shown(filled)))
            return None
        return self.with_teams(record._replace(cells=self.filled(record, own)))

    def take_title(self, row: int, text: str) -> None:
        """A cell that stands alone: a day is that of the rows below, all else a mere title."""
        try:
            read_date(text, self.season, day_first=True)
        except (CellError, AmbiguousDateError):
            self.passed.append((row, text))
        else:
            lasting = {key: self.above[key] for key in _LASTING if key in self.above}
            self.above = {**lasting, "date": text}

    def undecided_row(self, row: int, written: str, doubt: str) -> None:
        line = self.decisions.find("row", folded(written), "", None)
        if line is None:
            self.undecided_rows.append((row, written, doubt))
        elif line.decision == IGNORE:
            self.passed.append((row, written))
        else:
            said = Message("decide `ignore`, or mend the row in the file")
            self.decisions.refuse(line.row, said)

    def filled(self, record: CsvRow, own: dict[str, str]) -> tuple[str, ...]:
        """The cells, those taken from above that are empty because they are merged: the day and
        its round, in rows of players the teams, and what holds for many matches."""
        if all(own.values()):
            self.above = own
            return record.cells
        wanted = {"competition"} if self.competition is None else set()
        if self.season is None and not re.search("[0-9]{4}", own["date"]):
            wanted.add("season")
        if not own["date"]:
            wanted |= {"date", "part", "round"}
            if self.columns.one_row_a_player and not any(own.get(key) for key in _TEAMS):
                wanted |= {*_TEAMS, "venue", "team", "side"}
        taken = {key: self.above[key] for key in wanted & self.above.keys() if not own[key]}
        kept = _LASTING if own["date"] else self.above
        self.above = {key: self.above[key] for key in kept if key in self.above}
        self.above.update((key, value) for key, value in own.items() if value)
        if not taken:
            return record.cells
        cells = [*record.cells, *[""] * (self.columns.width - len(record.cells))]
        for key, value in taken.items():
            cells[self.columns.place[key]] = value
            self.merged.setdefault(self.columns.title[key], []).append(record.row)
        return tuple(cells)

    def with_teams(self, record: CsvRow) -> CsvRow | None:
        """The row with home and away in cells of their own; None where they cannot be told."""
        columns = self.plain
        cells = [*record.cells, *[""] * (columns.width - len(record.cells))]
        if columns.place.get("home") == columns.width:
            teams = self.read(record, "pairing", read_teams, ("", ""))
            return record._replace(cells=(*cells, *teams)) if any(teams) else None
        if self.views is None:
            return record
        self.own = self.read(record, "venue", read_venue, "")
        if not self.own:
            if not self.cell(record, "venue"):
                self.fault(
                    "it is not said where the match was – write home or away", record.row, "venue"
                )
            return None
        self.columns = self.views[self.own]
        team = self.columns.place[self.own]
        cells.append("")
        # The club's team may be told by its letter alone.
        if len(cells[team]) < 2:
            cells[team] = f"{self.club} {cells[team]}".strip()
        return record._replace(cells=tuple(cells))

    def questions(self) -> Iterator[Question]:
        """What is to be decided on cells and rows."""
        like = {what: rows[0][1] for what, rows in self.undecided.items()}
        doubts = {
            "dates": Message(
                "like {ambiguous_dates}; others in the file can only have the day first"
                " ({first}) or the month first ({last})",
                ambiguous_dates=like.get("dates"),
                first=self.days_first,
                last=self.months_first,
            ),
            "empty strikes": Message(
                "as in column {empty_strikes}: x not struck, ~ illegible",
                empty_strikes=like.get("empty strikes"),
            ),
            "results": Message(
                "like {text}, where the club was away: whose figures stand first",
                text=like.get("results"),
            ),
        }
        for what, rows in self.undecided.items():
            yield choice(what, [row for row, _ in rows], doubts[what])
        of_text: dict[str, Question] = {}
        for row, written, doubt in self.undecided_rows:
            key = folded(written)
            question = Question("row", key, written, doubt, (IGNORE,))
            of_text.setdefault(key, question).rows.append(row)
        yield from of_text.values()

    def remarks(self) -> Iterator[str]:
        """What was passed over, and what was taken from above."""
        for title, rows in self.merged.items():
            yield Message(
                "column `{title}`, row {rows}: empty, taken from above",
                title=title,
                rows=numbers(rows, 1),
            )
        if self.passed:
            shown = [
                Message("row {row} `{text}`", row=row, text=text)
                for row, text in self.passed[:_MOST_NAMED]
            ]
            more = len(self.passed) - len(shown)
            yield Message(
                "passed over: {rows} and {more} more" if more else "passed over: {rows}",
                rows=joined(", ", shown),
                more=more,
            )

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
        # Where no column says it, once is enough.
        if not competition and ("competition" in self.columns.place or not self.matches):
            self.fault(
                "no competition is named – fill it in, or use --competition",
                record.row,
                "competition",
            )
        outcome = self.read(record, "outcome", read_outcome, Outcome.PLAYED)
        word = next(filter(is_outcome, (self.cell(record, key) for key in _RESULTS)), "")
        if word:
            # It stands where the figures would.
            outcome = read_outcome(word)
            cells = ("" if cell == word else cell for cell in record.cells)
            record = record._replace(cells=tuple(cells))
        home, away = (self.side(record, side) for side in _SIDES)
        self.take_pairs(record, home, away)
        sides = {folded(home.team): "home", folded(away.team): "away"}

        def winner(text: str) -> str | None:
            return read_winner(text, sides, self.own)

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
            outcome=outcome,
            awarded=awarded,
            winner=self.read(record, "winner", winner, None),
            source_kind=self.read(record, "source_kind", read_source_kind, None),
            texts={key: self.cell(record, key) for key in TEXTS if self.cell(record, key)},
        )

    def take_pairs(self, record: CsvRow, home: WrittenSide, away: WrittenSide) -> None:
        """Figures of both sides in one cell."""
        for key in ("points", "nummern", "we_they_points", "we_they_nummern"):
            pair = self.read(record, key, read_pair, None)
            if pair is None or pair[0] == pair[1] == (None, None):
                continue
            if self.own == "away":
                order = "we" if key.startswith("we_") else self.result_order
                if order is None:
                    row_and_text = record.row, self.cell(record, key)
                    self.undecided.setdefault("results", []).append(row_and_text)
                    continue
                pair = pair[::-1] if order == "we" else pair
            for side, (points, nummern) in zip((home, away), pair, strict=True):
                if key.endswith("nummern"):
                    self.take_figure(record, key, side, "nummern", points)
                else:
                    self.take_figure(record, key, side, "points", points)
                    self.take_figure(record, key, side, "nummern", nummern)

    def take_figure(
        self, record: CsvRow, key: str, side: WrittenSide, name: str, figure: int | None
    ) -> None:
        before = getattr(side, name)
        if before is None:
            setattr(side, name, figure)
        elif figure not in (None, before):
            self.fault(
                "`{figure}` contradicts `{before}` in the same row – correct the one that is wrong",
                record.row,
                key,
                figure=figure,
                before=before,
            )

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
            self.undecided.setdefault("dates", []).append((record.row, text))
            return None, ambiguous.year
        return None, None

    def side(self, record: CsvRow, side: str) -> WrittenSide:
        team = self.cell(record, side)
        if not folded(team):
            self.fault("no team is named – every match needs both its teams", record.row, side)
        single = self.read(record, f"{side}_ries", read_numbers, None)
        keys = self.columns.numbered(f"{side}_ries")
        numbered = [self.number(record, key) for key in keys]
        ries: tuple[int, ...] | None = single
        known = [number for number in numbered if number is not None]
        if known and len(known) == len(numbered):
            ries = tuple(known)
        elif known:
            self.fault(
                "one of the Ries totals is missing – give all of them, or leave all empty and"
                " give the points",
                record.row,
                keys[numbered.index(None)],
            )
        unknown: Figures = (None, None)
        points, nummern = self.read(record, f"{side}_points", read_figures, unknown)
        differ = ries is not None and points is not None and sum(ries) != points
        if ries is not None and differ and not self.columns.one_row_a_player:
            self.fault(
                "the Ries totals add up to {sum}, but the points are {points} – correct the one"
                " that is wrong, or leave it out",
                record.row,
                f"{side}_points",
                sum=sum(ries),
                points=points,
            )
        written = WrittenSide(
            team=team,
            captain=self.cell(record, f"{side}_captain") or None,
            points=points,
            nummern=self.number(record, f"{side}_nummern"),
            ries=ries,
        )
        self.take_figure(record, f"{side}_points", written, "nummern", nummern)
        return written

    # Rows of players

    def merge(self, known: WrittenMatch, match: WrittenMatch, row: int) -> None:
        """Take what this row says of the match; it must not contradict the rows before."""
        known.rows.append(row)
        pairs: list[tuple[str, object, object]] = [
            (key, known.texts.setdefault(key, text), text) for key, text in match.texts.items()
        ]
        for mine, theirs, prefix, keys in (
            (known, match, "", ("awarded", "winner", "source_kind")),
            (known.home, match.home, "home_", _OF_A_SIDE),
            (known.away, match.away, "away_", _OF_A_SIDE),
        ):
            for key in keys:
                before, now = getattr(mine, key), getattr(theirs, key)
                if before is None:
                    setattr(mine, key, now)
                pairs.append((f"{prefix}{key}", before, now))
        for column, before, now in pairs:
            if None not in (before, now) and now != before:
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
        role = self.read(record, "role", read_role, "team")
        player = WrittenPlayer(
            row=record.row, name=name, role=role, points=points, strikes=strikes,
            in_innings=in_innings,
        )  # fmt: skip
        side.players.append(player)

    def name(self, record: CsvRow) -> str:
        first, last = self.cell(record, "first_name"), self.cell(record, "last_name")
        if first or last:
            return f"{last}, {first}" if first and last else first or last
        name = self.cell(record, "player")
        return with_comma(name) if name and self.family_first else name

    def side_of(self, match: WrittenMatch, record: CsvRow) -> WrittenSide | None:
        written = self.cell(record, "side") or self.cell(record, "team") or self.own
        key = "side" if self.cell(record, "side") else "team"
        try:
            sides = {folded(match.home.team): "home", folded(match.away.team): "away"}
            side = read_winner(written, sides, self.own)
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
                row_and_title = (record.row, self.columns.title[key])
                self.undecided.setdefault("empty strikes", []).append(row_and_title)
            else:
                read.append(self.empty_strike)
        return (tuple(read),), False
