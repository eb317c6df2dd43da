"""``honours``: against the tables recomputed from the files, its gaps, and its formats."""

import csv
import io
import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.clubfolder import FIXTURES, MATCHES, SEASON, lay_out
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.folder import Frames, load
from tests.reference.results import match_results
from tests.reference.tables import performances, standings, strikers

KEYS = [
    "season", "competition", "name", "kind", "complete", "played", "planned", "champions",
    "promoted", "relegated", "best_strikers", "best_of_classes", "awards", "decided",
    "promotion_note", "relegation_note", "source",
]  # fmt: skip
IN_CSV = [*(key for key in KEYS if key not in ("best_of_classes", "awards")), "reference"]


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("honours") / "example"
    copy_example(root)
    return root


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return lay_out(tmp_path / "club").root


def ask(root: Path, *words: str) -> Outcome:
    return invoke("--folder", root, "honours", *words)


def asked(root: Path, *words: str) -> list[dict[str, Any]]:
    outcome = ask(root, *words, "--format", "json")
    assert (outcome.status, outcome.err) == (0, "")
    found: list[dict[str, Any]] = outcome.data["honours"]
    return found


def test_competitions_of_the_example(example: Path) -> None:
    frames: Frames = load(example)
    results = match_results(frames)
    played = performances(frames, results)
    counted = results[results.counts.astype(bool)]
    found = {(each["season"], each["competition"]): each for each in asked(example)}
    told = {key for key, each in found.items() if each["decided"] == "handed-down"}
    assert told == {(1936, "oberhang-1"), (1947, "oberhang-1"), (1947, "hangtal-fest")}
    assert set(found) - told == set(frames.competitions)
    assert {each["kind"] for each in frames.competitions.values()} == {"league", "festival"}
    for season, key in frames.competitions:
        settings, each = frames.competitions[season, key], found[season, key]
        table = standings(frames, results, season, key, settings["rules"], None)
        best = strikers(frames, played, season, key, settings["rules"], None)
        matches = counted[(counted.season == season) & (counted.competition == key)]
        assert each["played"] == matches.sheet.nunique()
        first = [row["team"] for row in table if row["rank"] == 1]
        assert each["champions"] == (first if each["complete"] else [])
        assert each["best_strikers"] == [row["player"] for row in best if row["rank"] == 1]
        assert each["best_strikers"]
    # The match of 2025 that is kept out of the tables is settled all the same.
    assert {key for key, each in found.items() if each["complete"]} == {
        (2024, "oberhang-1"), (2024, "hubel-fest"), (2025, "oberhang-1"), (2025, "oberhang-fest"),
    }  # fmt: skip


