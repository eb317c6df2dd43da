"""A club folder whose sheets name players in every way a sheet can, and how to look at it."""

from collections.abc import Mapping
from pathlib import Path

from riesbuch.care.player_renaming import PlannedChange, plan_rename
from riesbuch.folder.archive import open_archive, read_register
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.examination import judge, season_sheets
from riesbuch.trade.names import find_player
from riesbuch.trade.people import Register
from tests.clubfolder import MATCHES, Edit, Write, lay_out
from tests.without_index import competition_results

MANIFOLD = f"{MATCHES}/2026-06-07-aarwald-a-birkenfluh-a.yaml"
BY_POINTS = f"{MATCHES}/2026-06-14-birkenfluh-b-aarwald-a.yaml"
NADJA = "players/aebi-nadja.yaml"

MANIFOLD_SHEET = """\
# typed by aebi-ruedi
competition: oberhang-cup
date: 2026-06-07
notes: aebi-ruedi was late

home:
  team: aarwald-a
  captain: 'aebi-ruedi'   # as ever
  strikes:
    "aebi-ruedi":   [[18, 20], [17, x]]  # aebi-ruedi
    bigler-jonas: [[ 15,0 ], [16N,
        14]]
  replacements:
    - {by: "aebi-ruedi", strikes: [[x, x], [x, 13]]}
    - by: bigler-jonas
      strikes: [[x, x], [x, x]]
away:
  team: birkenfluh-a
  strikes: {kipfer-urs: [[14, 9], [12, 16]], sahli-rosa: [[8, 13], [11, 10]]}
  supernumeraries:
    zaugg-lena: [[11, 12], [9, 14]]
doubts:
  - {at: home.strikes.aebi-ruedi.1.2, note: 20 or 26}
  - at: away.supernumeraries.zaugg-lena.2.1   # who?
    note: faint
"""
BY_POINTS_SHEET = """\
competition: oberhang-cup
date: 2026-06-14
home: {team: birkenfluh-b, points: 912, named: {sahli-rosa: 51, kipfer-urs: 40}, nummern: 0}
away:
  team: aarwald-a
  captain: bigler-jonas
  player_points:
    aebi-ruedi:    74
    bigler-jonas:  60
  nummern: 1
"""
NADJA_FILE = """\
name: Nadja Aebi
parents:   # of aebi-ruedi's line
- "aebi-ruedi"
- zaugg-lena
"""


def roster_folder(root: Path, *edits: Edit) -> ClubFolder:
    crlf = BY_POINTS_SHEET.replace("\n", "\r\n")
    return lay_out(
        root,
        [
            Write(MANIFOLD, MANIFOLD_SHEET),
            Write(BY_POINTS, f"\ufeff{crlf}"),
            Write(NADJA, NADJA_FILE),
            *edits,
        ],
    )


def bytes_of(folder: ClubFolder) -> dict[str, bytes]:
    """All files of the folder, hidden ones too, by path."""
    return {
        path.relative_to(folder.root).as_posix(): path.read_bytes()
        for path in sorted(folder.root.rglob("*"))
        if path.is_file()
    }


def register_of(folder: ClubFolder) -> Register:
    return read_register(folder).register


def rename(folder: ClubFolder, old: str, new: str) -> PlannedChange:
    planned = plan_rename(folder, find_player(register_of(folder), old), new)
    planned.carry_out()
    return planned


def tables_of(folder: ClubFolder, called: Mapping[str, str] | None = None) -> object:
    """All that can be computed of the folder and names players, those in ``called`` by the other
    name, and in an order in which identifiers play no part."""
    called = called or {}
    archive = open_archive(folder)
    tables = []
    for year in folder.years():
        sheets = season_sheets(archive, [year])
        problems = judge(archive, sheets)
        season = archive.seasons.get(year)
        for competition in season.competitions if season else ():
            rules = archive.rules_of(competition)
            assert rules is not None
            results = competition_results(archive, year, competition, rules, sheets, problems)
            strikers = [
                (each.rank, called.get(each.player, each.player), each.team, each.matches,
                 each.strikes, each.points, each.best, each.rank_points)
                for each in results.strikers
            ]  # fmt: skip
            tables.append((year, competition.id, results.left_out, results.standings,
                           [each.tally for each in results.matches], sorted(strikers)))  # fmt: skip
    families = sorted(
        (called.get(each.id, each.id), [called.get(parent, parent) for parent in each.parents])
        for each in archive.register.players.values()
    )
    return tables, families
