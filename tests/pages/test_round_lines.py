"""``tell --round`` and ``--date``: every figure of a newspaper's round against the files alone."""

import datetime
import re
from pathlib import Path
from typing import Any

import pytest

from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import open_folder
from riesbuch.language.catalogue import catalogue
from riesbuch.pages.round_lines import result_line
from riesbuch.trade.ids import CompetitionId, Language, SheetId, TeamId
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.tally import SideTally, Tally
from tests.clubfolder import FIRST, Replace, lay_out
from tests.commandline import Outcome as Ran
from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.reference.stories import Stories


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("rounds") / "example"
    copy_example(root)
    return root


@pytest.fixture(scope="module")
def files(example: Path) -> Stories:
    return Stories(example)


def ask(root: Path, *words: str) -> Ran:
    return invoke("--folder", root, "tell", *words)


def block(text: str, begins: str) -> list[str]:
    """The lines of the block under that heading."""
    (found,) = (each for each in text.split("\n\n") if each.startswith(begins))
    return found.splitlines()[1:]


@pytest.mark.parametrize("season", [2025, 2024])
def test_each_round_is_that_of_the_files(example: Path, files: Stories, season: int) -> None:
    """Its lines, and whose day it was."""
    archive = open_archive(open_folder(example))
    teams, people = archive.register.team_names, archive.register.players
    results = files.results
    league = results[(results.season == season) & (results.competition == "oberhang-1")]
    struck = files.played
    rounds = sorted({int(number) for number in league["round"].dropna()})
    assert len(rounds) == 14
    for number in rounds:
        outcome = ask(example, "oberhang-1", "--round", str(number), "--season", str(season))
        assert (outcome.status, outcome.err) == (0, "")
        of_round = league[league["round"] == number]
        expected = set()
        for _, rows in of_round[of_round.outcome.isin(["played", "abandoned"])].groupby("sheet"):
            home, away = (rows[rows.side == side].iloc[0] for side in ("home", "away"))
            pair = f"{teams[home.team]} – {teams[away.team]}"
            figures = " – ".join(
                f"{int(each.nummern)} Nr. {int(each.points)}" for each in (home, away)
            )
            expected.add(f"{pair} {figures}")
        lines = outcome.out.split("\n\n")[0].splitlines()[1:]
        assert {
            line.partition(" (")[0] for line in lines if re.search(r" \d+ Nr. \d", line)
        } == expected
        assert len(lines) == of_round.sheet.nunique()
        of_day = struck[struck.sheet.isin(of_round.sheet)]
        named = re.findall(
            r"([^,:]+?) \(([^)]+)\) (\d+)",
            outcome.out.split("Best strikers: ")[1].split("\n")[0].replace(" and ", ", "),
        )
        third = of_day.points.nlargest(3).min()
        best = of_day[of_day.points >= third]
        assert sorted((name.strip(), team, int(points)) for name, team, points in named) == sorted(
            (people[row.player].name, teams[row.team], int(row.points)) for row in best.itertuples()
        )


def test_the_table_after_the_last_round_is_the_seasons(example: Path, files: Stories) -> None:
    teams = open_archive(open_folder(example)).register.team_names
    outcome = ask(example, "oberhang-1", "--round", "14", "--season", "2025")
    rows = block(outcome.out, "Table afterwards")
    expected = files.standings[2025, "oberhang-1"]
    assert [re.sub(r" \([+−]\d\)$", "", row) for row in rows] == [
        f"{row['rank']}. {teams[row['team']]}: {row['played']} matches, {row['rank_points']} rank"
        f" points, {row['nummern']} Nr. {row['points']}"
        + (f", −{-row['ruled']} by a ruling" if row["ruled"] else "")
        for row in expected
    ]


def test_places_are_those_gained_since_the_round_before(example: Path) -> None:
    def ranks(number: int) -> dict[str, int]:
        out = ask(example, "oberhang-1", "--round", str(number), "--season", "2026").out
        return {
            found[2]: int(found[1])
            for row in block(out, "Table afterwards")
            if (found := re.match(r"(\d+)\. ([^:]+):", row))
        }

    moved = 0
    for number in (2, 3, 4):
        before, after = ranks(number - 1), ranks(number)
        out = ask(example, "oberhang-1", "--round", str(number), "--season", "2026").out
        for row in block(out, "Table afterwards"):
            found = re.match(r"\d+\. ([^:]+):.*?(?: \(([+−]\d)\))?$", row)
            if found:
                gained = int((found[2] or "0").replace("−", "-"))
                assert gained == before[found[1]] - after[found[1]]
                moved += bool(gained)
    assert moved > 5


def test_of_each_competition_that_played_on_the_day(example: Path) -> None:
    outcome = ask(example, "--date", "2026-05-17", "--language", "de")
    assert outcome.out.startswith(
        "Oberhang League, first division, 5. Runde (17. Mai 2026)\n"
        "Eschlisried A – Aarwald A 0 Nr. 658 – 0 Nr. 889\n"
    )
    assert "Sommerhubel A – Ginsterwil A: verschoben auf den 14. Juni 2026\n\nBeste" in outcome.out
    assert "\n\nStand der Einzelschläger:\n1. Jonas Bigler (Aarwald A): " in outcome.out
    assert "\n\nRangliste danach" in outcome.out


