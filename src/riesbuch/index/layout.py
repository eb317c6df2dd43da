"""The tables of the index, and what of them can be asked of."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

MATCHES_A_SEASON = 1_000_000
"""So many numbers there are for the sheets of a season, beginning with the year times as many."""
ROWS_A_MATCH = 1_000_000
"""So many numbers there are for the rows of individuals in a sheet, as of its own number. That the
number of a row lies among them is said twice, so that either is soon found by the other."""

LAYOUT = f"""
CREATE TABLE reading (signature BLOB NOT NULL);
CREATE TABLE files (
    path BLOB PRIMARY KEY, size INTEGER, modified INTEGER, changed INTEGER, inode INTEGER,
    digest BLOB NOT NULL
) WITHOUT ROWID;
CREATE TABLE listings (
    directory BLOB PRIMARY KEY, looks BLOB NOT NULL, digest BLOB NOT NULL
) WITHOUT ROWID;
CREATE TABLE results (
    kind TEXT PRIMARY KEY, basis BLOB NOT NULL, payload TEXT NOT NULL, seal BLOB NOT NULL
);
CREATE TABLE seasons (
    season INTEGER PRIMARY KEY, basis BLOB NOT NULL, sheets INTEGER NOT NULL,
    problems TEXT NOT NULL, seal BLOB NOT NULL, filled INTEGER NOT NULL,
    surroundings BLOB NOT NULL, of_tables BLOB NOT NULL, beside_basis BLOB NOT NULL,
    beside TEXT NOT NULL, entries BLOB NOT NULL, seal_beside BLOB NOT NULL
);
CREATE TABLE waiting_rows (season INTEGER PRIMARY KEY, rows BLOB NOT NULL);
CREATE TABLE read_sheets (
    season INTEGER NOT NULL, path BLOB NOT NULL, basis BLOB NOT NULL, errors INTEGER NOT NULL,
    competition TEXT, number INTEGER NOT NULL, seal TEXT, PRIMARY KEY (season, path)
) WITHOUT ROWID;
CREATE TABLE matches (
    sheet TEXT PRIMARY KEY, path TEXT NOT NULL, season INTEGER NOT NULL, competition TEXT,
    kind TEXT, round INTEGER, date TEXT, outcome TEXT NOT NULL, home TEXT, away TEXT, winner TEXT,
    decided_by TEXT, draft INTEGER NOT NULL, counts INTEGER NOT NULL, errors INTEGER NOT NULL,
    kept_out INTEGER NOT NULL, ground TEXT, weather TEXT, notes TEXT, source TEXT, reference TEXT,
    moved_to TEXT, part TEXT, transcribed_by TEXT, referees TEXT, doubts TEXT
);
CREATE INDEX matches_by_season ON matches (season);
CREATE INDEX matches_by_home ON matches (home);
CREATE INDEX matches_by_away ON matches (away);
CREATE TABLE sides (
    sheet TEXT NOT NULL, side TEXT NOT NULL, season INTEGER NOT NULL, team TEXT, opponent TEXT,
    depth TEXT NOT NULL, points INTEGER, nummern INTEGER, rank_points INTEGER, result TEXT,
    best_ries INTEGER, ries TEXT, PRIMARY KEY (season, sheet, side)
) WITHOUT ROWID;
CREATE INDEX sides_by_team ON sides (team);
CREATE TABLE player_rows (
    id INTEGER PRIMARY KEY, player TEXT NOT NULL, away INTEGER NOT NULL, role INTEGER NOT NULL,
    strikes TEXT, per_inning INTEGER, struck INTEGER, points INTEGER, nummern INTEGER,
    best_strike INTEGER, squares INTEGER, rank_points INTEGER, counts INTEGER NOT NULL
);
CREATE INDEX player_rows_by_player ON player_rows (player);
CREATE INDEX player_rows_named ON player_rows (role) WHERE role = 3;
CREATE VIEW player_matches AS
    SELECT m.sheet, CASE r.away WHEN 0 THEN 'home' ELSE 'away' END AS side,
        r.id % {ROWS_A_MATCH} AS seat, m.season,
        m.competition, m.date, CASE r.away WHEN 0 THEN m.home ELSE m.away END AS team, r.player,
        CASE r.role WHEN 0 THEN 'team' WHEN 1 THEN 'supernumerary' WHEN 2 THEN 'points'
            ELSE 'named' END AS role,
        r.strikes, r.per_inning, r.struck, r.points, r.nummern, r.best_strike, r.rank_points,
        r.counts
    FROM player_rows AS r LEFT JOIN matches AS m ON m.rowid = r.id / {ROWS_A_MATCH}
        AND r.id >= m.rowid * {ROWS_A_MATCH} AND r.id < m.rowid * {ROWS_A_MATCH} + {ROWS_A_MATCH};
