"""Every problem code fires where it should, at its place, and not for a near miss."""

import re
from collections import Counter
from pathlib import Path

import pytest

from riesbuch.language.catalogue import catalogue
from riesbuch.trade.messages import translated
from riesbuch.trade.problems import CODES, Problem
from tests.clubfolder import (
    FIRST,
    FIXTURES,
    LENA,
    MATCHES,
    RULES,
    SEASON,
    SECOND,
    Delete,
    Edit,
    MakeFolder,
    Replace,
    Write,
    lay_out,
    problems_of,
)
from tests.commandline import invoke
from tests.problem_cases import CASES, VARIANTS, Case

# Their own sentence stands in ours.
SAID_BY_PARSERS = {"yaml-syntax", "toml-syntax", "file-unreadable"}
EACH_CASE = pytest.mark.parametrize("case", CASES + VARIANTS, ids=lambda case: case.code)


def shown(problems: list[Problem]) -> list[str]:
    return [
        f"{each.place.path}:{each.place.line}:{each.place.column}:"
        f" {each.severity}[{each.code}] {each.message} | {each.hint}"
        for each in problems
    ]


def test_every_code_has_one_case() -> None:
    assert Counter(case.code for case in CASES) == Counter(list(CODES))


def test_the_folder_without_edits_is_spotless(tmp_path: Path) -> None:
    assert shown(problems_of(lay_out(tmp_path))) == []


@EACH_CASE
def test_case_is_reported_at_its_place(case: Case, tmp_path: Path) -> None:
    problems = problems_of(lay_out(tmp_path, case.edits))
    codes = [each.code for each in problems]
    assert sorted(codes) == sorted((case.code, *case.also)), shown(problems)
    file = tmp_path / case.path
    text = file.read_bytes().decode("utf-8", "replace") if file.is_file() else ""
    line, column = case.place(text)
    if case.points_at:
        assert text.split("\n")[line - 1][column - 1 :].startswith(case.points_at.split("\n")[0])
    problem = next(
        each for each in problems if each.code == case.code and case.says in each.message
    )
    found = (problem.place.path, problem.place.line, problem.place.column, str(problem.severity))
    assert found == (case.path, line, column, case.severity), shown(problems)
    assert case.advises in problem.hint
    assert bool(case.advises) == bool(problem.hint)


@EACH_CASE
def test_a_problem_can_be_said_in_another_language(case: Case, tmp_path: Path) -> None:
    """All that is a sentence of ours stands in the made-up language, whole: what is left of it in
    English are names, keys and values of the files, and what a parser says."""
    for problem in problems_of(lay_out(tmp_path, case.edits)):
        for sentence in (problem.message, problem.hint):
            said = translated(sentence, InBrackets())
            assert not sentence or said[0] + said[-1] == "⟦⟧", sentence
            if problem.code not in SAID_BY_PARSERS:
                assert not re.search(r"\b[a-z]{2,} [a-z]{2,}\b", left_in_english(said)), said


class InBrackets:
    """A language whose words for everything are the same in brackets, with a mark in each word."""

    def gettext(self, message: str) -> str:
        marked = re.sub(r"(\{\w+(?::,)?\})|\w", lambda found: found[1] or "¤", message)
        return f"⟦{marked}⟧"

    def pgettext(self, context: str, message: str) -> str:
        return message

    def ngettext(self, one: str, many: str, number: int) -> str:
        return self.gettext(one if number == 1 else many)


def left_in_english(said: str) -> str:
    return re.sub(r"`[^`]*`|¤", "", said)


# Small words that English has and German has not.
ENGLISH = re.compile(
    r"\b(the|of|is|are|and|or|not|it|its|to|with|by|from|for|on|has|have|this|that|which|where)\b"
)


@EACH_CASE
def test_a_problem_in_german_has_no_english_left(case: Case, tmp_path: Path) -> None:
    german = catalogue("de", "commands")
    for problem in problems_of(lay_out(tmp_path, case.edits)):
        for sentence in (problem.message, problem.hint):
            said = translated(sentence, german)
            assert not ENGLISH.search(re.sub(r"`[^`]*`", "", said)), said
            assert "ß" not in said


@EACH_CASE
def test_near_miss_is_not_reported(case: Case, tmp_path: Path) -> None:
    problems = problems_of(lay_out(tmp_path, case.near_miss.edits))
    codes = [each.code for each in problems]
    assert case.code not in codes
    assert sorted(codes) == sorted(case.near_miss.also), shown(problems)