def test_a_match_still_to_be_entered_qualifies_who_was_best(example: Path) -> None:
    out = ask(example, "--date", "2026-06-07").out
    assert "Sommerhubel A – Birkenfluh A: result to follow\n" in out
    assert "\n\nBest strikers, as far as known: Jonas Bigler (Aarwald A) 72" in out


def test_what_is_not_there_is_said_with_what_is(example: Path) -> None:
    for words, said in (
        (("--round", "30"), "no sheet of 2026 is of round 30; there are 1, 2, 3, 4, 5, 6, 7"),
        (("--date", "2026-05-16"), "the nearest day with one is 2026-05-17"),
        (("--date", "2027-05-16"), "there is no season 2027"),
        (("--round", "3", "--date", "2026-05-17"), "one of them is enough"),
        (("--round", "3", "--length", "long"), "leave them out"),
        (("--round", "3", "nix"), "there is no competition `nix`"),
        ((), "`riesbuch tell --round 6`"),
        (("2026/2026-05-17-eschlisried-a-aarwald-a", "--season", "2026"), "--season goes with"),
    ):  # fmt: skip
        outcome = ask(example, *words)
        assert (outcome.status, outcome.out) == (2, "")
        assert said in outcome.err


def test_a_sheet_with_errors_and_one_that_is_missing_are_still_to_come(tmp_path: Path) -> None:
    folder = lay_out(tmp_path).root
    fixtures = folder / "seasons/2026/fixtures.toml"
    fixtures.write_text(
        "".join(
            f'[[fixture]]\ncompetition = "oberhang-1"\nround = 1\ndate = 2026-04-12\n'
            f'home = "{home}"\naway = "{away}"\n'
            for home, away in (("aarwald-a", "birkenfluh-a"), ("birkenfluh-a", "aarwald-a"))
        ),
        "utf-8",
    )
    whole = ask(folder, "--round", "1")
    assert whole.status == 0
    assert "Aarwald A – Birkenfluh A 0 Nr. 119 – 1 Nr. 93\n" in whole.out
    assert "Birkenfluh A – Aarwald A: result to follow\n" in whole.out
    assert whole.out.endswith("Not yet in it: 1 match\n")
    Replace(FIRST, "[15, 0]", "[15, 99]").apply(folder)
    wrong = ask(folder, "--round", "1")
    assert wrong.status == 1
    assert "left out" in wrong.err
    assert "Aarwald A – Birkenfluh A: result to follow\n" in wrong.out
    assert "119" not in wrong.out


def side(team: str, nummern: int | None, points: int | None) -> SideTally:
    return SideTally(TeamId(team), Depth.POINTS, None, points, nummern, None)


def line(language: Language, home: SideTally, away: SideTally, **others: Any) -> str:
    tally = Tally(
        SheetId("s"), 2026, CompetitionId("c"), 1, None, Outcome.PLAYED, home, away, "home",
        "points", is_draft=False, counts=True,
    )  # fmt: skip
    return result_line(catalogue(language, "reports"), tally._replace(**others), str.upper)


def test_what_nobody_knows_is_said_in_words() -> None:
    known, other = side("a", 0, 900), side("b", 0, 800)
    nothing = side("b", None, None)
    assert line("en", known, other) == "A – B 0 Nr. 900 – 0 Nr. 800"
    assert line("en", known, nothing, decided_by="recorded") == (
        "A – B 0 Nr. 900 – not known (won by A)"
    )
    assert line("de", side("a", None, 900), other, winner=None, decided_by=None) == (
        "A – B 900 – 0 Nr. 800 (Nummern nicht bekannt, Sieger nicht bekannt)"
    )
    assert line("de", side("a", 1, None), other) == "A – B 1 Nr. – 0 Nr. 800 (Punkte nicht bekannt)"
    recorded = {"decided_by": "recorded"}
    assert line("en", nothing, nothing, **recorded) == "B – B: figures not known (won by B)"
    assert line("en", nothing, nothing, winner="draw", **recorded) == (
        "B – B: figures not known (drawn)"
    )
    assert line("en", known, known, decided_by="longest_ries").endswith(
        "(won by A by the highest Ries)"
    )
    assert line("de", known, other, outcome=Outcome.ABANDONED, kept_out=True) == (
        "A – B 0 Nr. 900 – 0 Nr. 800 (abgebrochen, zählt nicht)"
    )
    assert line("en", known, other, is_draft=True) == "A – B: result to follow"
    postponed = {"outcome": Outcome.POSTPONED, "winner": None}
    assert line("de", known, other, **postponed) == "A – B: verschoben, noch ohne neues Datum"
    day = datetime.date(2026, 6, 14)
    assert line("de", known, other, moved_to=day, **postponed) == (
        "A – B: verschoben auf den 14. Juni 2026"
    )
    assert line("en", known, other, outcome=Outcome.FORFEITED) == "A – B: forfeited, awarded to A"
    assert line("en", known, other, outcome=Outcome.ANNULLED) == "A – B: annulled"
