"""The rows of the tables that questions are asked of: of a sheet, a competition, the register."""

import marshal
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from itertools import chain, groupby, repeat
from operator import itemgetter
from sqlite3 import Connection
from typing import Any, NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.index.codec import pack, pack_seal, read_date, unpack
from riesbuch.index.handed_down import HANDED_DOWN, handed_down_rows, source_columns
from riesbuch.index.layout import MATCHES_A_SEASON, ROWS_A_MATCH, row_ids, runs_of
from riesbuch.index.store import KnownSheet, as_bytes, as_path, insert_rows, insert_values
from riesbuch.index.team_seasons import fill_team_seasons
from riesbuch.judge.examination import ExaminedSheet
from riesbuch.trade.ids import CompetitionId, SheetId
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.people import Register
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, number_of
from riesbuch.trade.standings import goes_by_figures, standings
from riesbuch.trade.strikers import (
    NAMED,
    POINTS,
    ClassTables,
    Individual,
    Performance,
    Striker,
    awards_given,
    both_lists,
    class_tables,
    higher,
    individuals,
    is_struck,
    performances,
    ranked_by_rows,
    rests_on_people,
    strikers,
)
from riesbuch.trade.tally import SideTally, Tally, result_for, tally

# Calling the named tuple itself takes several times as long.
_new: Any = tuple.__new__

_Rows = dict[str, list[Any]]
"""By table; those of `player_rows`, by far the most, are one list of all their values."""

_COLUMNS = 13
"""Of `player_rows`."""

OF_COMPETITIONS = (
    "standings", "strikers", "class_strikers", "awards", "competitions", "rulings",
)  # fmt: skip
_OF_A_SEASON = (
    *OF_COMPETITIONS, *HANDED_DOWN, "team_seasons",
    "waiting_rows", "read_sheets", "matches", "sides", "left_out",
)  # fmt: skip
_OF_THE_REGISTER = (
    "players", "player_classes", "spellings", "parents",
    "clubs", "former_names", "mergers", "teams",
)  # fmt: skip
_MANY = 10
"""The rows of so many seasons are sorted by player and team sooner all at once."""

_INDEXES = "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL"

_WITH_NUMBER = (
    "matches (rowid, sheet, path, season, competition, kind, round, date, outcome, home, away,"
    " winner, decided_by, draft, counts, errors, kept_out, ground, weather, notes, source,"
    " reference, moved_to, part, transcribed_by, referees, doubts)"
)


class SheetFigures(NamedTuple):
    """What a sheet adds up to, if it has no errors, and its rows of individuals, one after the
    other in the columns of `player_rows`. ``tally`` is None where it could not be read or has no
    rule set; ``others`` are the last columns of its row in `matches`; ``seal`` is a
    seal that fits it, packed."""

    number: int
    basis: bytes
    tally: Tally | None = None
    performances: Sequence[Performance] = ()
    individuals: Sequence[Any] = ()
    kind: str = ""
    others: tuple[Any, ...] = ()
    seal: str | None = None

    @property
    def competition(self) -> CompetitionId | None:
        return self.tally.competition if self.tally else None

    @property
    def individuals_known(self) -> bool:
        """Whether everybody in it who struck has match points."""
        listed, points = self.individuals[4::_COLUMNS], self.individuals[7::_COLUMNS]
        return (None, False) not in zip(points, (each is None for each in listed), strict=True)


def figures_of(archive: Archive, sheet: ExaminedSheet, number: int, basis: bytes) -> SheetFigures:
    match, rules = sheet.match, sheet.rules
    seal = pack_seal(sheet)
    if match is None or rules is None:
        return SheetFigures(number, basis, seal=seal)
    competition = archive.competition(match.season, match.competition)
    assert competition is not None
    of_match = individuals(match)
    struck = performances(match, rules, of_match)
    source = match.source
    return SheetFigures(
        number=number,
        basis=basis,
        tally=tally(match, rules, competition.kind),
        performances=struck,
        individuals=_player_rows(
            of_match, rules, struck, number, named_count=is_struck(match)
        ),
        kind=competition.kind.value,
        others=(
            match.ground, match.weather, match.notes,
            *(source_columns(source) if source else (None, None)),
            match.moved_to.isoformat() if match.moved_to else None, match.part,
            source.transcribed_by if source else None,
            pack(match.referees) if match.referees else None,
            pack([doubt.note for doubt in match.doubts]) if match.doubts else None,
        ),
        seal=seal,
    )  # fmt: skip


