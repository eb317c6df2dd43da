"""The next season laid out from the last one, with who goes up and down where that is decided."""

from pathlib import Path

import pytest

from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.trade.season import Season
from tests.clubfolder import SEASON, lay_out
from tests.commandline import Outcome, invoke
from tests.gitfolder import ENVIRONMENT, begin, git

TEAMS = ("aarwald-a", "aarwald-b", "birkenfluh-a", "birkenfluh-b")
FIRST, SECOND = TEAMS[:2], TEAMS[2:]
LEAGUE = """
[[competition]]
id = "{id}"
name = "{id}"
kind = "league"
rules = "2026"
teams = [{teams}]
{more}
"""
SHEET = """\
competition: {competition}
date: 2026-05-{day:02}
home: {{team: {home}, points: {home_points}, nummern: 0}}
away: {{team: {away}, points: 100, nummern: 0}}
"""


def league(key: str, teams: tuple[str, ...], more: str) -> str:
    return LEAGUE.format(id=key, teams=", ".join(f'"{team}"' for team in teams), more=more)


def lay_out_leagues(root: Path, *leagues: str) -> ClubFolder:
    folder = lay_out(root)
    for path in folder.sheet_files(2026):
        path.unlink()
    folder.fixtures_file(2026).unlink()
    text = "season = 2026  # with a comment\n" + "".join(leagues)
    (root / SEASON).write_text(text, encoding="utf-8")
    return folder


def play(folder: ClubFolder, competition: str, teams: tuple[str, ...], day: int) -> None:
    """One match, which the home side loses."""
    text = SHEET.format(competition=competition, day=day, home=teams[0], away=teams[1],
                        home_points=90)  # fmt: skip
    path = folder.matches(2026) / f"2026-05-{day:02}-{teams[0]}-{teams[1]}.yaml"
    path.write_text(text, encoding="utf-8")


def season(folder: ClubFolder, *words: str) -> Outcome:
    return invoke("--folder", folder.root, "season", *words)


def laid_out(folder: ClubFolder, year: int = 2027) -> Season:
    return open_archive(folder).seasons[year]


def teams_of(folder: ClubFolder, key: str) -> tuple[str, ...]:
    found = laid_out(folder).competition(key)
    assert found is not None
    return found.teams


@pytest.fixture
def two_divisions(tmp_path: Path) -> ClubFolder:
    folder = lay_out_leagues(
        tmp_path / "club",
        league("first", FIRST, "relegated = 1"),
        league("second", SECOND, "promoted = 1"),
    )
    play(folder, "first", FIRST, 10)
    play(folder, "second", SECOND, 10)
    return folder


def test_the_last_goes_down_and_the_first_goes_up(two_divisions: ClubFolder) -> None:
    done = season(two_divisions, "2027")
    assert done.status == 0
    assert teams_of(two_divisions, "first") == ("aarwald-b", "birkenfluh-b")
    assert teams_of(two_divisions, "second") == ("aarwald-a", "birkenfluh-a")
    assert done.err.splitlines() == [
        "seasons/2027/season.toml was written, with 2 competitions as in 2026; comments are not"
        " copied",
        "Aarwald A goes down to second",
        "Birkenfluh B goes up to first",
        "fixtures are not copied; when the first match day is known, type:",
        "  riesbuch plan first --season 2027 --from 2027-MM-DD",
        "  riesbuch plan second --season 2027 --from 2027-MM-DD",
    ]
    assert invoke("--folder", two_divisions.root, "check").err == "2 sheets: nothing to mend\n"
    planned = invoke(
        "--folder", two_divisions.root, "plan", "first", "--season", "2027", "--from", "2027-04-11"
    )
    assert planned.status == 0


def test_rules_cycles_and_counts_are_as_before(two_divisions: ClubFolder) -> None:
    season(two_divisions, "2027")
    before = open_archive(two_divisions).seasons[2026].competitions
    for one, other in zip(before, laid_out(two_divisions).competitions, strict=True):
        assert (one.id, one.name, one.kind, one.rules, one.cycles) == (
            other.id,
            other.name,
            other.kind,
            other.rules,
            other.cycles,
        )
        assert (one.promoted, one.relegated) == (other.promoted, other.relegated)
    assert not two_divisions.fixtures_file(2027).exists()