CREATE VIEW named_players AS
    SELECT m.sheet, m.season, m.competition, m.date, CASE r.away WHEN 0 THEN m.home ELSE m.away
        END AS team, CASE r.away WHEN 0 THEN m.away ELSE m.home END AS opponent, r.player,
        r.points, coalesce(m.source, '') AS named_by
    FROM player_rows AS r CROSS JOIN matches AS m ON m.rowid = r.id / {ROWS_A_MATCH}
    WHERE r.role = 3 AND r.counts;
CREATE TABLE standings (
    season INTEGER NOT NULL, competition TEXT NOT NULL, rank INTEGER NOT NULL, team TEXT NOT NULL,
    played INTEGER NOT NULL, won INTEGER NOT NULL, drawn INTEGER NOT NULL, lost INTEGER NOT NULL,
    nummern INTEGER NOT NULL, points INTEGER NOT NULL, rank_points INTEGER NOT NULL,
    nummern_unknown INTEGER NOT NULL, points_unknown INTEGER NOT NULL, ruled INTEGER NOT NULL,
    first_for_sure INTEGER NOT NULL, up_for_sure INTEGER NOT NULL, down_for_sure INTEGER NOT NULL,
    PRIMARY KEY (season, competition, team)
) WITHOUT ROWID;
CREATE TABLE strikers (
    season INTEGER NOT NULL, competition TEXT NOT NULL, rank INTEGER NOT NULL,
    player TEXT NOT NULL, team TEXT NOT NULL, matches INTEGER NOT NULL, strikes INTEGER NOT NULL,
    points INTEGER NOT NULL, struck_points INTEGER NOT NULL, best INTEGER NOT NULL,
    rank_points INTEGER NOT NULL, best_strike INTEGER, squares INTEGER NOT NULL,
    PRIMARY KEY (season, competition, player)
) WITHOUT ROWID;
CREATE INDEX strikers_by_player ON strikers (player, matches, points, best_strike);
CREATE INDEX strikers_first ON strikers (season, competition, player) WHERE rank = 1;
CREATE INDEX strikers_by_best ON strikers (best, team);
CREATE TABLE class_strikers (
    season INTEGER NOT NULL, competition TEXT NOT NULL, class TEXT NOT NULL, name TEXT NOT NULL,
    rank INTEGER NOT NULL, player TEXT NOT NULL, number INTEGER NOT NULL,
    PRIMARY KEY (season, competition, class, player)
) WITHOUT ROWID;
CREATE INDEX class_strikers_by_player ON class_strikers (player);
CREATE TABLE awards (
    season INTEGER NOT NULL, competition TEXT NOT NULL, number INTEGER NOT NULL,
    award TEXT NOT NULL, class TEXT, player TEXT, team TEXT
);
CREATE INDEX awards_by_competition ON awards (season, competition, number);
CREATE INDEX awards_by_player ON awards (player) WHERE player IS NOT NULL;
CREATE TABLE team_seasons (
    season INTEGER NOT NULL, competition TEXT NOT NULL, team TEXT NOT NULL,
    matches INTEGER NOT NULL, counted INTEGER NOT NULL, whole INTEGER NOT NULL,
    struck INTEGER NOT NULL, individuals INTEGER NOT NULL, by_strikes INTEGER NOT NULL,
    points_known INTEGER NOT NULL,
    points INTEGER, best_ries_known INTEGER NOT NULL, best_ries INTEGER,
    nummern_known INTEGER NOT NULL, nummern INTEGER, level_known INTEGER NOT NULL,
    least_between INTEGER, most_between INTEGER, results TEXT NOT NULL, clean TEXT NOT NULL,
    PRIMARY KEY (season, competition, team)
) WITHOUT ROWID;
CREATE TABLE competitions (
    season INTEGER NOT NULL, competition TEXT NOT NULL, name TEXT NOT NULL, kind TEXT NOT NULL,
    rules TEXT NOT NULL, teams INTEGER NOT NULL, planned INTEGER, played INTEGER NOT NULL,
    missing INTEGER NOT NULL, complete INTEGER NOT NULL, promoted INTEGER NOT NULL,
    relegated INTEGER NOT NULL, over INTEGER NOT NULL, promotion_note TEXT, relegation_note TEXT,
    lost_rulings INTEGER NOT NULL, by_figures INTEGER NOT NULL,
    PRIMARY KEY (season, competition)
) WITHOUT ROWID;
CREATE TABLE rulings (
    season INTEGER NOT NULL, competition TEXT NOT NULL, number INTEGER NOT NULL,
    date TEXT NOT NULL, ruled_by TEXT, team TEXT NOT NULL, rank_points INTEGER NOT NULL,
    nummern INTEGER NOT NULL, points INTEGER NOT NULL, reason TEXT NOT NULL,
    PRIMARY KEY (season, competition, number)
) WITHOUT ROWID;
CREATE TABLE left_out (
    season INTEGER NOT NULL, path TEXT NOT NULL, competition TEXT, PRIMARY KEY (season, path)
) WITHOUT ROWID;
CREATE TABLE handed_down_competitions (
    season INTEGER NOT NULL, competition TEXT NOT NULL, given_name TEXT, given_kind TEXT,
    name TEXT, kind TEXT, PRIMARY KEY (season, competition)
) WITHOUT ROWID;
CREATE TABLE handed_down_team_rows (
    season INTEGER NOT NULL, competition TEXT NOT NULL, rank INTEGER, team TEXT, team_name TEXT,
    played INTEGER, won INTEGER, drawn INTEGER, lost INTEGER, nummern INTEGER, points INTEGER,
    rank_points INTEGER, source TEXT, reference TEXT
);
CREATE TABLE handed_down_striker_rows (
    season INTEGER NOT NULL, competition TEXT NOT NULL, rank INTEGER, player TEXT,
    player_name TEXT, team TEXT, team_name TEXT, matches INTEGER, strikes INTEGER, points INTEGER,
    best INTEGER, rank_points INTEGER, source TEXT, reference TEXT
);
CREATE TABLE handed_down_honour_rows (
    season INTEGER NOT NULL, competition TEXT NOT NULL, what TEXT NOT NULL, award TEXT, team TEXT,
    player TEXT, holder TEXT, source TEXT, reference TEXT
);
CREATE VIEW handed_down_standings AS
    SELECT r.season, r.competition, c.name, c.kind, r.rank, r.team, r.team_name, r.played, r.won,
        r.drawn, r.lost, r.nummern, r.points, r.rank_points, r.source, r.reference
    FROM handed_down_team_rows AS r JOIN handed_down_competitions AS c USING (season, competition);