@EACH_CASE
def test_sentences_are_for_people(case: Case, tmp_path: Path) -> None:
    for problem in problems_of(lay_out(tmp_path, case.edits)):
        for sentence in (problem.message, problem.hint):
            assert "\n" not in sentence
            assert not sentence.endswith(".")
            assert "None" not in sentence
            assert str(tmp_path) not in sentence
    assert case.title.endswith(".")
    assert case.near_miss.title.endswith(".")


def test_many_faults_are_all_reported_in_one_run_in_order(tmp_path: Path) -> None:
    sheet = """\
competition: oberhang-1
round: 0
date: 2026-02-30
wether: fine
home:
  team: aarwald-c
  captain: Ruedi Aebi
  strikes:
    aebi-rudi: [[81, 2O], [17]]
    bigler-jonas: [[15, 0N], [20N, 14]]
  nummern: 0
away:
  team: birkenfluh-a
  strikes:
    kipfer-urs: [[14, 9], [12, 16]]
    bigler-jonas: [[8, 13], [11, 10]]
  paper: {ries: [22, 22, 23, 25], points: 93}
doubts: [{at: home.strikes.nobody.1.1, note: blot}]
"""
    spoilt_register = Replace(LENA, "name: Lena Zaugg", "nam: Lena Zaugg")
    spoilt_season = Replace(SEASON, "cycles = 2", "cycles = 0")
    no_fixtures = Delete(FIXTURES)
    folder = lay_out(tmp_path, [Write(FIRST, sheet), spoilt_register, spoilt_season, no_fixtures])
    problems = problems_of(folder)
    places = [(each.place.path, each.place.line, each.place.column, each.code) for each in problems]
    assert places == [
        (LENA, 1, 1, "missing-key"),
        (LENA, 1, 1, "unknown-key"),
        (FIRST, 2, 8, "bad-number"),
        (FIRST, 3, 7, "bad-date"),
        (FIRST, 4, 1, "unknown-key"),
        (FIRST, 6, 9, "unknown-team"),
        (FIRST, 7, 12, "bad-identifier"),
        (FIRST, 9, 5, "unknown-player"),
        (FIRST, 9, 18, "strike-too-high"),
        (FIRST, 9, 22, "strike-unreadable"),
        (FIRST, 9, 27, "strikes-count"),
        (FIRST, 10, 25, "nummer-on-nothing"),
        (FIRST, 10, 31, "nummer-outside-zone"),
        (FIRST, 11, 12, "figures-misplaced"),
        (FIRST, 16, 5, "player-on-both-sides"),
        (FIRST, 17, 30, "paper-differs"),
        (FIRST, 18, 15, "doubt-nowhere"),
        (SEASON, 9, 1, "bad-number"),
    ]
    assert problems == sorted(problems, key=lambda each: each.sort_key)


FIXTURE = """
[[fixture]]
competition = "oberhang-1"
date = 2026-09-06
home = "aarwald-a"
away = "aarwald-b"
"""


@pytest.mark.parametrize(
    ("old", "new", "line", "code"),
    [
        ('"oberhang-1"', '"oberhang-2"', 16, "unknown-competition"),
        ('"aarwald-b"', '"birkenfluh-b"', 19, "team-not-in-competition"),
        ('"aarwald-b"', '"aarwald-a"', 19, "same-team-twice"),
        ("2026-09-06", "2027-09-06", 17, "date-outside-season"),
        ("2026-09-06", '"2026-09-06"', 17, "bad-date"),
        ('home = "aarwald-a"\n', "", 15, "missing-key"),
        ("date", "day", 17, "unknown-key"),
    ],
)
def test_a_fixture_is_judged_too(old: str, new: str, line: int, code: str, tmp_path: Path) -> None:
    faultless = lay_out(tmp_path)
    text = (tmp_path / FIXTURES).read_text(encoding="utf-8")
    (tmp_path / FIXTURES).write_text(text + FIXTURE, encoding="utf-8")
    assert shown(problems_of(faultless)) == []
    assert old in FIXTURE
    (tmp_path / FIXTURES).write_text(text + FIXTURE.replace(old, new, 1), encoding="utf-8")
    problems = problems_of(faultless)
    found = {(each.place.path, each.place.line, each.code) for each in problems}
    assert (FIXTURES, line, code) in found, shown(problems)