def test_who_goes_down_stays_in_the_cup(tmp_path: Path) -> None:
    folder = lay_out_leagues(
        tmp_path / "club",
        league("first", FIRST, "relegated = 1"),
        league("second", SECOND, "promoted = 1"),
        league("cup", (*FIRST, *SECOND), "").replace('"league"', '"cup"'),
    )
    play(folder, "first", FIRST, 10)
    play(folder, "second", SECOND, 10)
    season(folder, "2027")
    assert teams_of(folder, "second") == ("aarwald-a", "birkenfluh-a")
    assert teams_of(folder, "cup") == (*FIRST, *SECOND)


def test_who_is_not_decided_stays_and_is_named(two_divisions: ClubFolder) -> None:
    for path in two_divisions.sheet_files(2026):
        if "birkenfluh" in path.name:
            path.unlink()
    done = season(two_divisions, "2027")
    assert "`second`: who goes up is not decided; all stay" in done.err.splitlines()
    assert teams_of(two_divisions, "first") == ("aarwald-b",)
    assert teams_of(two_divisions, "second") == ("aarwald-a", *SECOND)


def test_a_team_without_a_league_to_go_to_stays(tmp_path: Path) -> None:
    folder = lay_out_leagues(
        tmp_path / "club", league("only", FIRST, "promoted = 1\nrelegated = 1")
    )
    play(folder, "only", FIRST, 10)
    done = season(folder, "2027")
    assert [line for line in done.err.splitlines() if line.startswith("`only`")] == [
        "`only`: aarwald-b would go up, but season.toml has no league for that; nothing is moved",
        "`only`: aarwald-a would go down, but season.toml has no league for that; nothing is moved",
    ]
    assert teams_of(folder, "only") == FIRST


def test_of_two_leagues_below_nobody_guesses(tmp_path: Path) -> None:
    folder = lay_out_leagues(
        tmp_path / "club",
        league("first", FIRST, "relegated = 1"),
        league("east", ("birkenfluh-a",), "promoted = 1"),
        league("west", ("birkenfluh-b",), "promoted = 1"),
    )
    play(folder, "first", FIRST, 10)
    done = season(folder, "2027")
    assert (
        "`first`: aarwald-a would go down, but more than one league could be the one below;"
        " nothing is moved, do it by hand" in done.err.splitlines()
    )
    assert teams_of(folder, "first") == FIRST


def test_a_season_that_is_there_is_refused_untouched(two_divisions: ClubFolder) -> None:
    before = (two_divisions.root / SEASON).read_bytes()
    refused = season(two_divisions, "2026")
    assert refused.status == 2
    assert refused.err == (
        "riesbuch: the season 2026 is laid out already, in seasons/2026/season.toml; nothing was"
        " changed\n"
    )
    assert (two_divisions.root / SEASON).read_bytes() == before


def test_a_dry_run_shows_the_file_and_writes_nothing(two_divisions: ClubFolder) -> None:
    shown = season(two_divisions, "2027", "--dry-run")
    assert shown.status == 0
    assert not (two_divisions.root / "seasons/2027").exists()
    season(two_divisions, "2027")
    assert two_divisions.season_file(2027).read_text(encoding="utf-8") == shown.out


def test_without_an_earlier_season_it_says_what_to_do(two_divisions: ClubFolder) -> None:
    refused = season(two_divisions, "1950")
    assert refused.status == 2
    assert "`riesbuch guide seasons`" in refused.err


def test_a_season_that_cannot_be_read_is_mended_first(two_divisions: ClubFolder) -> None:
    (two_divisions.root / SEASON).write_text("season = 2026\n[[competition\n", encoding="utf-8")
    refused = season(two_divisions, "2027")
    assert refused.status == 1
    assert f"{SEASON}:2:" in refused.err
    assert not (two_divisions.root / "seasons/2027").exists()


def test_what_was_stopped_before_the_seasons_file_is_finished(two_divisions: ClubFolder) -> None:
    two_divisions.matches(2027).mkdir(parents=True)
    (two_divisions.matches(2027) / ".gitkeep").touch()
    assert season(two_divisions, "2027").status == 0
    assert teams_of(two_divisions, "first") == ("aarwald-b", "birkenfluh-b")


def test_finish_commits_the_new_season(
    two_divisions: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    begin(two_divisions.root)
    season(two_divisions, "2027")
    assert invoke("--folder", two_divisions.root, "finish", "--yes").status == 0
    committed = git(two_divisions.root, "ls-files", "seasons/2027").split()
    assert committed == ["seasons/2027/matches/.gitkeep", "seasons/2027/season.toml"]