CREATE VIEW handed_down_strikers AS
    SELECT r.season, r.competition, c.name, c.kind, r.rank, r.player, r.player_name, r.team,
        r.team_name, r.matches, r.strikes, r.points, r.best, r.rank_points, r.source, r.reference
    FROM handed_down_striker_rows AS r
        JOIN handed_down_competitions AS c USING (season, competition);
CREATE VIEW handed_down_honours AS
    SELECT r.season, r.competition, c.name, c.kind, r.what, r.award, r.team, r.player, r.holder,
        r.source, r.reference
    FROM handed_down_honour_rows AS r
        JOIN handed_down_competitions AS c USING (season, competition);
CREATE VIEW titles AS
    WITH struck (season, competition, what, team, player) AS (
        SELECT season, competition, place.what, team, NULL
        FROM standings JOIN competitions AS c USING (season, competition)
            JOIN (SELECT 'champion' AS what UNION ALL SELECT 'runner-up' UNION ALL
                SELECT 'promoted' UNION ALL SELECT 'relegated') AS place
        WHERE (c.complete OR c.planned IS NOT NULL OR CASE place.what
                WHEN 'promoted' THEN c.promotion_note WHEN 'relegated' THEN c.relegation_note END
            IS NOT NULL) AND CASE place.what
            WHEN 'champion' THEN first_for_sure AND c.kind IN ('league', 'festival')
            WHEN 'promoted' THEN up_for_sure AND c.kind = 'league'
            WHEN 'relegated' THEN down_for_sure AND c.kind = 'league'
            ELSE c.complete AND rank = 2 AND c.kind IN ('league', 'festival') AND NOT EXISTS (
                SELECT 1 FROM standings AS o WHERE o.season = standings.season
                AND o.competition = standings.competition
                AND (o.nummern_unknown OR o.points_unknown))
            END
        UNION ALL
        SELECT m.season, m.competition, 'champion',
            CASE m.winner WHEN 'home' THEN m.home ELSE m.away END, NULL
        FROM matches AS m JOIN competitions AS c USING (season, competition)
        WHERE c.complete AND c.kind = 'cup' AND m.counts AND m.winner IN ('home', 'away')
            AND NOT EXISTS (SELECT 1 FROM matches AS o WHERE o.season = m.season
                AND o.competition = m.competition AND o.sheet <> m.sheet
                AND o.outcome NOT IN ('postponed', 'annulled') AND (o.round >= m.round))
            AND m.round IS NOT NULL
        UNION ALL
        SELECT season, competition, 'best-striker', NULL, player
        FROM strikers JOIN competitions AS c USING (season, competition)
        WHERE c.complete AND c.kind <> 'friendly' AND rank = 1
    ), told (season, competition, what, award, team, player, holder, source, reference) AS (
        SELECT season, competition, what, award, team, player, holder, source, reference
        FROM handed_down_honour_rows
        UNION
        SELECT season, competition, place, NULL, team, player, name, source, reference
        FROM (
            SELECT season, competition, CASE rank WHEN 1 THEN 'champion' ELSE 'runner-up' END
                AS place, team, NULL AS player, team_name AS name, source, reference
            FROM handed_down_team_rows WHERE rank IN (1, 2)
            UNION ALL
            SELECT season, competition, 'best-striker', NULL, player, player_name, source,
                reference
            FROM handed_down_striker_rows WHERE rank = 1
        ) AS t
        WHERE NOT EXISTS (SELECT 1 FROM handed_down_honour_rows AS h WHERE h.season = t.season
            AND h.competition = t.competition AND h.what = t.place)
    )
    SELECT s.season, s.competition, c.name, c.kind, s.what, NULL AS award, s.team, s.player,
        NULL AS holder, CASE WHEN c.complete THEN 'played' ELSE 'certain' END AS decided,
        NULL AS source, NULL AS reference
    FROM struck AS s JOIN competitions AS c USING (season, competition)
    UNION ALL
    SELECT a.season, a.competition, c.name, c.kind, 'award', a.award, a.team, a.player, NULL,
        'played', NULL, NULL
    FROM awards AS a JOIN competitions AS c USING (season, competition) WHERE c.complete
    UNION ALL
    SELECT t.season, t.competition, c.name, c.kind, t.what, t.award, t.team, t.player, t.holder,
        'handed-down', t.source, t.reference
    FROM told AS t JOIN handed_down_competitions AS c USING (season, competition)
    WHERE CASE t.what WHEN 'award' THEN NOT EXISTS (SELECT 1 FROM awards AS a JOIN competitions
        AS o USING (season, competition) WHERE o.complete AND a.season = t.season AND
        a.competition = t.competition AND a.award = t.award AND a.class IS NULL AND
        (a.team IS NULL) = (t.team IS NULL))
    ELSE NOT EXISTS (SELECT 1 FROM struck AS s WHERE s.season = t.season
        AND s.competition = t.competition AND s.what = t.what) END;