def test_promoted_and_relegated_are_the_ends_of_the_table(example: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(example, copy)
    path = copy / "seasons/2025/season.toml"
    text = path.read_text(encoding="utf-8")
    text = text.replace("cycles = 2", "cycles = 2\npromoted = 1\nrelegated = 2", 1)
    path.write_text(text, encoding="utf-8")
    frames = load(copy)
    rules = frames.competitions[2025, "oberhang-1"]["rules"]
    table = standings(frames, match_results(frames), 2025, "oberhang-1", rules, None)
    assert [row["rank"] for row in table] == list(range(1, 9))
    teams = [row["team"] for row in table]
    found = {each["season"]: each for each in asked(copy, "--competition", "oberhang-1")}
    assert (found[2025]["promoted"], found[2025]["relegated"]) == (teams[:1], teams[-2:])
    # One is to go down, but the season is under way.
    assert frames.competitions[2026, "oberhang-1"]["relegated"] == 1
    assert (found[2026]["promoted"], found[2026]["relegated"]) == ([], [])


def test_gaps_are_one_line_each(example: Path) -> None:
    lines = ask(example).out.splitlines()[2:]
    # A long cell goes on in the line below.
    lines = [line for line in lines[: lines.index("")] if line[:1].isdigit()]
    years = [line.split()[0] for line in lines]
    assert years == [
        "2026", "2025", "2025", "2024", "2024", "1997–2023", "1996", "1989–1995", "1988",
        "1980–1987", "1979", "1972–1978", "1971", "1966–1970", "1965", "1959–1964", "1958",
        "1948–1957", "1947", "1947", "1937–1946", "1936",
    ]  # fmt: skip
    for line in lines[: len(years)]:
        assert ("no record" in line) == ("–" in line.split()[0])
    assert "no record" not in ask(example, "--competition", "oberhang-fest").out


def test_gaps_in_json_and_beside_csv(example: Path, tmp_path: Path) -> None:
    data = ask(example, "--format", "json").data["gaps"]
    assert [(each["first"], each["last"]) for each in data] == [
        (1937, 1946), (1948, 1957), (1959, 1964), (1966, 1970), (1972, 1978), (1980, 1987),
        (1989, 1995), (1997, 2023),
    ]  # fmt: skip
    assert {each["competition"] for each in data} == {None}
    outcome = ask(example, "--format", "csv")
    assert outcome.err == (
        "Promoted by decision in 1996 (oberhang-1): the first two had no strip long enough for the"
        " Hangtal League; decided by the match commission\n"
        "Of 255 matches, 152 are known strike by strike.\nNo record: 1937–1946, 1948–1957,"
        " 1959–1964, 1966–1970, 1972–1978, 1980–1987, 1989–1995, 1997–2023.\n"
    )
    assert "No record" not in ask(example).out
    fest = ask(example, "--competition", "oberhang-fest", "--format", "csv").err
    assert fest == "Of 8 matches, 8 are known strike by strike.\n"
    copy = tmp_path / "copy"
    shutil.copytree(example, copy)
    text = (copy / "seasons/2024/season.toml").read_text(encoding="utf-8")
    (copy / "seasons/2024/season.toml").write_text(
        text + '\n[[competition]]\nid = "oberhang-fest"\nname = "F"\nkind = "festival"\n'
        'rules = "festival"\n', encoding="utf-8",
    )  # fmt: skip
    (copy / "seasons/2026/season.toml").write_text(
        (copy / "seasons/2025/season.toml").read_text(encoding="utf-8").replace("2025", "2026"),
        encoding="utf-8",
    )
    shutil.rmtree(copy / "seasons/2025")
    again = ask(copy, "--competition", "oberhang-fest", "--format", "csv").err
    assert again.endswith("No record: 2025.\n")


def test_a_gap_of_one_year_is_no_range(example: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(example, copy)
    shutil.rmtree(copy / "seasons/2025")
    lines = ask(copy, "--competition", "oberhang-1").out.splitlines()
    assert [line.split()[:2] for line in lines[2:5]] == [
        ["2026", "oberhang-1"], ["2025", "no"], ["2024", "oberhang-1"],
    ]  # fmt: skip


def test_what_is_not_played_out_says_how_far_it_came(example: Path) -> None:
    (line,) = [line for line in ask(example).out.splitlines() if line.startswith("1996 ")]
    assert "(18 of 30 matches)" in line
    assert "Theo Fluhmatter (on record)" in line
    for output_format in ("table", "markdown"):
        out = ask(example, "--format", output_format).out
        open_ones = [
            each for each in asked(example)
            if not each["complete"] and each["decided"] != "handed-down"
        ]  # fmt: skip
        # Of the season under way more is to come.
        assert (out.count("(so far)"), out.count("(on"), len(open_ones)) == (1, 6, 7)
    (data,) = [each for each in asked(example) if each["season"] == 1996]
    assert (data["complete"], data["played"], data["planned"]) == (False, 18, 30)
    assert data["champions"] == []


def cup(root: Path, *matches: tuple[int, str, str, int, int], kept_out: int = 0) -> list[str]:
    """The champions of a cup of ``matches``, of which the last ``kept_out`` do not count."""
    fixtures = root / FIXTURES
    text = fixtures.read_text(encoding="utf-8")
    for number, (turn, home, away, *points) in enumerate(matches, start=1):
        date = f"2026-08-{number:02}"
        text += (
            f'\n[[fixture]]\ncompetition = "oberhang-cup"\nround = {turn}\ndate = {date}\n'
            f'home = "{home}"\naway = "{away}"\n'
        )
        counts = "counts: false\n" if number > len(matches) - kept_out else ""
        sheet = f"competition: oberhang-cup\nround: {turn}\ndate: {date}\n{counts}"
        sheet += "winner: draw\n\n" if points[0] == points[1] else "\n"
        for side, team, scored in zip(("home", "away"), (home, away), points, strict=True):
            sheet += f"{side}:\n  team: {team}\n  points: {scored}\n  nummern: 0\n"
        (root / f"{MATCHES}/{date}-{home}-{away}.yaml").write_text(sheet, encoding="utf-8")
    fixtures.write_text(text, encoding="utf-8")
    checked = invoke("--folder", root, "check")
    assert checked.status == 0, checked.out
    (each,) = asked(root, "--competition", "oberhang-cup")
    assert (each["kind"], each["complete"]) == ("cup", True)
    champions: list[str] = each["champions"]
    return champions


SEMIFINAL = (1, "aarwald-b", "birkenfluh-a", 90, 100)
FINAL = (2, "birkenfluh-a", "aarwald-a", 80, 95)


def test_a_cup_is_won_in_its_final(root: Path) -> None:
    assert cup(root, SEMIFINAL, FINAL) == ["aarwald-a"]


def test_a_final_kept_out_does_not_crown_the_semifinal(root: Path) -> None:
    assert cup(root, SEMIFINAL, FINAL, kept_out=1) == []


def test_two_matches_of_the_last_round_are_no_final(root: Path) -> None:
    assert cup(root, FINAL, (2, "aarwald-b", "birkenfluh-b", 70, 60)) == []


def test_a_second_match_of_the_last_round_kept_out_makes_no_final(root: Path) -> None:
    assert cup(root, FINAL, (2, "aarwald-b", "birkenfluh-b", 70, 60), kept_out=1) == []


BESIDE = f"{MATCHES}/2026-08-09-aarwald-b-birkenfluh-b.yaml"
"""A sheet of the last round that no fixture asks for."""


@pytest.mark.parametrize(
    ("outcome", "champions"),
    [("played", []), ("abandoned", []), ("postponed", ["aarwald-a"]), ("annulled", ["aarwald-a"])],
)
def test_a_match_without_winner_beside_the_final(
    outcome: str, champions: list[str], root: Path
) -> None:
    (root / BESIDE).write_text(
        f"competition: oberhang-cup\nround: 2\ndate: 2026-08-09\noutcome: {outcome}\n\n"
        "home:\n  team: aarwald-b\n  points: 70\naway:\n  team: birkenfluh-b\n",
        encoding="utf-8",
    )
    assert cup(root, SEMIFINAL, FINAL) == champions


def test_a_drawn_final_has_no_winner(root: Path) -> None:
    assert cup(root, SEMIFINAL, (2, "birkenfluh-a", "aarwald-a", 80, 80)) == []
    (line,) = [each for each in ask(root).out.splitlines() if "oberhang-cup" in each]
    assert line.split()[2] == "unknown"


CUP_SHEET = """\
competition: oberhang-cup
round: {round}
date: {date}

home:
  team: aarwald-a
  points: 90
  nummern: 0
away:
  team: birkenfluh-a
  points: 80
  nummern: 0
"""
NEXT = "seasons/2027/matches/2027-08-01-aarwald-a-birkenfluh-a.yaml"


def without_fixtures(root: Path) -> Path:
    """A cup of one match that no fixture announced, and its sheet."""
    path = root / f"{MATCHES}/2026-08-01-aarwald-a-birkenfluh-a.yaml"
    path.write_text(CUP_SHEET.format(round=1, date="2026-08-01"), encoding="utf-8")
    season = (root / SEASON).read_text(encoding="utf-8")
    (root / NEXT).parent.mkdir(parents=True)
    (root / NEXT).parents[1].joinpath("season.toml").write_text(
        season.replace("2026", "2027", 1), encoding="utf-8"
    )
    return path


def cup_of_2026(root: Path) -> tuple[bool, list[str]]:
    found = asked(root, "--competition", "oberhang-cup")
    (each,) = [each for each in found if each["season"] == 2026]
    assert each["planned"] is None
    return each["complete"], each["champions"]


def test_without_fixtures_a_later_match_shows_that_all_is_over(root: Path) -> None:
    without_fixtures(root)
    assert cup_of_2026(root) == (False, [])
    assert "(1 match)" in ask(root).out
    later = CUP_SHEET.format(round=1, date="2027-08-01")
    (root / NEXT).write_text(f"counts: false\n{later}", encoding="utf-8")
    assert cup_of_2026(root) == (False, [])
    (root / NEXT).write_text(later, encoding="utf-8")
    assert cup_of_2026(root) == (True, ["aarwald-a"])
    (root / NEXT).unlink()
    assert cup_of_2026(root) == (False, [])


@pytest.mark.parametrize("points", ["nonsense", "_"])
def test_without_fixtures_a_sheet_to_be_mended_keeps_all_open(points: str, root: Path) -> None:
    path = without_fixtures(root)
    (root / NEXT).write_text(CUP_SHEET.format(round=1, date="2027-08-01"), encoding="utf-8")
    assert cup_of_2026(root) == (True, ["aarwald-a"])
    second = path.with_name("2026-07-01-aarwald-b-birkenfluh-a.yaml")
    text = CUP_SHEET.format(round=0, date="2026-07-01").replace("round: 0\n", "")
    text = text.replace("aarwald-a", "aarwald-b")
    text = text.replace("  points: 90\n  nummern: 0\n",
                        f"  strikes:\n    aebi-ruedi: [[{points}, 1], [2, 3]]\n")  # fmt: skip
    second.write_text(text, encoding="utf-8")
    assert cup_of_2026(root) == (False, [])


def test_without_a_match_nothing_was_played_out(root: Path) -> None:
    without_fixtures(root).unlink()
    (root / NEXT).write_text(CUP_SHEET.format(round=1, date="2027-08-01"), encoding="utf-8")
    assert cup_of_2026(root) == (False, [])


def test_a_pause_of_one_competition_is_a_gap(root: Path) -> None:
    season = (root / SEASON).read_text(encoding="utf-8")
    league, cup_only = season.partition('[[competition]]\nid = "oberhang-cup"')[0::2]
    assert cup_only
    for year in (2022, 2023, 2025):
        text = season if year == 2022 else league
        path = root / f"seasons/{year}/season.toml"
        path.parent.mkdir()
        path.write_text(text.replace("2026", str(year), 1), encoding="utf-8")

    def rows(*words: str) -> list[list[str]]:
        cells = [line.split()[:4] for line in ask(root, *words).out.splitlines()]
        return [row for row in cells if row and row[0][0] == "2"]

    found = rows()
    assert [row[:2] for row in found] == [
        ["2026", "oberhang-1"], ["2026", "oberhang-cup"], ["2025", "oberhang-1"],
        ["2023–2025", "oberhang-cup"], ["2024", "no"], ["2023", "oberhang-1"],
        ["2022", "oberhang-1"], ["2022", "oberhang-cup"],
    ]  # fmt: skip
    assert found[3][2:] == ["no", "record"]
    assert [row[:2] for row in rows("--competition", "oberhang-cup")] == [
        ["2026", "oberhang-cup"], ["2023–2025", "no"], ["2022", "oberhang-cup"],
    ]  # fmt: skip


def test_friendlies_have_no_champion(root: Path) -> None:
    season = root / SEASON
    text = season.read_text(encoding="utf-8")
    season.write_text(text.replace('kind = "cup"', 'kind = "friendly"'), encoding="utf-8")
    fixture = (
        '\n[[fixture]]\ncompetition = "oberhang-cup"\nround = 1\ndate = 2026-08-01\n'
        'home = "aarwald-a"\naway = "birkenfluh-a"\n'
    )
    fixtures = root / FIXTURES
    fixtures.write_text(fixtures.read_text(encoding="utf-8") + fixture, encoding="utf-8")
    (root / f"{MATCHES}/2026-08-01-aarwald-a-birkenfluh-a.yaml").write_text(
        "competition: oberhang-cup\nround: 1\ndate: 2026-08-01\n\n"
        "home:\n  team: aarwald-a\n  points: 90\n  nummern: 0\n"
        "away:\n  team: birkenfluh-a\n  points: 80\n  nummern: 0\n",
        encoding="utf-8",
    )
    (each,) = asked(root, "--competition", "oberhang-cup")
    assert (each["kind"], each["complete"], each["played"]) == ("friendly", True, 1)
    assert each["champions"] == []


def test_formats(example: Path) -> None:
    data = asked(example)
    assert [list(each) for each in data] == [KEYS] * len(data)
    order = [(-each["season"], each["competition"]) for each in data]
    assert order == sorted(order)
    rows = list(csv.DictReader(io.StringIO(ask(example, "--format", "csv").out)))
    assert list(rows[0]) == IN_CSV
    assert [(row["season"], row["champions"]) for row in rows] == [
        (str(each["season"]), " ".join(each["champions"])) for each in data
    ]
    markdown = ask(example, "--format", "markdown").out
    assert markdown.startswith("| Season ")
    assert "|:-" in markdown
    table = ask(example).out
    assert max(len(line) for line in table.splitlines() if "by decision in" not in line) <= 100
    basis = ask(example, "--format", "json").data["basis"]
    note = table.splitlines()[-1]
    assert note.startswith(f"Of {basis['matches']} matches, {basis['strike_by_strike']} are ")


def test_the_basis_is_that_of_the_competition(example: Path) -> None:
    def matches(*words: str) -> int:
        return int(ask(example, *words, "--format", "json").data["basis"]["matches"])

    parts = [matches("--competition", key) for key in ("oberhang-1", "oberhang-fest", "hubel-fest")]
    assert all(parts)
    assert sum(parts) == matches()


def test_an_unknown_competition(example: Path) -> None:
    outcome = ask(example, "--competition", "oberhang-2")
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err.startswith(
        "riesbuch: there is no competition `oberhang-2`; did you mean oberhang-1"
    )


def test_nothing_on_record(root: Path) -> None:
    (root / SEASON).write_text("season = 2026\n", encoding="utf-8")
    (root / FIXTURES).unlink()
    for sheet in (root / MATCHES).iterdir():
        sheet.unlink()
    said = Outcome(status=0, out="There is no competition on record.\n", err="")
    assert ask(root) == said
    assert asked(root) == []
    assert ask(root, "--format", "csv").out == ",".join(IN_CSV) + "\n"


def test_honours_of_a_club_are_what_its_teams_and_strikers_won(example: Path) -> None:
    whole = [each for each in asked(example) if each["decided"] != "handed-down"]
    frames = load(example)
    played = performances(frames, match_results(frames))
    last = played.sort_values(["date", "sheet"]).groupby(["season", "competition", "player"])
    team_of = last.team.last()
    for club, teams in (
        ("birkenfluh", {"birkenfluh-a"}), ("aarwald", {"aarwald-a", "aarwald-b", "oberaar-a"}),
    ):  # fmt: skip
        wanted = {}
        for each in whole:
            key = each["season"], each["competition"]
            own = {
                what: [team for team in each[what] if team in teams]
                for what in ("champions", "promoted", "relegated")
            }
            own["best_strikers"] = [
                player for player in each["best_strikers"] if team_of[(*key, player)] in teams
            ]
            awards = [
                (won["award"], [player for player in won["players"]
                                if team_of[(*key, player)] in teams]
                 + [team for team in won["teams"] if team in teams])
                for won in each["awards"]
            ]  # fmt: skip
            awards = [(award, players) for award, players in awards if players]
            if any(own.values()) or awards:
                wanted[key] = own, awards
        found = {
            (each["season"], each["competition"]): (
                {what: each[what] for what in
                 ("champions", "promoted", "relegated", "best_strikers")},
                [(won["award"], won["players"] + won["teams"]) for won in each["awards"]],
            )
            for each in asked(example, "--club", club) if each["decided"] != "handed-down"
        }  # fmt: skip
        assert found == wanted
        assert found
        since = {key: found[key] for key in found if 1980 <= key[0] <= 2025}
        some = asked(example, "--club", club, "--since", "1980", "--until", "2025")
        assert [(each["season"], each["competition"]) for each in some] == list(since)


def test_honours_of_nobody_and_of_no_years(example: Path) -> None:
    outcome = ask(example, "--club", "oberaar")
    assert (outcome.status, outcome.out) == (0, "No honours of Oberaar are on record.\n")
    outcome = ask(example, "--since", "2025", "--until", "1990")
    assert (outcome.status, outcome.out) == (2, "")
    assert "no season lies between 2025 and 1990; is it the other way round?" in outcome.err