def test_an_open_register_warns_of_an_unknown_player(tmp_path: Path) -> None:
    edits: list[Edit] = [
        Write("league.toml", 'name = "Oberhang League"\nregister = "open"\n'),
        Write("players/sahli-rosa.yaml", "name: Rosa Sahli\n"),
        Replace(FIRST, "sahli-rosa:", "wyss-peter:"),
    ]
    (problem,) = problems_of(lay_out(tmp_path, edits))
    assert (problem.code, str(problem.severity)) == ("unknown-player", "warning")
    assert problem.hint == "a new player needs a file players/wyss-peter.yaml"


def test_an_unknown_competition_hides_no_other_fault_between_files(tmp_path: Path) -> None:
    edits = [
        Replace(FIRST, "oberhang-1", "oberhang-2"),
        Replace(FIRST, "sahli-rosa:", "sali-rosa:"),
        Replace(FIRST, "team: birkenfluh-a", "team: birkenfluh-z"),
    ]
    codes = {each.code for each in problems_of(lay_out(tmp_path, edits))}
    assert {"unknown-competition", "unknown-player", "unknown-team"} <= codes


def test_a_season_without_competitions_hides_none_after_it(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [MakeFolder("seasons/2024/matches"), MakeFolder("seasons/2025")])
    assert shown(problems_of(folder)) == []
    rows = invoke("--folder", tmp_path, "standings", "oberhang-1", "--format", "json").data
    assert [(each["team"], each["played"]) for each in rows if each["played"]] == [
        ("aarwald-a", 2),
        ("birkenfluh-a", 2),
    ]


@pytest.mark.parametrize(
    ("winner", "codes"), [("", []), ("winner: home\n", ["winner-contradicts"])]
)
def test_a_postponed_match_has_no_winner(winner: str, codes: list[str], tmp_path: Path) -> None:
    put_off = f"""\
competition: oberhang-1
round: 2
date: 2026-05-10
outcome: postponed
{winner}home: {{team: birkenfluh-a}}
away: {{team: aarwald-a}}
"""
    problems = problems_of(lay_out(tmp_path, [Write(SECOND, put_off)]))
    assert [each.code for each in problems] == codes
    for each in problems:
        assert (each.place.path, each.place.line) == (SECOND, 5)
        assert each.message == "a postponed match has no winner yet"


@pytest.mark.parametrize(
    ("competition", "codes"), [("oberhang-cup", []), ("oberhang-1", ["same-match-twice"])]
)
def test_only_a_cup_match_is_replayed_in_its_round(
    competition: str, codes: list[str], tmp_path: Path
) -> None:
    sheet = f"competition: {competition}\nround: 5\ndate: 2026-03-%s\nwinner: %s\n"
    sheet += "home: {team: aarwald-b}\naway: {team: birkenfluh-a}\n"
    edits = [
        Write(f"{MATCHES}/drawn.yaml", sheet % ("15", "draw")),
        Write(f"{MATCHES}/replay.yaml", sheet % ("22", "home")),
    ]
    problems = problems_of(lay_out(tmp_path, edits))
    assert [each.code for each in problems] == codes
    assert all(each.place.path == f"{MATCHES}/replay.yaml" for each in problems)


def test_a_problem_is_told_again_until_it_is_mended(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [Replace(SECOND, "round: 2", "round: two")])
    first = shown(problems_of(folder))
    assert len(first) == 1
    assert shown(problems_of(folder)) == first
    Replace(SECOND, "round: two", "round: 2").apply(tmp_path)
    assert shown(problems_of(folder)) == []


def test_a_zone_from_nought_makes_a_nuller_in_the_strip_a_nummer(tmp_path: Path) -> None:
    edits = [
        Replace(RULES, "from = 1", "from = 0"),
        Replace(FIRST, "[[15, 0], ", "[[15, 0N], "),
        Replace(FIRST, "  team: birkenfluh-a", "  team: birkenfluh-a\n  paper: {nummern: 2}"),
    ]
    assert problems_of(lay_out(tmp_path, edits)) == []


def test_the_usual_zone_ends_where_nummern_are_reported(tmp_path: Path) -> None:
    """Common practice: Nummern at 20 and 21 are reported of ordinary league matches."""
    without_zone = Replace(RULES, "nummer_zone = {from = 1, to = 18}\n", "")
    paper = Replace(FIRST, "  team: birkenfluh-a", "  team: birkenfluh-a\n  paper: {nummern: 2}")
    for strike, codes in (("21N", []), ("22N", ["nummer-outside-zone"])):
        edits = [without_zone, paper, Replace(FIRST, "[18, 20]", f"[18, {strike}]")]
        problems = problems_of(lay_out(tmp_path / strike, edits))
        assert [each.code for each in problems] == codes