def _player_rows(
    of_match: Sequence[Individual],
    rules: RuleSet,
    struck: Sequence[Performance],
    number: int,
    *,
    named_count: bool,
) -> list[Any]:
    # Of two rows of one player, a supernumerary who came in, the first has the rank points.
    earned = {performance.player: performance.rank_points for performance in struck}
    counting = frozenset(earned)
    if named_count:
        counting |= {row[2] for row in of_match if row[1] == NAMED}
    per_inning = rules.strikes_per_inning
    found: list[Any] = []
    key = number * ROWS_A_MATCH
    # What is no whole number and no text, as a truth value, takes sqlite3 several times as long.
    for away, role, player, listed, strikes, points, nummern, highest, squares in of_match:
        found += (
            key, player, away, role, listed, per_inning, strikes, points, nummern, highest,
            squares, earned.pop(player, None), 1 if player in counting else 0,
        )  # fmt: skip
        key += 1
    return found


def sheet_rows(rows: _Rows, year: int, path: str, figures: SheetFigures, *, errors: bool) -> None:
    """Add what the sheet says to ``rows``. One with ``errors`` is in them, but counts nowhere."""
    added_up = figures.tally
    path = _as_text(path)
    if added_up is None or errors:
        rows.setdefault("left_out", []).append((year, path, figures.competition))
    if added_up is None:
        return
    sheet = _as_text(added_up.sheet)
    counts = added_up.counts and not errors
    home, away = added_up.home, added_up.away
    rows.setdefault("matches", []).append(
        (
            figures.number, sheet, path, year, added_up.competition, figures.kind, added_up.round,
            added_up.date.isoformat() if added_up.date else None, added_up.outcome.value,
            home.team, away.team, added_up.winner, added_up.decided_by, int(added_up.is_draft),
            int(counts), int(errors), int(added_up.kept_out), *figures.others,
        )
    )  # fmt: skip
    for name, mine, theirs in (("home", home, away), ("away", away, home)):
        rows.setdefault("sides", []).append(
            (
                sheet, name, year, mine.team, theirs.team, mine.depth.value, mine.points,
                mine.nummern, mine.rank_points if counts else None,
                added_up.winner and result_for(added_up.winner, name),
                mine.best_ries,
                None if mine.ries is None else pack(mine.ries),
            )
        )  # fmt: skip
    of_players = list(figures.individuals)
    if errors:
        of_players[_COLUMNS - 2 :: _COLUMNS] = [None] * (len(of_players) // _COLUMNS)
        of_players[_COLUMNS - 1 :: _COLUMNS] = [0] * (len(of_players) // _COLUMNS)
    rows.setdefault("player_rows", []).extend(of_players)


_NOBODY = Register(clubs={}, players={})


def competition_rows(
    rows: _Rows,
    archive: Archive,
    competition: Competition,
    year: int,
    *,
    tallies: Sequence[Tally],
    performances: Iterable[Performance],
    all_known: bool,
    is_over: bool = False,
    known: Sequence[Striker] = (),
) -> None:
    """Add the tables that all sheets of the competition without errors make to ``rows``;
    ``all_known`` is whether there are no others that may be its, ``is_over`` whether a later
    season has begun, ``known`` are strikers whose performances are not given."""
    # A `check` of one changed sheet makes no tables.
    from riesbuch.trade import certainty

    rules = archive.rules_of(competition)
    if rules is None:
        return
    key = (year, competition.id)
    # What does not rest on people sees none: it stays when the register changes.
    people = archive.register if rests_on_people(rules) else _NOBODY
    parts = archive.rules_of_parts(competition)
    fixtures = archive.fixtures_of(year, competition)
    rulings = archive.rulings_of(year, competition)
    lost_rulings = archive.lost_rulings(year)
    table = standings(tallies, competition.teams, rules, None, rulings)
    # What a sheet or ruling with errors would say is not known: nothing by the table is sure then.
    sure = (
        certainty.sure_places(
            competition, rules, table, tallies, fixtures, is_over=is_over, of_parts=parts
        )
        if all_known and not lost_rulings
        else certainty.named_places(competition)
    )
    rows.setdefault("standings", []).extend(
        (*key, *row, row.team in sure.first, row.team in sure.promoted, row.team in sure.relegated)
        for row in table
    )
    listed = strikers(performances, people.birth_years, rules, known=known)
    rows.setdefault("strikers", []).extend((*key, *row) for row in listed)
    by_class: ClassTables = {}
    if rules.classes:
        by_class = class_tables(listed, rules, year, people.players)
    rows.setdefault("class_strikers", []).extend(
        (*key, ranked.id, ranked.name, row.rank, row.player, number)
        for number, ranked in enumerate(rules.classes, start=1)
        for row in by_class[ranked.id]
    )
    rows.setdefault("awards", []).extend(
        (*key, number, given.award.name, given.award.of_class, *winner)
        for number, given in enumerate(awards_given(table, listed, rules, by_class), start=1)
        for winner in chain(zip(given.players, repeat(None)), zip(repeat(None), given.teams))
    )
    rows.setdefault("competitions", []).append(
        (
            *key, competition.name, competition.kind.value, competition.rules,
            len(competition.teams), certainty.matches_planned(competition, fixtures),
            sum(added_up.counts for added_up in tallies),
            certainty.missing_matches(competition, fixtures, tallies, is_over=is_over).total(),
            all_known and certainty.is_complete(competition, fixtures, tallies, is_over=is_over),
            number_of(competition.promoted), number_of(competition.relegated), is_over,
            competition.promotion_note, competition.relegation_note, lost_rulings,
            goes_by_figures(competition, rules),
        )
    )  # fmt: skip
    rows.setdefault("rulings", []).extend(
        (
            *key, number, ruling.on.isoformat(), ruling.by, ruling.team, ruling.rank_points,
            ruling.nummern, ruling.points, ruling.reason,
        )
        for number, ruling in enumerate(rulings, start=1)
    )  # fmt: skip


def put_season(
    connection: Connection,
    year: int,
    sheets: Sequence[tuple[Any, ...]],
    gone: Sequence[tuple[str, KnownSheet]],
    rows: bytes,
    *,
    is_whole: bool,
    is_anew: bool,
    stale: Iterable[str],
) -> None:
    """Put the rows of the season's ``sheets`` in place of those that are ``gone``, and take away
    the tables of the competitions of either and of ``stale`` ones, but for strikers in none of
    these sheets; all where what they rest on but sheets and people ``is_anew``. Where the season
    ``is_whole``, the rows wait until somebody asks."""
    if is_whole:
        clear_season(connection, year)
        insert_rows(connection, "read_sheets", sheets)
        connection.execute("INSERT INTO waiting_rows VALUES (?, ?)", (year, rows))
        return
    _put_in(connection, year)
    touched = {sheet[4] for sheet in sheets} | {known.competition for _, known in gone}
    numbers = {sheet[5] for sheet in sheets} | {known.number for _, known in gone}
    others = [(year, key, *row_ids(number)) for key in touched for number in numbers]
    connection.executemany(_FORGET_STRIKERS, others)
    for path, known in gone:
        name = _as_text(path)
        sheet = f"{year}/{name.rpartition('/')[2].removesuffix('.yaml')}"
        for statement, parameters in (
            ("player_rows WHERE id BETWEEN ? AND ?", row_ids(known.number)),
            ("sides WHERE season = ? AND sheet = ?", (year, sheet)),
            ("matches WHERE rowid = ?", (known.number,)),
            ("left_out WHERE season = ? AND path = ?", (year, name)),
            ("read_sheets WHERE season = ? AND path = ?", (year, as_bytes(path))),
        ):
            connection.execute(f"DELETE FROM {statement}", parameters)
    insert_rows(connection, "read_sheets", sheets)
    _insert_packed(connection, rows)
    connection.executemany(_FORGET_STRIKERS, others)
    for table in OF_COMPETITIONS:
        # A sheet of which nobody knows the competition keeps each of them from being complete.
        if is_anew or None in touched:
            connection.execute(f"DELETE FROM {table} WHERE season = ?", (year,))
        elif table != "strikers":
            connection.executemany(
                f"DELETE FROM {table} WHERE season = ? AND competition = ?",
                [(year, competition) for competition in {*touched, *stale}],
            )


# Those of everybody in a sheet; the others' rows stay the same but for their rank.
_FORGET_STRIKERS = (
    "DELETE FROM strikers WHERE season = ? AND competition = ? AND player IN"
    " (SELECT player FROM player_rows WHERE id BETWEEN ? AND ?)"
)


def clear_season(connection: Connection, year: int) -> None:
    for table in _OF_A_SEASON:
        connection.execute(f"DELETE FROM {table} WHERE season = ?", (year,))
    connection.execute(
        "DELETE FROM player_rows WHERE id BETWEEN ? AND ?",
        row_ids(year * MATCHES_A_SEASON, MATCHES_A_SEASON),
    )


def _put_in(connection: Connection, year: int) -> bool:
    """Put the season's rows that wait into the tables; whether there were any."""
    of_season = (year,)
    row = connection.execute("SELECT rows FROM waiting_rows WHERE season = ?", of_season).fetchone()
    if row is None:
        return False
    connection.execute("DELETE FROM waiting_rows WHERE season = ?", of_season)
    _insert_packed(connection, row[0])
    return True


def _insert_packed(connection: Connection, rows: bytes) -> None:
    for table, of_table in marshal.loads(rows).items():
        if table == "player_rows":
            insert_values(connection, table, _COLUMNS, of_table)
        else:
            insert_rows(connection, _WITH_NUMBER if table == "matches" else table, of_table)


def fill(
    connection: Connection, years: Sequence[int], archive_of: Callable[[Sequence[int]], Archive]
) -> None:
    """Make the tables of these seasons whole."""
    many = len(years) > _MANY and not connection.execute("SELECT 1 FROM player_rows").fetchone()
    indexes = connection.execute(_INDEXES).fetchall() if many else []
    for name, _ in indexes:
        connection.execute(f"DROP INDEX {name}")
    cut = [year for year in years if not _put_in(connection, year)]
    for _, statement in indexes:
        connection.execute(statement)
    for year in cut:
        _fill_competitions(connection, archive_of(cut), year)
    for year in years:
        fill_team_seasons(connection, year)
    connection.executemany(
        "UPDATE seasons SET filled = 1 WHERE season = ?", [(year,) for year in years]
    )


def _fill_competitions(
    connection: Connection, archive: Archive, year: int, *, is_over: bool = False
) -> None:
    rows: _Rows = {}
    for table in HANDED_DOWN:
        connection.execute(f"DELETE FROM {table} WHERE season = ?", (year,))
    handed_down_rows(rows, archive, year)
    there = {
        competition
        for (competition,) in connection.execute(
            "SELECT competition FROM competitions WHERE season = ?", (year,)
        )
    }
    season = archive.seasons.get(year)
    for competition in season.competitions if season else ():
        rules = archive.rules_of(competition)
        if competition.id in there or rules is None:
            continue
        key = year, competition.id
        of_strikers = "strikers WHERE season = ? AND competition = ?"
        if not ranked_by_rows(rules):
            connection.execute(f"DELETE FROM {of_strikers}", key)
        known = connection.execute(f"SELECT * FROM {of_strikers}", key).fetchall()
        (unknown,) = connection.execute(
            "SELECT count(*) FROM left_out WHERE season = ? AND coalesce(competition, ?) = ?",
            (year, competition.id, competition.id),
        ).fetchone()
        sound = list(kept_tallies(connection, year, competition.id))
        competition_rows(
            rows,
            archive,
            competition,
            year,
            tallies=[added_up for _, added_up, _ in sound],
            performances=[performance for _, _, struck in sound for performance in struck],
            all_known=not unknown,
            is_over=is_over,
            known=[Striker(*row[2:]) for row in known],
        )
        stay = set(known).intersection(rows["strikers"])
        rows["strikers"] = [row for row in rows["strikers"] if row not in stay]
        connection.executemany(
            f"DELETE FROM {of_strikers} AND player = ?",
            [(*key, row[3]) for row in known if row not in stay],
        )
    for table, of_table in rows.items():
        insert_rows(connection, table, of_table)


def kept_tallies(
    connection: Connection, year: int, competition: str | None = None
) -> Iterator[tuple[str, Tally, list[Performance]]]:
    """Path, tally and what individuals struck of the season's sheets without errors, of all where
    no ``competition`` is given, else of those who do not stand in its striker table."""
    query = (
        "SELECT m.rowid, s.path, m.competition, m.round, m.date, m.outcome, m.winner,"
        " m.decided_by, m.draft, m.counts, m.kept_out, m.moved_to, m.part,"
        f" {_OF_A_SIDE.format('h')}, {_OF_A_SIDE.format('a')} FROM read_sheets AS s"
        " JOIN matches AS m ON m.rowid = s.number"
        " JOIN sides AS h ON (h.season, h.sheet, h.side) = (m.season, m.sheet, 'home')"
        " JOIN sides AS a ON (a.season, a.sheet, a.side) = (m.season, m.sheet, 'away')"
        " WHERE s.season = ? AND NOT s.errors AND m.competition = coalesce(?, m.competition)"
        " ORDER BY s.path"
    )
    found = connection.execute(query, (year, competition)).fetchall()
    struck: dict[int, list[_Struck]] = {}
    for first, matches in runs_of(sorted(row[0] for row in found)):
        rows = connection.execute(_STRUCK, (*row_ids(first, matches), year, competition))
        struck.update((number, [*of_match]) for number, of_match in groupby(rows, itemgetter(0)))
    for (number, path, key, round_number, date, outcome, winner, decided_by, draft, counts,
         kept_out, moved_to, part, *sides) in found:  # fmt: skip
        written = as_path(path)
        sheet = SheetId(f"{year}/{written.rpartition('/')[2].removesuffix('.yaml')}")
        added_up = Tally(
            sheet, year, key, round_number, read_date(date), Outcome(outcome),
            _side(*sides[:7]), _side(*sides[7:]), winner, decided_by,
            bool(draft), bool(counts), bool(kept_out), read_date(moved_to), part,
        )  # fmt: skip
        yield written, added_up, _kept_performances(struck.get(number, ()), added_up)


_OF_A_SIDE = (
    "{0}.team, {0}.depth, {0}.ries, {0}.points, {0}.nummern, {0}.rank_points, {0}.best_ries"
)


def _side(team: Any, depth: str, ries: str | None, *figures: Any) -> SideTally:
    return SideTally(team, Depth(depth), None if ries is None else tuple(unpack(ries)), *figures)


_Number = int | None
_Struck = tuple[int, str, int, bool, int, _Number, str | None, _Number, _Number, int]
"""Of a row of an individual the number of its match, the player, 0 or 1 for home or away, whether
no strike is known, the match points, how many strikes are struck, their list, the highest, the sum
of their squares and the rank points."""

# Those that count and whose match points are known.
_STRUCK = (
    f"SELECT id / {ROWS_A_MATCH}, player, away, role = {POINTS}, points, struck, strikes,"
    " best_strike, squares, coalesce(rank_points, 0)"
    " FROM player_rows WHERE id BETWEEN ? AND ? AND counts AND points IS NOT NULL"
    f" AND role <> {NAMED}"
    " AND player NOT IN (SELECT player FROM strikers WHERE season = ? AND competition = ?)"
    " ORDER BY id"
)


def _kept_performances(rows: Collection[_Struck], added_up: Tally) -> list[Performance]:
    """In the order of `performances`."""
    if added_up.date is None:
        return []
    if len({row[1] for row in rows}) < len(rows):
        found: dict[tuple[str, int, bool], _Struck] = {}
        for row in rows:
            before = found.setdefault(row[1:4], row)
            if before is not row and not row[3]:
                found[row[1:4]] = (
                    *row[:4], before[4] + row[4], (before[5] or 0) + (row[5] or 0),
                    both_lists(before[6], row[6]), higher(before[7], row[7]),
                    (before[8] or 0) + (row[8] or 0), before[9],
                )  # fmt: skip
        rows = found.values()
    sheet, date = added_up.sheet, added_up.date
    teams = added_up.home.team or "", added_up.away.team or ""
    together: list[Performance] = [
        _new(Performance, (sheet, date, player, teams[away], *figures))
        for _, player, away, _, *figures in rows
    ]
    together.sort(key=itemgetter(2))
    together.sort(key=itemgetter(4), reverse=True)
    return together


def mark_played_out(connection: Connection, archive_of: Callable[[Sequence[int]], Archive]) -> None:
    """Once a later season has a match that counts, a season is over: what was put off without a
    new day was never made up, and a competition whose number of matches nobody knows is played
    out, unless a sheet of it is a draft or has errors."""
    (last,) = connection.execute(
        "SELECT coalesce(max(season), 0) FROM competitions WHERE played"
    ).fetchone()
    now_other = connection.execute(
        "SELECT season, competition FROM competitions AS c WHERE over <> (season < ?) AND EXISTS"
        " (SELECT 1 FROM matches AS m WHERE m.season = c.season AND m.competition = c.competition"
        " AND m.outcome = 'postponed' AND m.moved_to IS NULL)",
        (last,),
    ).fetchall()
    for table in OF_COMPETITIONS:
        connection.executemany(
            f"DELETE FROM {table} WHERE season = ? AND competition = ?", now_other
        )
    years = sorted({year for year, _ in now_other})
    for year in years:
        _fill_competitions(connection, archive_of(years), year, is_over=year < last)
    connection.execute(
        "UPDATE competitions SET over = NOT over WHERE over <> (season < ?)", (last,)
    )
    connection.execute(
        "UPDATE competitions AS c SET complete = c.played > 0 AND c.over AND NOT EXISTS (SELECT 1"
        " FROM matches AS m WHERE m.season = c.season AND m.competition = c.competition AND"
        " m.draft) AND NOT EXISTS (SELECT 1 FROM left_out AS l WHERE l.season = c.season AND"
        " coalesce(l.competition, c.competition) = c.competition) WHERE c.planned IS NULL"
    )


def fill_register(connection: Connection, register: Register) -> None:
    for table in _OF_THE_REGISTER:
        connection.execute(f"DELETE FROM {table}")
    players = register.players.values()
    clubs = register.clubs.values()
    rows: Mapping[str, Iterable[tuple[Any, ...]]] = {
        "players": (
            (player.id, player.name, player.born, *(player.current_club or (None, None)))
            for player in players
        ),
        "player_classes": (
            (player.id, listed) for player in players for listed in dict.fromkeys(player.classes)
        ),
        "spellings": ((player.id, name) for player in players for name in player.also_written),
        "parents": (
            (player.id, parent) for player in players for parent in dict.fromkeys(player.parents)
        ),
        "clubs": ((club.id, club.name, club.founded, club.ground) for club in clubs),
        "former_names": (
            (club.id, former.name, former.until) for club in clubs for former in club.formerly
        ),
        "mergers": ((club.id, merged) for club in clubs for merged in club.merged_from),
        "teams": (
            (team, club.id, name)
            for club in clubs
            for team, (_, name) in zip(club.team_ids(), club.teams, strict=True)
        ),
    }
    for table, of_table in rows.items():
        insert_rows(connection, table, of_table)


# A file's name may be no text at all: it is told as near as can be.
def _as_text(name: str) -> str:
    return name.encode("utf-8", "replace").decode("utf-8")