CREATE TABLE training_rows (
    season INTEGER NOT NULL, date TEXT NOT NULL, club TEXT NOT NULL, player TEXT NOT NULL,
    strikes TEXT NOT NULL, PRIMARY KEY (season, date, club, player)
) WITHOUT ROWID;
CREATE VIEW trainings AS
    SELECT season, date, club, player, json_array_length(strikes) AS strikes
    FROM training_rows;
CREATE VIEW training_strikes AS
    SELECT r.season, r.date, r.club, r.player, each.key + 1 AS number, each.value AS points
    FROM training_rows AS r, json_each(r.strikes) AS each;
CREATE TABLE players (
    player TEXT PRIMARY KEY, name TEXT NOT NULL, born INTEGER, club TEXT, since INTEGER
) WITHOUT ROWID;
CREATE TABLE player_classes (
    player TEXT NOT NULL, class TEXT NOT NULL, PRIMARY KEY (player, class)
) WITHOUT ROWID;
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
"""From `matches` on, but for `player_rows`, `named_players`, `team_seasons` and what views of
handed-down rows are made of, names and columns are a contract with whoever asks in SQL; the guide's
page `asking` lists them. Dates are texts like 2026-05-10, yes and no are 1 and 0, unknown is NULL.
Of a season whose rows wait in `waiting_rows` there is nothing in these tables."""


def row_ids(number: int, matches: int = 1) -> tuple[int, int]:
    """The first and last there may be of the rows of individuals in so many matches."""
    return number * ROWS_A_MATCH, (number + matches) * ROWS_A_MATCH - 1


def runs_of(numbers: Sequence[int]) -> Iterator[tuple[int, int]]:
    """The first of each run of ascending numbers of matches, and how many it spans. A statement for
    each number takes as long again as its rows; and in a federation a competition's matches lie
    scattered among those of forty others, whose rows are not to be gone through for it."""
    steps = enumerate(pairwise(numbers), 1)
    begins = [0, *(at for at, (before, number) in steps if number - before > _NEAR)]
    for begin, end in zip(begins, [*begins[1:], len(numbers)], strict=True):
        if begin < end:
            yield numbers[begin], numbers[end - 1] + 1 - numbers[begin]


_NEAR = 3
