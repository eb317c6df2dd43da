"""The tables that questions are asked of, filled season by season from what is kept.

Their names and columns are a contract with whoever asks in SQL; the guide's page `asking` lists
them. Dates are texts like 2026-05-10, yes and no are 1 and 0, unknown is NULL.
"""

LAYOUT = """
CREATE TABLE filled (scope TEXT PRIMARY KEY, basis BLOB NOT NULL) WITHOUT ROWID;
CREATE TABLE filled_sheets (
    season INTEGER NOT NULL, path BLOB NOT NULL, basis BLOB NOT NULL, errors INTEGER NOT NULL,
    competition TEXT, PRIMARY KEY (season, path)
) WITHOUT ROWID;
CREATE TABLE filled_seasons (season INTEGER PRIMARY KEY, surroundings BLOB NOT NULL);
CREATE TABLE matches (
    sheet TEXT PRIMARY KEY, path TEXT NOT NULL, season INTEGER NOT NULL, competition TEXT,
    kind TEXT, round INTEGER, date TEXT, outcome TEXT NOT NULL, home TEXT, away TEXT, winner TEXT,
    decided_by TEXT, draft INTEGER NOT NULL, counts INTEGER NOT NULL, errors INTEGER NOT NULL,
    kept_out INTEGER NOT NULL, ground TEXT, weather TEXT, notes TEXT, source TEXT, reference TEXT
) WITHOUT ROWID;
CREATE INDEX matches_by_season ON matches (season);
CREATE INDEX matches_by_home ON matches (home);
CREATE INDEX matches_by_away ON matches (away);
CREATE TABLE sides (
    sheet TEXT NOT NULL, side TEXT NOT NULL, season INTEGER NOT NULL, team TEXT, opponent TEXT,
    depth TEXT NOT NULL, points INTEGER, nummern INTEGER, rank_points INTEGER, result TEXT,
    best_ries INTEGER, ries TEXT, PRIMARY KEY (season, sheet, side)
) WITHOUT ROWID;
CREATE TABLE player_matches (
    sheet TEXT NOT NULL, side TEXT NOT NULL, seat INTEGER NOT NULL, season INTEGER NOT NULL,
    competition TEXT, date TEXT, team TEXT, player TEXT NOT NULL, role TEXT NOT NULL,
    strikes TEXT, per_inning INTEGER, struck INTEGER, points INTEGER, nummern INTEGER,
    best_strike INTEGER, rank_points INTEGER, counts INTEGER NOT NULL,
    PRIMARY KEY (season, sheet, side, seat)
) WITHOUT ROWID;
CREATE INDEX sides_by_team ON sides (team);
CREATE INDEX player_matches_by_player ON player_matches (player);
CREATE TABLE standings (
    season INTEGER NOT NULL, competition TEXT NOT NULL, rank INTEGER NOT NULL, team TEXT NOT NULL,
    played INTEGER NOT NULL, won INTEGER NOT NULL, drawn INTEGER NOT NULL, lost INTEGER NOT NULL,
    nummern INTEGER NOT NULL, points INTEGER NOT NULL, rank_points INTEGER NOT NULL,
    nummern_unknown INTEGER NOT NULL, points_unknown INTEGER NOT NULL,
    first_for_sure INTEGER NOT NULL, up_for_sure INTEGER NOT NULL, down_for_sure INTEGER NOT NULL,
    PRIMARY KEY (season, competition, team)
) WITHOUT ROWID;
CREATE TABLE strikers (
    season INTEGER NOT NULL, competition TEXT NOT NULL, rank INTEGER NOT NULL,
    player TEXT NOT NULL, team TEXT NOT NULL, matches INTEGER NOT NULL, strikes INTEGER NOT NULL,
    points INTEGER NOT NULL, struck_points INTEGER NOT NULL, best INTEGER NOT NULL,
    rank_points INTEGER NOT NULL, PRIMARY KEY (season, competition, player)
) WITHOUT ROWID;
CREATE INDEX strikers_by_player ON strikers (player);
CREATE TABLE competitions (
    season INTEGER NOT NULL, competition TEXT NOT NULL, name TEXT NOT NULL, kind TEXT NOT NULL,
    rules TEXT NOT NULL, teams INTEGER NOT NULL, planned INTEGER, played INTEGER NOT NULL,
    complete INTEGER NOT NULL, promoted INTEGER NOT NULL, relegated INTEGER NOT NULL,
    PRIMARY KEY (season, competition)
) WITHOUT ROWID;
CREATE TABLE left_out (
    season INTEGER NOT NULL, path TEXT NOT NULL, competition TEXT, PRIMARY KEY (season, path)
) WITHOUT ROWID;
CREATE TABLE players (player TEXT PRIMARY KEY, name TEXT NOT NULL, born INTEGER) WITHOUT ROWID;
CREATE TABLE spellings (player TEXT NOT NULL, name TEXT NOT NULL);
CREATE TABLE parents (
    player TEXT NOT NULL, parent TEXT NOT NULL, PRIMARY KEY (player, parent)
) WITHOUT ROWID;
CREATE TABLE clubs (
    club TEXT PRIMARY KEY, name TEXT NOT NULL, founded INTEGER, ground TEXT
) WITHOUT ROWID;
CREATE TABLE former_names (club TEXT NOT NULL, name TEXT NOT NULL, until INTEGER);
CREATE TABLE mergers (club TEXT NOT NULL, merged TEXT NOT NULL);
CREATE TABLE teams (team TEXT PRIMARY KEY, club TEXT NOT NULL, name TEXT NOT NULL) WITHOUT ROWID;
CREATE VIEW strikes AS
    SELECT p.sheet, p.season, p.competition, p.date, p.team, p.player, p.role, p.counts,
        each.key / p.per_inning + 1 AS inning, each.key % p.per_inning + 1 AS strike,
        each.value AS written,
        CASE WHEN each.value GLOB '[0-9]*' THEN CAST(rtrim(each.value, 'N') AS INTEGER) END
            AS points,
        each.value GLOB '*N' AS nummer
    FROM player_matches AS p, json_each(p.strikes) AS each;
"""

OF_SHEETS = ("filled_sheets", "matches", "sides", "player_matches", "left_out")
"""Each row of these is of one sheet."""

OF_COMPETITIONS = ("standings", "strikers", "competitions")
OF_A_SEASON = (*OF_SHEETS, *OF_COMPETITIONS, "filled_seasons")
OF_THE_REGISTER = (
    "players", "spellings", "parents", "clubs", "former_names", "mergers", "teams",
)  # fmt: skip
