"""After random edits to a folder, publishing gives the pages of publishing it anew.

``pytest tests/pages/test_publication_edits.py --edit-sequences 2000`` tries as many sequences;
without the option, a few.
"""

import random
import re
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.pages.test_publication import pages_anew, pages_there, published

SEQUENCE_LENGTH = 8
CLUBS = ("aarwald", "birkenfluh", "chaltbach")
TEAMS = ("aarwald-a", "aarwald-b", "birkenfluh-a", "chaltbach-a")
# Two teams have soon played out their league, and of a festival nobody says how much there is.
LEAGUE, FESTIVAL = "first", "second"
TEAMS_OF = {LEAGUE: ("aarwald-a", "birkenfluh-a"), FESTIVAL: TEAMS}
PLAYERS = {
    "aarwald-a": ("aebi-hans", "aebi-ruedi", "bigler-jonas"),
    "aarwald-b": ("zaugg-lena", "zaugg-max"),
    "birkenfluh-a": ("kipfer-urs", "sahli-rosa", "sahli-theo"),
    "chaltbach-a": ("wyss-anna", "wyss-emil"),
}
SPOILT = "spoilt"
EVERYBODY = tuple(player for players in PLAYERS.values() for player in players)


class Model:
    """What stands in the folder's files, and edits to it that leave errors in its sheets alone."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.language, self.league, self.minors = "en", "Oberhang", "full-name"
        self.ages = self.shows_players = True
        self.last_zone = 18
        self.kind = "festival"
        self.clubs = {club: {"name": club.title(), "founded": 1900} for club in CLUBS}
        self.merged: set[str] = set()
        self.grounds: dict[str, str] = {}
        self.team_names = {team: team.title() for team in TEAMS}
        self.names = {player: player.title() for player in EVERYBODY}
        self.born = {player: chance.choice((1950, 1980, 2010)) for player in EVERYBODY}
        self.private: set[str] = set()
        self.parents = {"aebi-ruedi": "aebi-hans", "sahli-theo": "sahli-rosa"}
        self.titles = {LEAGUE: "Division", FESTIVAL: "Festival"}
        self.years = {2023, 2024, 2025}
        self.planned: dict[int, int | None] = dict.fromkeys((2023, 2024, 2025, 2026))
        self.promoted = dict.fromkeys(self.planned, 1)
        self.fixture: dict[int, str] = {}
        self.told: dict[int, str] = {}
        self.sheets: dict[str, dict[str, str]] = {}
        for _ in range(5):
            self.add_a_sheet()
        self.edits: list[Callable[[], None]] = [
            self.add_a_sheet, self.add_a_sheet, self.add_a_sheet, self.remove_a_sheet,
            self.change_a_side, self.change_a_side, self.change_a_side, self.change_the_weather,
            self.change_a_source, self.change_the_outcome, self.change_the_day,
            self.change_the_competition, self.rename_a_club, self.rename_a_team,
            self.rename_a_player, self.change_a_birth_year, self.change_privacy,
            self.rename_a_competition, self.rename_the_league, self.change_the_language,
            self.change_the_minors, self.hide_or_show, self.change_the_rules, self.move_a_ground,
            self.merge_or_part, self.change_parents, self.begin_or_drop_a_season,
            self.change_what_is_planned, self.change_who_goes_up, self.change_fixtures,
            self.change_founding, self.keep_out_or_count, self.spoil_or_mend, self.spoil_or_mend,
            self.change_what_is_told, self.change_what_is_told, self.change_what_is_told,
            self.change_the_kind,
        ]  # fmt: skip

    def edit(self) -> str:
        edit = self.chance.choice(self.edits)
        edit()
        return edit.__name__

    def any_sheet(self) -> dict[str, str]:
        if not self.sheets:
            self.add_a_sheet()
        return self.sheets[self.chance.choice(sorted(self.sheets))]

    def any_day(self, year: int) -> str:
        """One of a few, so that something happened on the same day of another year."""
        return f"{year}-0{self.chance.randint(4, 6)}-{self.chance.choice((10, 12, 14))}"

    def add_a_sheet(self) -> None:
        year = self.chance.choice(sorted(self.years))
        competition = self.chance.choice((LEAGUE, FESTIVAL))
        home, away = self.chance.sample(TEAMS_OF[competition], 2)
        day = self.any_day(year)
        self.sheets[f"seasons/{year}/matches/{day}-{home}-{away}.yaml"] = {
            "competition": competition,
            "date": day,
            "home": self.side(home),
            "away": self.side(away),
        }

    def side(self, team: str) -> str:
        """Strike by strike, by players or by its totals, which are often level."""
        players = PLAYERS[team]
        depth = self.chance.choice(("strikes", "strikes", "players", "totals", "totals", "named"))
        if depth == "totals":
            points, nummern = self.chance.randint(60, 64), self.chance.choice((0, 0, 0, 1))
            return f"{{team: {team}, points: {points}, nummern: {nummern}}}"
        first, second = self.chance.sample(players, 2)
        if depth == "named":
            return f"{{team: {team}, points: 62, named: {{{first}: 3{self.chance.randint(0, 9)}}}}}"
        if depth == "players":
            points = f"{first}: {self.chance.randint(20, 40)}, {second}: 31"
            return f"{{team: {team}, player_points: {{{points}}}, nummern: 0}}"
        strikes = "".join(
            f"{player}: [{self.struck()}, {self.struck()}], " for player in (first, second)
        )
        return f"{{team: {team}, strikes: {{{strikes}}}}}"

    def struck(self) -> str:
        return f"[{self.chance.choice(('9', '15', '16', '11N', 'x'))}, {self.chance.randint(5, 9)}]"

    def remove_a_sheet(self) -> None:
        if self.sheets:
            del self.sheets[self.chance.choice(sorted(self.sheets))]

    def change_a_side(self) -> None:
        sheet, side = self.any_sheet(), self.chance.choice(("home", "away"))
        team = sheet[side].split(",")[0].removeprefix("{team: ").removesuffix("}")
        sheet[side] = self.side(team)
        if sheet.get("outcome"):
            del sheet["outcome"]
            sheet.pop("moved_to", None)

    def change_the_weather(self) -> None:
        self.any_sheet()["weather"] = f"odd {self.chance.randint(1, 9)}"

    def change_a_source(self) -> None:
        self.any_sheet()["source"] = self.chance.choice(
            ("{kind: newspaper}", "{kind: paper-sheet, reference: binder 3}")
        )

    def change_the_outcome(self) -> None:
        sheet = self.any_sheet()
        sheet["outcome"] = "postponed"
        if self.chance.random() < 0.7:
            sheet["moved_to"] = f"{sheet['date'][:4]}-10-0{self.chance.randint(1, 9)}"
        for side in ("home", "away"):
            sheet[side] = f"{sheet[side].split(',')[0].removesuffix('}')}}}"

    def keep_out_or_count(self) -> None:
        sheet = self.any_sheet()
        if sheet.pop("counts", None) is None:
            sheet["counts"] = "false"

    def spoil_or_mend(self) -> None:
        """An error that leaves the match known, one after which nothing can be read, or one by
        which nobody knows the competition."""
        sheet = self.any_sheet()
        if sheet.pop(SPOILT, None) is None:
            sheet[SPOILT] = self.chance.choice(("round: six", "notes: [", "competition: third"))

    def change_the_day(self) -> None:
        sheet = self.any_sheet()
        sheet["date"] = self.any_day(int(sheet["date"][:4]))

    def change_the_competition(self) -> None:
        sheet = self.any_sheet()
        if all(any(team in sheet[side] for team in TEAMS_OF[LEAGUE]) for side in ("home", "away")):
            sheet["competition"] = self.chance.choice((LEAGUE, FESTIVAL))

    def rename_a_club(self) -> None:
        club = self.chance.choice(CLUBS)
        self.clubs[club]["name"] = f"{club.title()} {self.chance.randint(1, 9)}"

    def rename_a_team(self) -> None:
        team = self.chance.choice(TEAMS)
        self.team_names[team] = f"{team.title()} {self.chance.randint(1, 9)}"

    def rename_a_player(self) -> None:
        player = self.chance.choice(EVERYBODY)
        self.names[player] = f"{player.title()} {self.chance.randint(1, 9)}"

    def change_a_birth_year(self) -> None:
        self.born[self.chance.choice(EVERYBODY)] = self.chance.choice((1950, 1980, 2010, 2013))

    def change_privacy(self) -> None:
        self.private ^= {self.chance.choice(EVERYBODY)}

    def rename_a_competition(self) -> None:
        key = self.chance.choice((LEAGUE, FESTIVAL))
        self.titles[key] = f"{key.title()} {self.chance.randint(1, 9)}"

    def change_the_kind(self) -> None:
        """Teams have pages in a cup, and none in a festival."""
        self.kind = "cup" if self.kind == "festival" else "festival"

    def rename_the_league(self) -> None:
        self.league = f"Oberhang {self.chance.randint(1, 9)}"

    def change_the_language(self) -> None:
        self.language = "de" if self.language == "en" else "en"

    def change_the_minors(self) -> None:
        self.minors = self.chance.choice(("full-name", "hidden"))

    def hide_or_show(self) -> None:
        if self.chance.random() < 0.5:
            self.ages = not self.ages
        else:
            self.shows_players = not self.shows_players

    def change_the_rules(self) -> None:
        self.last_zone = self.chance.choice((15, 18, 20))

    def move_a_ground(self) -> None:
        self.grounds[self.chance.choice(CLUBS)] = f"Field {self.chance.randint(1, 9)}"

    def merge_or_part(self) -> None:
        self.merged ^= {"chaltbach"}

    def change_parents(self) -> None:
        self.parents["wyss-emil"] = self.chance.choice(("wyss-anna", "aebi-hans"))

    def begin_or_drop_a_season(self) -> None:
        if self.chance.random() < 0.7:
            self.years.add(2026)
            return
        year = self.chance.choice(sorted(self.years))
        if len(self.years) > 1:
            self.years.remove(year)
            self.sheets = {
                path: sheet for path, sheet in self.sheets.items() if f"/{year}/" not in path
            }

    def change_what_is_planned(self) -> None:
        self.planned[self.chance.choice(sorted(self.years))] = self.chance.choice((None, 1, 2))

    def change_who_goes_up(self) -> None:
        self.promoted[self.chance.choice(sorted(self.years))] = self.chance.choice((0, 1, 2))

    def change_fixtures(self) -> None:
        year = self.chance.choice(sorted(self.years))
        home, away = self.chance.sample(TEAMS_OF[LEAGUE], 2)
        self.fixture[year] = (
            f'[[fixture]]\ncompetition = "{LEAGUE}"\ndate = {year}-09-29\nhome = "{home}"\n'
            f'away = "{away}"\n'
        )

    def change_founding(self) -> None:
        self.clubs[self.chance.choice(CLUBS)]["founded"] = self.chance.choice((1900, 1925, 1950))

    def change_what_is_told(self) -> None:
        """Of a season without sheets, or of one that has some; by people and teams of the register
        and others."""
        year = self.chance.choice((1975, 1976, *sorted(self.years)))
        if self.told.pop(year, None) is not None and self.chance.random() < 0.5:
            return
        key = self.chance.choice((LEAGUE, LEAGUE, FESTIVAL, "cup"))
        name = f'name = "Told {self.chance.randint(1, 9)}"\n'
        head = f'competition = "{key}"\n{name}source = {{kind = "letter"}}\n'
        points, team = self.chance.randint(60, 90), self.chance.choice(TEAMS_OF[LEAGUE])
        player = self.chance.choice(EVERYBODY)
        text = (
            f'[[table]]\n{head}rows = [{{rank = 1, team = "{team}", points = {points}}},'
            ' {rank = 2, name = "Moos"}]\n'
        )
        if self.chance.random() < 0.6:
            text += (
                f'[[striker_table]]\n{head}rows = [{{rank = 1, player = "{player}", team ='
                f' "{team}", points = {points}}}, {{rank = 2, name = "Wyss-Anna"}}]\n'
            )
        if self.chance.random() < 0.6:
            text += f'[[honour]]\nwhat = "champion"\nteam = "birkenfluh-a"\n{head}'.replace(
                "name =", "competition_name ="
            )
        self.told[year] = text

    def files(self) -> dict[str, str]:
        files = {
            "league.toml": f'name = "{self.league}"\nlanguage = "{self.language}"\n[publish]\n'
            f'minors = "{self.minors}"\nages = {str(self.ages).lower()}\n'
            f"players = {str(self.shows_players).lower()}\n",
            "rules/two.toml": f"team_size = 2\nnummer_zone = {{from = 1, to = {self.last_zone}}}\n",
        }
        for club, told in self.clubs.items():
            teams = ", ".join(
                f"{team[-1]}: {self.team_names[team]}" for team in TEAMS if team[:-2] == club
            )
            merged = "merged_from: [chaltbach]\n" if (club, *self.merged)[0:2] == (
                "birkenfluh", "chaltbach"
            ) else ""  # fmt: skip
            ground = f"ground: {self.grounds[club]}\n" if club in self.grounds else ""
            files[f"clubs/{club}.yaml"] = (
                f"name: {told['name']}\nfounded: {told['founded']}\n{ground}{merged}"
                f"teams: {{{teams}}}\n"
            )
        for player in EVERYBODY:
            parents = f"parents: [{self.parents[player]}]\n" if player in self.parents else ""
            files[f"players/{player}.yaml"] = (
                f"name: {self.names[player]}\nborn: {self.born[player]}\n{parents}"
                f"private: {str(player in self.private).lower()}\n"
            )
        for year in self.years:
            text = f"season = {year}\n"
            for key, title in self.titles.items():
                text += (
                    f'[[competition]]\nid = "{key}"\nname = "{title}"\nrules = "two"\n'
                    f"teams = {list(TEAMS_OF[key])}\n"
                )
                if key == FESTIVAL:
                    text += f'kind = "{self.kind}"\n'
                    continue
                cycles = f"cycles = {self.planned[year]}\n" if self.planned[year] else ""
                text += f'kind = "league"\n{cycles}promoted = {self.promoted[year]}\n'
            files[f"seasons/{year}/season.toml"] = text
            files[f"seasons/{year}/fixtures.toml"] = self.fixture.get(year, "")
        for year, text in self.told.items():
            files[f"seasons/{year}/handed-down.toml"] = text
        for path, sheet in self.sheets.items():
            spoilt = sheet.get(SPOILT, "")
            text = "".join(
                f"{key}: {value}\n"
                for key, value in sheet.items()
                if key != SPOILT and not spoilt.startswith(f"{key}:")
            )
            text += f"{spoilt}\n"
            if not all("strikes" in sheet[side] for side in ("home", "away")):
                # Both sides must agree on the Nummern.
                text = text.replace("11N", "11").replace("nummern: 1", "nummern: 0")
            files[path] = text
        return files


def lay_out(root: Path, files: dict[str, str]) -> None:
    """Write what is new or differs, and remove what is there no more."""
    for path, text in files.items():
        file = root / path
        if not file.exists() or file.read_text(encoding="utf-8") != text:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")
    for file in [*root.glob("seasons/**/*.*")]:
        if file.relative_to(root).as_posix() not in files:
            file.unlink()
    for season in root.glob("seasons/*"):
        if not any(season.glob("*.toml")):
            shutil.rmtree(season)


@pytest.mark.parametrize("trusting", [False, True], ids=["young files", "old files"])
def test_after_random_edits_the_pages_are_those_of_publishing_anew(
    trusting: bool,
    tmp_path: Path,
    pytestconfig: pytest.Config,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if trusting:
        # As if every file had been left alone for long, so that its state is believed.
        monkeypatch.setattr("riesbuch.index.scan._YOUNG", -(10**18))
    compared = 0
    for seed in range(max(pytestconfig.getoption("--edit-sequences") // 4, 1)):
        root = tmp_path / f"club-{seed}"
        model = Model(random.Random(seed))
        lay_out(root, model.files())
        published(root)
        done = []
        for _ in range(SEQUENCE_LENGTH):
            done.append(model.edit())
            if trusting:
                # Beyond the tick of the file system's clock.
                time.sleep(0.012)
            lay_out(root, model.files())
            plan = published(root)
            if plan is not None:
                compared += 1
                there, anew = pages_there(root), pages_anew(root, tmp_path)
                differing = [
                    path for path in {**there, **anew} if there.get(path) != anew.get(path)
                ]
                assert not differing, (seed, done)
                again = published(root)
                assert again is not None
                assert again.is_current
        shutil.rmtree(root)
    assert compared > SEQUENCE_LENGTH


_NOTES = (
    # On the front page, of a competition and its strikers, in the results, of a season.
    r"\n[0-9]+ sheets? ha[^\n]* left out of all pages[^\n]*\n",
    r" [0-9]+ sheets? ha[^\n]* left out of everything here[^\n]*",
    r"(?m)^\|[^\n]*left out: the sheet has errors \| – \|\n",
    r"\n### Left out, since the sheet has errors\n\n(?:- [^\n]*\n)+",
    # A table of such matches alone, and the mark of the page's bytes.
    r"\n\| (?:Date \| )?Match [^\n]*\n\|[-:| ]*\n(?!\|)",
    r"<!-- riesbuch page [0-9a-f]+ -->",
)


def without_notes(pages: dict[str, bytes]) -> dict[str, str]:
    found = {}
    for path, page in pages.items():
        text = page.decode()
        for note in _NOTES:
            text = re.sub(note, "", text)
        found[path] = text
    return found


def test_in_spite_of_a_sheet_with_errors_the_pages_are_those_of_the_folder_without_it(
    tmp_path: Path, pytestconfig: pytest.Config
) -> None:
    """Where nobody can be sure of a place yet, and no fixture waits for the sheet's match."""
    noted = 0
    for seed in range(max(pytestconfig.getoption("--edit-sequences") // 4, 2)):
        model = Model(random.Random(seed))
        for _ in range(4 * SEQUENCE_LENGTH):
            model.edit()
        model.language, model.kind = "en", "festival"
        model.fixture = {}
        # So many that none can be sure of a place.
        model.planned = dict.fromkeys(model.planned, 30)
        newest = max(model.years)
        for path, sheet in model.sheets.items():
            sheet.pop(SPOILT, None)
            if model.chance.random() < 0.4:
                if f"/{newest}/" in path:
                    sheet[SPOILT] = model.chance.choice(("round: six", "notes: ["))
                elif sheet["competition"] == LEAGUE:
                    sheet[SPOILT] = "round: six"
        roots = {True: tmp_path / f"whole-{seed}", False: tmp_path / f"without-{seed}"}
        pages: dict[bool, dict[str, bytes]] = {}
        for spoilt, root in roots.items():
            if not spoilt:
                model.sheets = {
                    path: sheet for path, sheet in model.sheets.items() if SPOILT not in sheet
                }
            lay_out(root, model.files())
            assert published(root) is not None
            pages[spoilt] = pages_there(root)
        noted += pages[True] != pages[False]
        assert without_notes(pages[True]) == without_notes(pages[False]), seed
    assert noted
