"""Teams, clubs, players, competitions and sheets are understood alike by every command."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import click
import pytest

from riesbuch.cli import check, fixtures, history, roster, sealing, sheet, tally
from tests.clubfolder import AARWALD, FIRST, FIRST_SHEET, RUEDI, Replace, Write, lay_out
from tests.commandline import Outcome, invoke

NAMESAKE = "players/moser-anna-dorf.yaml"
EDITS = (
    Replace(AARWALD, "founded: 1911\n", "founded: 1911\nformerly: [{name: Aarwald-Berg}]\n"),
    Replace(RUEDI, "born: 1961\n", "born: 1961\nalso_written: [Rudolf Aebi, R. A.]\n"),
    # Two clubs of one village, each with one team.
    Write("clubs/schuer-dorf.yaml", "name: Schür-Dorf\nteams: {a: Schür-Dorf A}\n"),
    Write("clubs/schuer-egg.yaml", "name: Schür-Egg\nteams: {a: Schür-Egg A}\n"),
    Write("players/bruehlmann-hans-peter.yaml", "name: Hans-Peter Brühlmann\n"),
    Write("players/moser-anna.yaml", "name: Anna Moser\n"),
    Write(NAMESAKE, "name: Anna Moser\n"),
    Write(
        "seasons/2025/season.toml",
        'season = 2025\n\n[[competition]]\nid = "oberhang-1"\nname = "Grüne Liga"\n'
        'kind = "league"\nrules = "2026"\n',
    ),
    Write(
        "seasons/2025/matches/2025-05-04-aarwald-a-birkenfluh-a.yaml",
        "competition: oberhang-1\ndate: 2025-05-04\n"
        "home: {team: aarwald-a, points: 90, nummern: 0}\n"
        "away: {team: birkenfluh-a, points: 80, nummern: 0}\n",
    ),
    *(
        Write(f"trainings/2026/2026-04-02-{club}.yaml", f"date: 2026-04-02\nclub: {club}\n")
        for club in ("aarwald", "schuer-dorf", "schuer-egg")
    ),
)
_Ask = Callable[..., Outcome]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return lay_out(tmp_path_factory.mktemp("names") / "club", EDITS).root


@pytest.fixture(scope="module")
def ask(folder: Path) -> _Ask:
    """What a command answers; the same question is asked once."""
    answered: dict[tuple[str, ...], Outcome] = {}

    def asked(*words: str) -> Outcome:
        if words not in answered:
            answered[words] = invoke("--folder", folder, *words)
        return answered[words]

    return asked


PLAYER_COMMANDS = (
    "career {}",
    "roster move {} birkenfluh --from 2027 --dry-run",
    "roster rename {} somebody-else --dry-run",
    "roster merge {} zaugg-lena --dry-run",
    "roster merge zaugg-lena {} --dry-run",
    "roster add new-one --name New --parent {} --dry-run",
    "lineup birkenfluh-a --without {}",
)
CLUB_COMMANDS = (
    "roster list --club {}",
    "roster move zaugg-lena {} --from 2027 --dry-run",
    "roster add new-one --name New --club {} --dry-run",
    "training {} --date 2026-04-02",
    "book --club {}",
    "families --club {}",
    "records --club {}",
    "meetings {} birkenfluh",
)
TEAM_COMMANDS = (
    "sheet {} birkenfluh-a --date 2026-04-12 --blank-paper",
    "sheet birkenfluh-b {} --blank-paper",
    "calendar --team {}",
    "strikers oberhang-1 --season 2026 --team {}",
    "form {}",
    "lineup {}",
    "nummern {}",
)
PARTY_COMMANDS = ("meetings {} birkenfluh-a", "records --club {}", "families --club {}")
COMPETITION_COMMANDS = (
    "standings {} --season 2026",
    "standings {} --until 2026-05-01",
    "strikers {}",
    "reach {} --season 2026",
    "plan {} --season 2026 --from 2026-07-01 --dry-run",
    "calendar --competition {}",
    "honours --competition {}",
    "records --competition {}",
    "sheet aarwald-b birkenfluh-a --date 2026-07-05 --competition {} --blank-paper",
    "sheet --blank-paper --competition {}",
)
SHEET_COMMANDS = (
    "tally {}",
    "tell {}",
    "check {}",
    "tidy --check {}",
    "compare {} 2026/2026-05-10-birkenfluh-a-aarwald-a",
)


def words(command: str, written: str) -> list[str]:
    return [written if word == "{}" else word for word in command.split(" ")]


def expect_alike(ask: _Ask, commands: Sequence[str], written: str, identifier: str) -> None:
    for command in commands:
        by_identifier = ask(*words(command, identifier))
        assert ask(*words(command, written)) == by_identifier, command
        assert not by_identifier.err.startswith("riesbuch: there is no "), command


def expect_refused(ask: _Ask, commands: Sequence[str], written: str, message: str) -> None:
    for command in commands:
        refused = ask(*words(command, written))
        assert (refused.status, refused.out) == (2, ""), command
        assert refused.err == f"riesbuch: {message}\n", command


PLAYERS = {
    "Ruedi Aebi": "aebi-ruedi",
    "ruedi AEBI": "aebi-ruedi",
    "Aebi Ruedi": "aebi-ruedi",
    "Aebi, Ruedi": "aebi-ruedi",
    "Rüdi Äbi": "aebi-ruedi",
    "Rudolf Aebi": "aebi-ruedi",
    "Aebi Rudolf": "aebi-ruedi",
    "r. a.": "aebi-ruedi",
    "Hans-Peter Brühlmann": "bruehlmann-hans-peter",
    "Hans Peter Bruehlmann": "bruehlmann-hans-peter",
    "Hanspeter Bruhlmann": "bruehlmann-hans-peter",
    "Brühlmann Hans-Peter": "bruehlmann-hans-peter",
}
CLUBS = {
    "Aarwald": "aarwald",
    "AARWALD": "aarwald",
    "Aarwald-Berg": "aarwald",
    "aarwald berg": "aarwald",
    "Schür-Dorf": "schuer-dorf",
    "schuer dorf": "schuer-dorf",
    "Schurdorf": "schuer-dorf",
    "Schür Egg": "schuer-egg",
}
TEAMS = {
    "Aarwald A": "aarwald-a",
    "aarwald a": "aarwald-a",
    "Aarwald-Berg A": "aarwald-a",
    "AarwaldA": "aarwald-a",
    "Schür-Dorf A": "schuer-dorf-a",
    "Schur Dorf A": "schuer-dorf-a",
}
COMPETITIONS = {
    "Oberhang League, first division": "oberhang-1",
    "oberhang league FIRST division": "oberhang-1",
    "Oberhang-1": "oberhang-1",
    "Grüne Liga": "oberhang-1",
    "Gruene Liga": "oberhang-1",
    "grune liga": "oberhang-1",
    "Oberhang Cup": "oberhang-cup",
}
SHEETS = (
    FIRST,
    "2026/2026-04-12-aarwald-a-birkenfluh-a",
    "2026/2026-04-12-aarwald-a-birkenfluh-a.yaml",
    "2026-04-12-aarwald-a-birkenfluh-a",
    "2026-04-12-aarwald-a-birkenfluh-a.yaml",
    "seasons/2026/matches/2026-04-12-aarwald-a-birkenfluh-a",
    "2026-04-12",
    "04-12-aarwald-a",
    "2026-04-12 Aarwald A Birkenfluh A",
)


@pytest.mark.parametrize("written", PLAYERS)
def test_a_player(ask: _Ask, written: str) -> None:
    expect_alike(ask, PLAYER_COMMANDS, written, PLAYERS[written])


@pytest.mark.parametrize(
    ("written", "message"),
    [
        (
            "Anna Moser",
            "`Anna Moser` is a name of 2 players; name one by the identifier: moser-anna"
            " (Anna Moser) or moser-anna-dorf (Anna Moser)",
        ),
        (
            "R. Aebi",
            "there is no player `R. Aebi`; did you mean aebi-ruedi (Ruedi Aebi)?",
        ),
        (
            "Aebi",
            "there is no player `Aebi`; did you mean aebi-hans (Hans Aebi) or aebi-ruedi (Ruedi"
            " Aebi)?",
        ),
        (
            "Rudi Äbbi",
            "there is no player `Rudi Äbbi`; did you mean aebi-ruedi (Ruedi Aebi)?",
        ),
        ("Zzz", "there is no player `Zzz`; the players are "),
    ],
)
def test_no_single_player(ask: _Ask, written: str, message: str) -> None:
    if message.endswith(" "):
        message += (
            "aebi-hans, aebi-ruedi, bigler-jonas, bruehlmann-hans-peter, kipfer-urs, moser-anna,"
            " moser-anna-dorf, sahli-rosa, zaugg-lena"
        )
    expect_refused(ask, PLAYER_COMMANDS, written, message)


@pytest.mark.parametrize("written", CLUBS)
def test_a_club(ask: _Ask, written: str) -> None:
    expect_alike(ask, CLUB_COMMANDS, written, CLUBS[written])


@pytest.mark.parametrize("written", TEAMS)
def test_a_team(ask: _Ask, written: str) -> None:
    expect_alike(ask, (*TEAM_COMMANDS, *PARTY_COMMANDS), written, TEAMS[written])


@pytest.mark.parametrize("written", ["Schür-Dorf", "schuer dorf"])
def test_the_only_team_of_a_club(ask: _Ask, written: str) -> None:
    expect_alike(ask, TEAM_COMMANDS, written, "schuer-dorf-a")


@pytest.mark.parametrize(
    ("written", "club", "team"),
    [
        (
            "Schür",
            "; did you mean schuer-dorf or schuer-egg?",
            "; did you mean schuer-dorf-a or schuer-egg-a?",
        ),
        ("Arwald", "; did you mean aarwald?", "; did you mean aarwald-a or aarwald-b?"),
    ],
)
def test_no_single_club_or_team(ask: _Ask, written: str, club: str, team: str) -> None:
    expect_refused(ask, CLUB_COMMANDS[:3], written, f"there is no club `{written}`{club}")
    expect_refused(ask, TEAM_COMMANDS, written, f"there is no team `{written}`{team}")


def test_a_club_of_several_teams_is_no_team(ask: _Ask) -> None:
    expect_refused(
        ask,
        TEAM_COMMANDS,
        "Aarwald",
        "`Aarwald` is a name of 2 teams; name one by the identifier: aarwald-a or aarwald-b",
    )


@pytest.mark.parametrize("written", COMPETITIONS)
def test_a_competition(ask: _Ask, written: str) -> None:
    expect_alike(ask, COMPETITION_COMMANDS, written, COMPETITIONS[written])


@pytest.mark.parametrize(
    ("written", "advice"),
    [
        (
            "Oberhang",
            "did you mean oberhang-1 (Oberhang League, first division) or oberhang-cup?",
        ),
        ("Zzz", "the competitions are oberhang-1, oberhang-cup"),
    ],
)
def test_no_single_competition(ask: _Ask, written: str, advice: str) -> None:
    message = f"there is no competition `{written}`; {advice}"
    expect_refused(ask, COMPETITION_COMMANDS, written, message)


@pytest.mark.parametrize("written", SHEETS)
def test_a_sheet(ask: _Ask, written: str) -> None:
    expect_alike(ask, SHEET_COMMANDS, written, "2026/2026-04-12-aarwald-a-birkenfluh-a")


@pytest.mark.parametrize(
    ("written", "message"),
    [
        (
            "aarwald-a-birkenfluh-a",
            "`aarwald-a-birkenfluh-a` is a part of 2 sheets; name one by the identifier:"
            " 2026/2026-04-12-aarwald-a-birkenfluh-a or 2025/2025-05-04-aarwald-a-birkenfluh-a",
        ),
        (
            "2026-04-12-arwald-a-birkenfluh-a",
            "there is no file, folder or sheet `2026-04-12-arwald-a-birkenfluh-a`; did you mean"
            " 2026/2026-04-12-aarwald-a-birkenfluh-a, 2025/2025-05-04-aarwald-a-birkenfluh-a or"
            " 2026/2026-05-10-birkenfluh-a-aarwald-a?",
        ),
        (
            "zzz",
            "there is no file, folder or sheet `zzz`; `riesbuch find` looks for sheets by a day or"
            " a word",
        ),
    ],
)
def test_no_single_sheet(ask: _Ask, written: str, message: str) -> None:
    expect_refused(ask, SHEET_COMMANDS, written, message)


@pytest.mark.parametrize("club", ["Aarwald-Berg", "AARWALD", "aarwald"])
def test_sealed_and_corrected_by_names(tmp_path: Path, club: str) -> None:
    root = lay_out(tmp_path / "club", EDITS).root
    sealed = invoke("--folder", root, "seal", "04-12-aarwald", "--home", "A", "--away", "B")
    assert (sealed.status, sealed.err) == (0, "")
    corrected = invoke(
        "--folder", root, "correct", "2026-04-12", "home.strikes.bigler-jonas.1.1=14",
        "--reason", "read again", "--by", "C", "--agreed", club, "--agreed", "Birkenfluh",
    )  # fmt: skip
    assert (corrected.status, corrected.err) == (0, "")
    assert "agreed: [aarwald, birkenfluh]" in (root / FIRST).read_text(encoding="utf-8")


def imported(root: Path, **cells: str) -> Outcome:
    """The outcome of importing one match, home and away and so on as in ``cells``."""
    row = {
        "date": "2026-06-07", "competition": "oberhang-cup", "home": "aarwald-a",
        "away": "birkenfluh-a", "home_captain": "", "home_points": "90", "away_points": "80",
        "home_nummern": "0", "away_nummern": "0", **cells,
    }  # fmt: skip
    file = root.parent / "old.csv"
    file.write_text(f"{';'.join(row)}\n{';'.join(row.values())}\n", encoding="utf-8")
    return invoke("--folder", root, "import", file)


@pytest.mark.parametrize(
    ("column", "known", "in_sheet"),
    [
        ("home_captain", PLAYERS, "captain: {}\n"),
        ("home", TEAMS, "team: {}\n"),
        ("competition", COMPETITIONS, "competition: {}\n"),
    ],
)
def test_import(tmp_path: Path, column: str, known: Mapping[str, str], in_sheet: str) -> None:
    root = lay_out(tmp_path / "club", EDITS).root
    for written, identifier in known.items():
        outcome = imported(root, **{column: written})
        assert outcome.status == 0, (written, outcome.err)
        (path,) = outcome.out.splitlines()
        text = (root / path).read_text(encoding="utf-8")
        assert in_sheet.format(identifier) in text, written
        (root / path).unlink()


@pytest.mark.parametrize(
    ("column", "written", "candidates"),
    [
        ("home_captain", "Anna Moser", "moser-anna (Anna Moser); moser-anna-dorf (Anna Moser)"),
        ("home_captain", "R. Aebi", "aebi-ruedi (Ruedi Aebi, Aarwald, 1979–)"),
        ("home", "Schür", "schuer-dorf-a (Schür-Dorf A); schuer-egg-a (Schür-Egg A)"),
        ("competition", "Oberhang", "oberhang-1; oberhang-cup"),
    ],
)
def test_import_asks(tmp_path: Path, column: str, written: str, candidates: str) -> None:
    root = lay_out(tmp_path / "club", EDITS).root
    outcome = imported(root, **{column: written})
    assert (outcome.status, outcome.out) == (1, "")
    assert f"`{written}` (row 2; " in outcome.err
    assert f"): {candidates}" in outcome.err


@pytest.mark.parametrize(
    ("command", "name", "incomplete", "offered"),
    [
        (history.career_command, "player", "Rue", ["aebi-ruedi"]),
        (history.career_command, "player", "moser-", ["moser-anna-dorf", "moser-anna"]),
        (history.career_command, "player", "Brüh", ["bruehlmann-hans-peter"]),
        (sheet.command, "home", "Schür-D", ["schuer-dorf-a"]),
        (sheet.command, "competition", "Grü", ["oberhang-1"]),
        (fixtures.calendar_command, "team", "Aarwald-B", ["aarwald-a", "aarwald-b"]),
        (history.meetings_command, "first", "schuer-e", ["schuer-egg", "schuer-egg-a"]),
        (history.families_command, "club", "Aarwald-Berg B", ["aarwald-b"]),
        (history.records_command, "competition", "oberhang-c", ["oberhang-cup"]),
        (sealing.correct_command, "agreed", "Schür", ["schuer-dorf", "schuer-egg"]),
        (tally.tally_command, "sheet", "2026/2026-05", ["2026/2026-05-10-birkenfluh-a-aarwald-a"]),
        (tally.tally_command, "sheet", "05-10", ["2026/2026-05-10-birkenfluh-a-aarwald-a"]),
        (tally.tally_command, "sheet", "2026-05", ["2026-05-10-birkenfluh-a-aarwald-a"]),
        # Perhaps it is the path of a file.
        (tally.tally_command, "sheet", "zzz", ["zzz"]),
        (check.check_command, "paths", "2026-05", ["2026-05-10-birkenfluh-a-aarwald-a"]),
        (roster.add, "since", "members", ["members"]),
    ],
)
def test_completion(
    folder: Path, command: click.Command, name: str, incomplete: str, offered: list[str]
) -> None:
    root = click.Context(click.Command("riesbuch"))
    root.params["folder"] = folder
    parameter = next(each for each in command.params if each.name == name)
    assert [each.value for each in parameter.shell_complete(root, incomplete)] == offered


def test_what_is_open_in_the_newest_season_is_offered_first(tmp_path: Path) -> None:
    folder = lay_out(tmp_path)
    seal = "seal: {on: 2026-05-01, home: x, away: y, digest: z}\n"
    for name, text in (
        ("2025/matches/2025-05-01-a", "home: {}\n"),
        ("2026/matches/2026-04-12-aarwald-a-birkenfluh-a", FIRST_SHEET + seal),
        ("2026/matches/2026-05-01-b", "home: {strikes: {aebi-ruedi: [[18, _], [_, _]]}}\n"),
        ("2026/matches/2026-05-02-c", f"    # moser-anna: [[_, _]]\n{FIRST_SHEET}{seal}"),
    ):
        path = folder.root / f"seasons/{name}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    root = click.Context(click.Command("riesbuch"))
    root.params["folder"] = tmp_path
    (parameter,) = tally.tally_command.params[:1]

    def offered(incomplete: str) -> list[str]:
        return [each.value for each in parameter.shell_complete(root, incomplete)]

    # A draft, one without a seal, and those with one, the latest first.
    assert offered("") == [
        "2026/2026-05-01-b",
        "2026/2026-05-10-birkenfluh-a-aarwald-a",
        "2026/2026-05-02-c",
        "2026/2026-04-12-aarwald-a-birkenfluh-a",
    ]
    assert offered("2025-05") == ["2025-05-01-a"]
    assert offered("20")[-1] == "2025/2025-05-01-a"
    # Two letters may begin a folder's name.
    assert offered("aa") == ["aa"]


def test_completion_as_a_shell_asks_for_it(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("_RIESBUCH_COMPLETE", "bash_complete")
    monkeypatch.setenv("COMP_WORDS", f"riesbuch --folder {folder} career Rue")
    monkeypatch.setenv("COMP_CWORD", "4")
    assert invoke() == Outcome(status=0, out="plain,aebi-ruedi\n", err="")
