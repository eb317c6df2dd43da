"""A small club folder without a single problem, laid out for one test, and edits to it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import ClubFolder, open_folder
from riesbuch.index.index import Index
from riesbuch.judge.examination import judge, season_sheets
from riesbuch.review.signatures import signature_problems
from riesbuch.trade.problems import Problem

LEAGUE = "league.toml"
RULES = "rules/2026.toml"
AARWALD = "clubs/aarwald.yaml"
BIRKENFLUH = "clubs/birkenfluh.yaml"
LENA = "players/zaugg-lena.yaml"
RUEDI = "players/aebi-ruedi.yaml"
HANS = "players/aebi-hans.yaml"
SEASON = "seasons/2026/season.toml"
FIXTURES = "seasons/2026/fixtures.toml"
MATCHES = "seasons/2026/matches"
FIRST = f"{MATCHES}/2026-04-12-aarwald-a-birkenfluh-a.yaml"
SECOND = f"{MATCHES}/2026-05-10-birkenfluh-a-aarwald-a.yaml"

FIRST_SHEET = """\
competition: oberhang-1
round: 1
date: 2026-04-12

home:
  team: aarwald-a
  captain: aebi-ruedi
  strikes:
    aebi-ruedi: [[18, 20], [17, 19]]
    bigler-jonas: [[15, 0], [16N, 14]]
away:
  team: birkenfluh-a
  strikes:
    kipfer-urs: [[14, 9], [12, 16]]
    sahli-rosa: [[8, 13], [11, 10]]
"""

SECOND_SHEET = """\
competition: oberhang-1
round: 2
date: 2026-05-10

home:
  team: birkenfluh-a
  ries: [24, 21, 22, 20]
  nummern: 0
away:
  team: aarwald-a
  points: 90
  nummern: 1
"""

CLUB_FOLDER: Mapping[str, str] = {
    LEAGUE: 'name = "Oberhang League"\n',
    RULES: """\
name = "Two a side"
team_size = 2
nummer_zone = {from = 1, to = 18}
""",
    AARWALD: """\
name: Aarwald
founded: 1911
teams: {a: Aarwald A, b: Aarwald B}
""",
    BIRKENFLUH: """\
name: Birkenfluh
teams:
  a: Birkenfluh A
  b: Birkenfluh B
""",
    HANS: "name: Hans Aebi\n",
    RUEDI: """\
name: Ruedi Aebi
born: 1961
clubs: [{club: aarwald, from: 1979}]
parents: [aebi-hans]
""",
    "players/bigler-jonas.yaml": "name: Jonas Bigler\n",
    "players/kipfer-urs.yaml": "name: Urs Kipfer\n",
    "players/sahli-rosa.yaml": "name: Rosa Sahli\n",
    LENA: "name: Lena Zaugg\n",
    SEASON: """\
season = 2026

[[competition]]
id = "oberhang-1"
name = "Oberhang League, first division"
kind = "league"
rules = "2026"
teams = ["aarwald-a", "aarwald-b", "birkenfluh-a"]
cycles = 2

[[competition]]
id = "oberhang-cup"
name = "Oberhang Cup"
kind = "cup"
rules = "2026"
""",
    FIXTURES: """\
[[fixture]]
competition = "oberhang-1"
round = 1
date = 2026-04-12
home = "aarwald-a"
away = "birkenfluh-a"

[[fixture]]
competition = "oberhang-1"
round = 2
date = 2026-05-10
home = "birkenfluh-a"
away = "aarwald-a"
""",
    FIRST: FIRST_SHEET,
    SECOND: SECOND_SHEET,
}


class Edit(Protocol):
    """A change to the folder at ``root``."""

    def apply(self, root: Path) -> None: ...


@dataclass(frozen=True)
class Replace:
    """``old`` must stand in the file exactly once."""

    path: str
    old: str
    new: str

    def apply(self, root: Path) -> None:
        text = (root / self.path).read_text(encoding="utf-8")
        assert text.count(self.old) == 1, f"{self.old!r} stands {text.count(self.old)} times"
        _write(root / self.path, text.replace(self.old, self.new))


@dataclass(frozen=True)
class Write:
    path: str
    content: str | bytes

    def apply(self, root: Path) -> None:
        _write(root / self.path, self.content)


@dataclass(frozen=True)
class Delete:
    path: str

    def apply(self, root: Path) -> None:
        (root / self.path).unlink()


@dataclass(frozen=True)
class MakeFolder:
    path: str

    def apply(self, root: Path) -> None:
        (root / self.path).mkdir(parents=True)


@dataclass(frozen=True)
class Link:
    """A symbolic link in place of what may stand at ``path``, to ``to`` as it is written."""

    path: str
    to: str

    def apply(self, root: Path) -> None:
        (root / self.path).parent.mkdir(parents=True, exist_ok=True)
        (root / self.path).unlink(missing_ok=True)
        (root / self.path).symlink_to(self.to)


def _write(path: Path, content: str | bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)


def lay_out(root: Path, edits: Sequence[Edit] = ()) -> ClubFolder:
    """Write the club folder to ``root`` and make ``edits`` to it."""
    for path, text in CLUB_FOLDER.items():
        _write(root / path, text)
    for edit in edits:
        edit.apply(root)
    return open_folder(root)


def problems_of(folder: ClubFolder) -> list[Problem]:
    """Everything that is wrong in ``folder``, as a check of the whole of it finds."""
    archive = open_archive(folder)
    judged = judge(archive, season_sheets(archive, folder.years()))
    sheets = [path for year in folder.years() for path in folder.sheet_files(year)]
    signed = any(
        b"signatures" in (folder.content(path) or b"") for path in (folder.league_file, *sheets)
    )
    if not archive.handed_down and not signed:
        return judged
    # What is handed down is held against the sheets where these are added up.
    index = Index(folder, lambda sentence: None)
    try:
        found = index.problems()[1]
        of_signatures, note = signature_problems(folder, index, folder.years())
    finally:
        index.close()
    differing = [each for each in found if each.code == "handed-down-differs"]
    assert sorted([*judged, *differing], key=lambda each: each.sort_key) == found
    assert note is None
    return sorted([*found, *of_signatures], key=lambda each: each.sort_key)
