"""``tell``: every fact against a recomputation from the files, every sentence against its facts,
and both languages against each other."""

import datetime
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest

from riesbuch.folder.archive import Archive, open_archive
from riesbuch.folder.club_folder import open_folder
from riesbuch.index.index import Index
from riesbuch.judge.examination import judge, season_sheets
from riesbuch.language.catalogue import catalogue
from riesbuch.pages.stories import of_past, of_sheet, opening, remarks, telling
from riesbuch.pages.stories.facts import Detail, Fact, Figure, Names, Telling
from riesbuch.pages.stories.opening import Opening
from riesbuch.pages.stories.telling import (
    Length,
    NameOf,
    Story,
    choose,
    match_facts,
    match_story,
    tell,
)
from riesbuch.questions import before_match
from riesbuch.questions.before_match import BeforeMatch
from riesbuch.questions.career import career
from riesbuch.questions.who import find_player
from riesbuch.trade.ids import LANGUAGES, Language, PlayerId
from riesbuch.trade.match import Match, SourceKind
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.tally import Tally
from tests import catalogues
from tests.catalogues import gaps
from tests.clubfolder import FIRST, FIRST_SHEET, SECOND, Replace, Write, lay_out
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.archive import build
from tests.reference.stories import Stories
from tests.without_index import competition_results

WORDS = {language: catalogue(language, "stories") for language in LANGUAGES}
LENGTHS: tuple[Length, ...] = get_args(Length)
Data = dict[str, Any]


class Told:
    """A folder as the tool has it, and as its files alone come to."""

    def __init__(self, root: Path) -> None:
        self.reference = Stories(root)
        folder = open_folder(root)
        self.index = Index(folder, lambda message: None)
        self.connection = self.index.connection()
        self.past = BeforeMatch(self.connection)
        self.archive: Archive = open_archive(folder)
        self.matches: dict[str, tuple[Match, Tally, RuleSet]] = {}
        for year in folder.years():
            sheets = season_sheets(self.archive, [year])
            problems = judge(self.archive, sheets)
            season = self.archive.seasons.get(year)
            for competition in season.competitions if season else ():
                rules = self.archive.rules_of(competition)
                assert rules is not None
                for each in competition_results(
                    self.archive, year, competition, rules, sheets, problems
                ).matches:
                    self.matches[each.match.sheet] = each.match, each.tally, rules

    def facts(self, sheet: str) -> list[Data]:
        found = match_facts(self.past, self.archive, *self.matches[sheet])
        data: list[Data] = json.loads(json.dumps([fact.data() for fact in found]))
        return data

    def story(
        self, sheet: str, language: Language, length: Length, named: NameOf | None = None
    ) -> Story:
        return match_story(
            self.past,
            self.archive,
            *self.matches[sheet],
            language=language,
            length=length,
            named=named,
        )


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Told]:
    root = tmp_path_factory.mktemp("tell") / "example"
    copy_example(root)
    found = Told(root)
    yield found
    found.index.close()


@pytest.fixture(scope="session")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Told]:
    root = tmp_path_factory.mktemp("tell") / "mixed"
    build(root, 3, 2003)
    # Generated people have no parents; some get them, so that there are families.
    players = sorted((root / "players").iterdir())
    for child, parent in zip(players[::3], players[1::3], strict=False):
        with child.open("a", encoding="utf-8") as file:
            file.write(f"parents: [{parent.stem}]\n")
    annulled = min((root / "seasons/2003/matches").iterdir())
    annulled.write_text("outcome: annulled\n" + annulled.read_text("utf-8"), "utf-8")
    found = Told(root)
    yield found
    found.index.close()


def in_one_order(facts: list[Data]) -> list[str]:
    return sorted(json.dumps(fact, sort_keys=True) for fact in facts)


def kinds_of(facts: list[Data]) -> set[str]:
    return {fact["fact"] for fact in facts}


# Facts


def test_every_fact_of_the_example_is_that_of_the_files(example: Told) -> None:
    assert len(example.matches) == len(example.reference.sheets) == 258
    for sheet in example.matches:
        expected = json.loads(json.dumps(example.reference.facts(sheet)))
        assert in_one_order(example.facts(sheet)) == in_one_order(expected), sheet


def test_every_fact_of_a_mixed_archive_is_that_of_the_files(mixed: Told) -> None:
    assert len(mixed.matches) == len(mixed.reference.sheets)
    for sheet in mixed.matches:
        expected = json.loads(json.dumps(mixed.reference.facts(sheet)))
        assert in_one_order(mixed.facts(sheet)) == in_one_order(expected), sheet


def test_the_two_archives_have_nearly_every_kind_of_fact(example: Told, mixed: Told) -> None:
    kinds: set[str] = set()
    for each in (example, mixed):
        for sheet in each.matches:
            kinds |= kinds_of(each.facts(sheet))
    every = {
        kind.__name__
        for base in (Opening, Detail, remarks.Quotation, of_past.Run)
        for kind in base.__subclasses__()
    }
    assert every - kinds == {"Quotation", "Run", "WithErrors"}


def test_there_is_one_fact_to_begin_with(example: Told, mixed: Told) -> None:
    for each in (example, mixed):
        for sheet in each.matches:
            found = match_facts(each.past, each.archive, *each.matches[sheet])
            assert sum(isinstance(fact, Opening) for fact in found) == 1


def test_milestones_agree_with_the_career(example: Told) -> None:
    by_player: dict[str, set[tuple[str, str, int]]] = {}
    for sheet in example.matches:
        for fact in example.facts(sheet):
            if fact["fact"] in ("MatchNumber", "PointsReached"):
                of = "matches" if fact["fact"] == "MatchNumber" else "points"
                by_player.setdefault(fact["player"], set()).add((of, sheet, fact["number"]))
    for player in sorted(example.archive.register.players):
        found = career(example.connection, find_player(example.connection, player))
        milestones = {
            (each.of, each.sheet, each.number) for each in found.milestones if each.number > 1
        }
        assert by_player.get(player, set()) == milestones, player


def test_a_story_knows_nothing_later(example: Told, tmp_path: Path) -> None:
    root = tmp_path / "earlier"
    copy_example(root)
    for path in sorted(root.glob("seasons/*/matches/*.yaml")):
        if path.stem[:10] > "2025-05-18":
            path.unlink()
    earlier = Told(root)
    assert 150 < len(earlier.matches) < 200
    for sheet in earlier.matches:
        for language in LANGUAGES:
            before = earlier.story(sheet, language, "long")
            assert before == example.story(sheet, language, "long")
    earlier.index.close()


def test_somebody_with_two_rows_has_one_match(tmp_path: Path) -> None:
    """A supernumerary who came in: both rows are the same match."""
    in_two_rows = FIRST_SHEET.replace(
        "away:\n", "  supernumeraries:\n    bigler-jonas: [[x, x], [x, 9]]\naway:\n"
    ).replace("bigler-jonas: [[15, 0], [16N, 14]]", "bigler-jonas: [[15, 0], [16N, x]]")
    folder = lay_out(tmp_path, [Write(FIRST, in_two_rows)])
    index = Index(folder, lambda message: None)
    before = BeforeMatch(index.connection()).player("bigler-jonas", ("2026-05-10", 2, "later"))
    assert before == (1, 40, 40, True)
    index.close()


def test_what_was_before_is_the_same_where_much_is_forgotten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    index = Index(open_folder(copy_example(tmp_path / "league")), lambda _: None)
    connection = index.connection()
    players = [player for (player,) in connection.execute("SELECT player FROM players ORDER BY 1")]
    asked = [(player, (f"{year}-06-01", 0, "")) for player in players for year in range(2019, 2027)]
    whole = BeforeMatch(connection)
    expected = [whole.player(*about) for about in asked]
    monkeypatch.setattr(before_match, "_MOST_CAREERS", 3)
    monkeypatch.setattr(before_match, "_MOST_FAMILIES", 1)
    forgetful = BeforeMatch(connection)
    # In another order, so that who was forgotten is asked for again.
    found = [forgetful.player(*about) for about in asked[::8] + asked[1::8]]
    assert found == expected[::8] + expected[1::8]
    known, remembered = (each._career.cache_info() for each in (whole, forgetful))
    assert remembered.currsize < known.currsize
    assert remembered.misses > known.misses
    pair = players[0], players[1]
    assert forgetful.together(pair, ("2026", 0, "")) == whole.together(pair, ("2026", 0, ""))
    index.close()


# Sentences


def names_in(data: Any, key: str) -> Iterator[str]:
    """All identifiers under ``key`` or in a list under its plural."""
    if isinstance(data, list):
        for each in data:
            yield from names_in(each, key)
    elif isinstance(data, dict):
        for name, value in data.items():
            if name == key and value is not None:
                yield value
            elif name == f"{key}s":
                yield from value
            else:
                yield from names_in(value, key)


TEAM_KEYS = ("team", "home", "away", "winner", "loser", "ahead", "final_ahead")


def numbers_in(data: Any) -> Iterator[int]:
    if isinstance(data, bool):
        return
    if isinstance(data, int):
        yield data
    elif isinstance(data, list):
        for each in data:
            yield from numbers_in(each)
    elif isinstance(data, dict):
        for value in data.values():
            yield from numbers_in(value)
    elif isinstance(data, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", data):
        day = datetime.date.fromisoformat(data)
        yield from (day.day, day.year)


def derived(fact: Data) -> Iterator[int]:
    """Numbers that a sentence says and that follow from the fact."""
    if fact["fact"] == "Course":
        yield abs(fact["final_lead"] - fact["lead"])
    if fact["fact"] == "PersonalBests":
        yield len(fact["bests"])
        # The best striker of the match, or of both sides, is told of already.
        yield len(fact["bests"]) - 1
        yield len(fact["bests"]) - 2
    if fact["fact"] == "Family":
        yield fact["before"] + 1


def texts_in(fact: Data) -> Iterator[str]:
    yield from (
        " ".join(fact[key].split()).rstrip(".")
        for key in ("text", "ground", "reference")
        if fact.get(key)
    )


def left_of(text: str, taken: list[str]) -> str:
    for each in sorted(taken, key=len, reverse=True):
        text = text.replace(each, "…")
    return text


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("length", LENGTHS)
@pytest.mark.parametrize("folder", ["example", "mixed"])
def test_a_sentence_says_what_its_facts_hold(
    folder: str, language: Language, length: Length, request: pytest.FixtureRequest
) -> None:
    told_folder: Told = request.getfixturevalue(folder)
    register, words = told_folder.archive.register, WORDS[language]
    players = {each.name for each in register.players.values()}
    teams = set(register.team_names.values())
    for sheet in told_folder.matches:
        every = told_folder.facts(sheet)
        for sentence in (
            each for part in told_folder.story(sheet, language, length).paragraphs for each in part
        ):
            data = [json.loads(json.dumps(each.data())) for each in sentence.facts]
            assert data
            assert all(each in every for each in data)
            text = left_of(sentence.text, [quote for each in data for quote in texts_in(each)])
            for each in data:
                key = each.get("competition")
                competition = told_folder.archive.competition(int(sheet[:4]), key)
                if competition is not None:
                    text = text.replace(competition.name, "…")
            named = {register.player_name(PlayerId(each)) for each in names_in(data, "player")}
            text = left_of(text, sorted(named))
            assert not [name for name in players if name in text], sentence.text
            mentioned = {
                register.team_names.get(team, team)
                for key in TEAM_KEYS
                for team in names_in(data, key)
            }
            text = left_of(text, sorted(mentioned))
            assert not [name for name in teams if name in text], sentence.text
            figures = {words.number(number) for number in numbers_in(data)}
            figures |= {str(number) for number in numbers_in(data)}
            figures |= {words.number(number) for each in data for number in derived(each)}
            said = {each.rstrip(",’") for each in re.findall(r"\d[\d,’]*", text)}
            assert said <= figures, sentence.text


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_sentence_says_who_won(example: Told, language: Language) -> None:
    """The winner's name, the loser's, and what decided are all in what is said of the result."""
    for sheet, (_, tally, _) in example.matches.items():
        if tally.winner not in ("home", "away"):
            continue
        story = example.story(sheet, language, "short")
        first = story.paragraphs[0][0]
        won = next(
            fact for fact in first.facts if isinstance(fact, opening.Won | opening.Forfeited)
        )
        assert won.winner == tally.side(tally.winner).team
        for side in (tally.home, tally.away):
            assert side.team is not None
            assert example.archive.register.team_name(side.team) in first.text
        if tally.decided_by == "points":
            for side in (tally.home, tally.away):
                assert side.points is not None
                assert WORDS[language].number(side.points) in first.text


@pytest.mark.parametrize("language", LANGUAGES)
def test_stories_differ(example: Told, language: Language) -> None:
    openings = set()
    for sheet in example.matches:
        text = example.story(sheet, language, "short").paragraphs[0][0].text
        for team in example.archive.register.team_names.values():
            text = text.replace(team, "T")
        openings.add(re.sub(r"\d[\d,’]*", "0", text).replace("0. ", "0 "))
    assert len(openings) > 20


@pytest.mark.parametrize("language", LANGUAGES)
def test_nobody_who_must_not_be_named_is_named(example: Told, language: Language) -> None:
    hidden = set(sorted(example.archive.register.players)[::2])
    names = {key: each.name for key, each in example.archive.register.players.items()}

    def named(player: str, season: int) -> str | None:
        return None if player in hidden else names[PlayerId(player)]

    unlike = 0
    for sheet in example.matches:
        story = example.story(sheet, language, "long", named)
        unlike += story != example.story(sheet, language, "long")
        text = "\n".join(story.texts())
        said = json.dumps(
            [fact.data() for part in story.paragraphs for each in part for fact in each.facts]
        )
        assert not [player for player in hidden if names[PlayerId(player)] in text]
        assert not [player for player in hidden if f'"{player}"' in said]
        whole = match_facts(example.past, example.archive, *example.matches[sheet])
        for fact in (fact for part in story.paragraphs for each in part for fact in each.facts):
            if isinstance(fact, of_past.PersonalBests) and len(fact.bests) > 3:
                assert fact in whole, "how many there were is told of all or not at all"
    assert unlike > 100


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("folder", ["example", "mixed"])
def test_nothing_is_told_twice(
    folder: str, language: Language, request: pytest.FixtureRequest
) -> None:
    told_folder: Told = request.getfixturevalue(folder)
    names = told_folder.archive.register.player_name
    together = 0
    for sheet in told_folder.matches:
        for length in LENGTHS:
            sentences = [
                each for part in told_folder.story(sheet, language, length).paragraphs
                for each in part
            ]  # fmt: skip
            assert len({each.text for each in sentences}) == len(sentences)
            bests = [each for each in sentences if kinds_in(each) == {"PersonalBests"}]
            for best in (each for each in sentences if "BestStrikers" in kinds_in(each)):
                (fact,) = (each for each in best.facts if isinstance(each, of_sheet.BestStrikers))
                if fact.only is None:
                    continue
                of_best = re.escape(names(PlayerId(fact.only)))
                assert not any(re.search(rf"{of_best}\b", each.text) for each in bests), best.text
                together += "PersonalBests" in kinds_in(best)
            # The Nummern of a side are counted in one sentence.
            counted = [each for each in sentences if re.search(r"Nummern?\b", each.text)]
            vague = [each for each in counted if "NummernStruck" in kinds_in(each)]
            opened = [each for each in counted if isinstance(each.facts[-1], opening.Won)]
            for each in vague if opened else ():
                assert all(
                    fact.names_strikers
                    for fact in each.facts
                    if isinstance(fact, of_sheet.NummernStruck)
                )
    assert together > 5


def kinds_in(sentence: telling.Sentence) -> set[str]:
    return {type(fact).__name__ for fact in sentence.facts}


@pytest.mark.parametrize("length", LENGTHS)
def test_stories_vary_their_order(example: Told, length: Length) -> None:
    """Of two kinds of facts, now one comes first and now the other."""
    orders: set[tuple[str, str]] = set()
    for sheet in example.matches:
        kinds = [
            type(each.facts[0]).__name__
            for part in example.story(sheet, "en", length).paragraphs
            for each in part
        ]
        orders |= {(kind, other) for number, kind in enumerate(kinds) for other in kinds[number:]}
    turned = [pair for pair in orders if pair[0] != pair[1] and pair[::-1] in orders]
    assert len(turned) >= 8


@pytest.mark.parametrize("folder", ["example", "mixed"])
def test_numbers_to_twelve_are_words_in_every_story(
    folder: str, request: pytest.FixtureRequest
) -> None:
    told_folder: Told = request.getfixturevalue(folder)
    few = r"\b([0-9]|1[0-2])"
    counts = {
        "de": rf"{few} (Nummern?|Sieg|Niederlage|Spiel|Rangpunkt|Generation|Schläger)",
        "en": rf"{few} (Nummern?|win|defeat|match|rank point|generation|player)|{few}(st|nd|rd|th)",
    }
    for sheet in told_folder.matches:
        for language in LANGUAGES:
            told = "\n".join(told_folder.story(sheet, language, "long").texts())
            assert not re.search(counts[language], re.sub("[“«].*?[”»]", "", told)), told


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("length", LENGTHS)
@pytest.mark.parametrize("folder", ["example", "mixed"])
def test_what_rests_on_the_past_says_that_it_is_what_is_on_record(
    folder: str, language: Language, length: Length, request: pytest.FixtureRequest
) -> None:
    """Sheets are missing: nothing is a best, a first or in a row but as far as they go."""
    told_folder: Told = request.getfixturevalue(folder)
    qualified = {"en": "on record", "de": "erfasst"}[language]
    found = set()
    for sheet in told_folder.matches:
        for part in told_folder.story(sheet, language, length).paragraphs:
            for sentence in part:
                past = [
                    each for each in sentence.facts if type(each).__module__ == of_past.__name__
                ]
                found |= {type(each) for each in past}
                assert not past or qualified in sentence.text, sentence.text
    assert len(found) >= 5


def test_what_counts_for_no_table_is_said_at_any_length() -> None:
    facts = [remarks.KeptOut(), of_sheet.BestStrikers(team=None, points=72, strikers=(STRIKER,))]
    for length in LENGTHS:
        assert remarks.KeptOut() in choose(facts, length)[0]


def test_who_is_named_is_told_with_the_team_once() -> None:
    other = remarks.NamedStriker(team="b", player="q", points=80)
    fact = remarks.NamedStrikers(kind="", strikers=(NAMED, other, NAMED, NAMED))
    told = {}
    for language in LANGUAGES:
        phrase = fact.phrase(Telling(WORDS[language], NAMES))
        told[language] = str(phrase.gaps["strikers"])
    assert told["en"].count("Aarwald A") == told["de"].count("Aarwald A") == 1
    assert told["en"].endswith(", all of Aarwald A; Lena Zaugg (Birkenfluh A, 80 points)")
    assert told["de"].endswith(", alle von Aarwald A; Lena Zaugg (Birkenfluh A, 80 Punkte)")


def test_wins_that_end_with_a_run_without_defeat_are_not_told_beside_it() -> None:
    won, unbeaten, other = (
        of_past.RunEnded(team=team, of=of, length=4, since=DAY)
        for team, of in (("a", "won"), ("a", "unbeaten"), ("b", "won"))
    )
    assert choose([won, unbeaten, other], "long") == [[unbeaten, other]]


@pytest.mark.parametrize("reached", [(1000, 1000, False), (1000, 1001, True)])
def test_whoever_reaches_a_round_number_has_not_passed_it(reached: tuple[int, int, bool]) -> None:
    number, total, passed = reached
    fact = of_past.PointsReached(team="a", player="p", number=number, total=total)
    occasion = opening.Occasion(home="a", away="b", date=DAY)
    words: dict[Language, tuple[str, ...]] = {"en": ("past", "passed"), "de": ("übertr",)}
    for language in LANGUAGES:
        for sheet in "abcd":
            facts = [occasion, opening.ResultOpen(), fact]
            (text,) = tell(sheet, facts, NAMES, language, "short").texts()
            assert any(word in text for word in words[language]) is passed, text


def test_nothing_is_said_of_one_side_that_only_two_allow() -> None:
    """Nummern may be those of one side alone, where they did not decide."""
    languages: tuple[tuple[Language, str], ...] = (("en", "too"), ("de", "auch"))
    for language, word in languages:
        for phrasing in struck(2, decided=False).phrase(Telling(WORDS[language], NAMES)).phrasings:
            said = WORDS[language].pgettext("nummern_few", phrasing)
            assert not re.search(rf"\b{word}\b", said, re.I)


def test_a_page_leaves_the_figures_to_its_heading(example: Told) -> None:
    news = 0
    for sheet in example.matches:
        story = example.story(sheet, "en", "page")
        first, *others = (each for part in story.paragraphs for each in part)
        assert kinds_in(first) >= {"Occasion"}
        for sentence in others:
            assert not any(isinstance(fact, Opening | opening.Occasion) for fact in sentence.facts)
            news += any(type(fact).__module__ == of_past.__name__ for fact in sentence.facts)
    assert news > 100


@pytest.mark.parametrize("length", LENGTHS)
def test_who_is_named_is_told_at_any_length(example: Told, length: Length) -> None:
    sheet = "1988/1988-09-18-aarwald-a-eschlisried-a"
    kinds = [
        kind
        for part in example.story(sheet, "en", length).paragraphs
        for each in part
        for kind in kinds_in(each)
    ]
    assert kinds.count("NamedStrikers") == 1


# Catalogues


def nummer(points: int = 16, *, replacement: bool = False) -> of_sheet.NummerStrike:
    return of_sheet.NummerStrike(
        player="p", points=points, inning=1, strike=2, replacement=replacement
    )


def struck(number: int, *, decided: bool, replacement: bool = False) -> of_sheet.NummernStruck:
    return of_sheet.NummernStruck(
        team="a",
        count=number,
        strikes=(nummer(replacement=replacement),) * number,
        decided=decided,
    )


def best(number: int) -> of_past.PersonalBests:
    one = of_past.Best(team="a", player="p", points=72, before=60, matches=9)
    return of_past.PersonalBests(bests=(one,) * number)


def won(decided_by: str, points: tuple[int, int], nummern: tuple[int, int]) -> opening.Won:
    return opening.Won(
        winner="a",
        loser="b",
        decided_by=decided_by,
        winner_points=points[0],
        loser_points=points[1],
        winner_nummern=nummern[0],
        loser_nummern=nummern[1],
    )


DAY = datetime.date(2026, 3, 1)
STRIKER = of_sheet.PlayerOfTeam(team="a", player="p")
NAMED = remarks.NamedStriker(team="a", player="p", points=85)
RESULTS: tuple[Fact, ...] = (
    opening.WithErrors(),
    opening.Draft(blanks=1),
    opening.Annulled(),
    opening.Postponed(moved_to=None),
    opening.Postponed(moved_to=DAY),
    opening.Forfeited(winner=None, loser=None),
    opening.Forfeited(winner="a", loser="b"),
    opening.ResultOpen(),
    opening.Drawn(recorded=False, points=None, nummern=None),
    opening.Drawn(recorded=False, points=1200, nummern=0),
    opening.Drawn(recorded=True, points=None, nummern=2),
    won("nummern", (1200, 900), (0, 1)),
    won("nummern", (900, 1200), (1, 2)),
    won("nummern", (900, 900), (1, 2)),
    won("points", (901, 900), (1, 1)),
    won("points", (901, 900), (0, 0)),
    won("longest_ries", (900, 900), (0, 0)),
    won("recorded", (900, 900), (0, 0)),
)
OTHERS: tuple[Fact, ...] = (
    *(
        of_sheet.Setting(competition="c", round=round_, ground=ground)
        for round_ in (None, 3)
        for ground in (None, "the common")
    ),
    of_sheet.Abandoned(),
    remarks.KeptOut(),
    *(struck(number, decided=decided) for number in (1, 2, 5) for decided in (True, False)),
    struck(1, decided=True, replacement=True),
    struck(2, decided=True, replacement=True),
    *(
        of_sheet.Course(ahead=ahead, lead=lead, final_ahead=final_ahead, final_lead=final_lead)
        for ahead, lead, final_ahead, final_lead in (
            ("a", 5, "a", 9), ("a", 9, "a", 5), ("a", 5, "a", 5), ("a", 5, "b", 9),
            (None, 0, "b", 1), ("a", 1, None, 0), (None, 0, None, 0),
        )
    ),
    of_sheet.BestRies(team="a", inning=1, strike=3, points=250),
    *(
        of_sheet.BestStrikers(team=team, points=72, strikers=(STRIKER,) * number)
        for team in (None, "a")
        for number in (1, 2)
    ),
    of_sheet.HighestStrike(team="a", player="p", points=24, inning=2),
    *(best(number) for number in (1, 2, 4)),
    of_past.MatchNumber(team="a", player="p", number=100),
    of_past.PointsReached(team="a", player="p", number=5000, total=5012),
    of_past.PointsReached(team="a", player="p", number=1000, total=1000),
    of_past.FirstMatches(team="a", players=("p",)),
    of_past.FirstMatches(team="a", players=("p", "q")),
    of_past.Family(team="a", players=("p", "q"), before=0),
    of_past.Family(team="a", players=("p", "q", "r"), before=11),
    of_past.TeamBest(team="a", points=1301, before=1300, matches=5),
    *(
        kind(team="a", of=of, length=4, since=DAY)
        for kind, every in (
            (of_past.RunEnded, ("won", "lost", "unbeaten", "clean")),
            (of_past.RunGoesOn, ("won", "unbeaten", "clean")),
        )
        for of in every
    ),
    of_past.LastMeeting(date=DAY, winner=None),
    of_past.LastMeeting(date=DAY, winner="b"),
    remarks.RankPointsEarned(home="a", away="b", home_points=1, away_points=4),
    remarks.Weather(text="rain {and} wind."),
    remarks.Note(text="a\nnote"),
    *(
        remarks.LittleKnown(depth=depth, both=both)
        for depth in ("none", "points", "ries", "players")
        for both in (True, False)
    ),
    *(
        remarks.NamedStrikers(kind=kind, strikers=(NAMED,) * number)
        for kind in ("", *SourceKind)
        for number in (1, 2, 3)
    ),
    remarks.NamedStrikers(
        kind="", strikers=(NAMED, remarks.NamedStriker(team="b", player="q", points=80))
    ),
    *(remarks.FromSource(kind=kind.value, reference=None) for kind in SourceKind),
    remarks.FromSource(kind="letter", reference="page 3"),
    remarks.Doubts(count=1),
    remarks.Doubts(count=2),
)  # fmt: skip
NAMES = Names(
    team={"a": "Aarwald A", "b": "Birkenfluh A"}.__getitem__,
    player={"p": "Ruedi Aebi", "q": "Lena Zaugg", "r": "Urs Kipfer"}.__getitem__,
    competition={"c": "Cup"}.__getitem__,
    hides=lambda text: False,
)


def all_told(language: Language) -> Iterator[str]:
    occasion = opening.Occasion(home="a", away="b", date=DAY)
    for result in RESULTS:
        yield from tell("s", [occasion, result], NAMES, language, "short").texts()
    nowhere = opening.Occasion(home=None, away=None, date=None)
    yield from tell("s", [nowhere, opening.WithErrors()], NAMES, language, "short").texts()
    of_match, of_side = (
        of_sheet.BestStrikers(team=team, points=72, strikers=(STRIKER,)) for team in (None, "a")
    )
    together = [(of_match, best(1)), (of_side, best(1))]
    for told in [*((fact,) for fact in OTHERS), *together]:
        facts = [occasion, opening.ResultOpen(), *told]
        yield from tell("s", facts, NAMES, language, "long").texts()


def phrasings() -> dict[str, dict[str, str]]:
    """In English, each with the German for it, by their key."""
    by_key: dict[str, dict[str, str]] = {}
    for message in catalogues.extracted("stories"):
        if message.context and message.context not in ("nth", "generations", "told from"):
            german = WORDS["de"].pgettext(message.context, message.id)
            by_key.setdefault(message.context, {})[message.id] = german
    return by_key


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("variant", range(4))
def test_every_phrasing_can_be_told_and_is_used(
    language: Language, variant: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = set()

    def digest(sheet: str, key: str) -> int:
        taken.add(key)
        return variant

    monkeypatch.setattr(telling, "_digest", digest)
    texts = list(all_told(language))
    assert taken == {*phrasings(), "order"}
    for text in texts:
        assert not re.search(r"  |\s[.,;]|\.\.|None|^[a-z]|[#|]", text), text
        assert text.endswith((".", "”.", "».")), text
        assert "!" not in text
        assert "ß" not in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_phrasing_leaves_the_heart_of_it_unsaid(language: Language) -> None:
    """Phrasings of one key may differ in the player's team, but not in who, when and how much."""
    may_be_left = {
        "team", "strike", "matches", "loser", "change", "final_lead", "winner",
        "count", "winner_points",
    }  # fmt: skip
    for key, by_english in phrasings().items():
        every = set().union(*map(gaps, by_english))
        assert every == set().union(*map(gaps, by_english.values()))
        for english, german in by_english.items():
            phrasing = english if language == "en" else german
            assert every - gaps(phrasing) <= may_be_left, f"{key}: {phrasing}"


def test_german_is_that_of_a_reporter(monkeypatch: pytest.MonkeyPatch) -> None:
    told = ""
    for variant in range(4):
        monkeypatch.setattr(telling, "_digest", lambda sheet, key, variant=variant: variant)
        told += "\n".join(all_told("de"))
    for said in (
        "Aarwald A musste eine Nummer schreiben lassen, Birkenfluh A deren zwei",
        "sorgten Ruedi Aebi mit einem 16er und Ruedi Aebi mit einem 16er, beide im ersten Umgang",
        "Damit reisst die Serie von Aarwald A nach vier erfassten Siegen",
        "hat die Marke von 5000 erfassten Punkten übertroffen und steht bei 5012",
        "kam auf genau 1000 erfasste Punkte",
        "Nach vier erfassten Niederlagen in Folge",
        "Persönliche Bestleistungen gelangen, soweit erfasst, Ruedi Aebi mit 72 (bisher 60) und",
        "Bester Einzelschläger war Ruedi Aebi (Aarwald A) mit 72 Punkten",
        "erstmals gemeinsam am Bock",
        "brachte Aarwald A einen Rangpunkt und Birkenfluh A vier",
    ):
        assert said in told
    for word in (
        "Kampfrichter", "Spielblatt", "Captain", "Team", "Schwelle", "das ist vorbei",
        "Mehr als je zuvor", "Die meisten Punkte schlug", "zum ersten verzeichneten Mal",
    ):  # fmt: skip
        assert word not in told
    # Counts up to twelve are words; scores and strikes are figures.
    counts = r"\b([0-9]|1[0-2]) (Nummern?|Siegen?|Niederlagen?|Spielen?|Rangpunkte?)\b"
    assert not re.search(counts, told)


def test_most_is_said_in_several_ways() -> None:
    single = {key for key, by_english in phrasings().items() if len(by_english) == 1}
    assert single == {"errors", "errors_unknown", "draft", "forfeited"}
    for key, by_english in phrasings().items():
        assert len(set(by_english.values())) == len(by_english), key


def test_a_figure_is_said_in_the_form_that_its_gap_asks_for() -> None:
    english, german = WORDS["en"], WORDS["de"]
    assert [f"{Figure(number, english):# point|# points}" for number in (0, 1, 1191)] == [
        "0 points", "1 point", "1,191 points",
    ]  # fmt: skip
    assert [f"{Figure(number, german):einer Stelle|# Stellen}" for number in (0, 1, 1191)] == [
        "0 Stellen", "einer Stelle", "1191 Stellen",
    ]  # fmt: skip
    assert f"{Figure(12345, german)} {Figure(100, german):ordinal}" == "12’345 100."
    assert [f"{Figure(number, english):@ win|@ wins}" for number in (1, 12, 13)] == [
        "one win", "twelve wins", "13 wins",
    ]  # fmt: skip
    assert f"{Figure(6, german):einer Niederlage|@ Niederlagen}" == "sechs Niederlagen"
    assert f"{Figure(2, german):nth} {Figure(9, german):nth}" == "zweiten neunten"
    assert f"{Figure(13, german):nth}" == "13."


def test_what_the_match_gave_is_told_before_the_last_meeting() -> None:
    meeting = of_past.LastMeeting(date=DAY, winner="b")
    gave = remarks.RankPointsEarned(home="a", away="b", home_points=1, away_points=4)
    assert choose([meeting, gave], "long") == [[gave, meeting]]


# The command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    lay_out(tmp_path)
    return tmp_path


FIRST_ID = "2026/2026-04-12-aarwald-a-birkenfluh-a"


def ask(root: Path, *words: str) -> Outcome:
    return invoke("--folder", root, "tell", *words)


def test_a_short_story(folder: Path) -> None:
    outcome = ask(folder, FIRST_ID)
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out == (
        "Aarwald A beat Birkenfluh A on 12 April 2026 and conceded no Nummer, Birkenfluh A one. In"
        " points, too, Aarwald A was ahead, 119 to 93. The Nummer that decided was struck by Jonas"
        " Bigler in the second inning, for 16 points. Nobody struck more than Ruedi Aebi of"
        " Aarwald A, who came to 74 points.\n"
    )


def test_a_long_story_in_german(folder: Path) -> None:
    outcome = ask(folder, FIRST_ID, "--language", "de", "--length", "long")
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out.split("\n\n")[1:] == [
        "Kein Streich ging weiter als der 20er von Ruedi Aebi (Aarwald A) im ersten Umgang."
        " Niemand schlug mehr als Ruedi Aebi (Aarwald A): 74 Punkte. Für Birkenfluh A schlug Urs"
        " Kipfer am meisten: 51 Punkte.",
        "Aus diesem Spiel nahm Aarwald A vier Rangpunkte mit, Birkenfluh A keine.\n",
    ]
    assert outcome.out.startswith(
        "Aarwald A schlug Birkenfluh A am 12. April 2026, ohne eine Nummer schreiben lassen zu"
        " müssen; Birkenfluh A musste eine hinnehmen. Auch nach Punkten lag Aarwald A vorn, 119 zu"
        " 93. Die entscheidende Nummer, einen 16er, schlug Jonas Bigler im zweiten Umgang. Zur"
        " Halbzeit betrug der Vorsprung von Aarwald A neun Punkte; danach wuchs er um 17. Das Spiel"
        " gehörte zur ersten Runde (Oberhang League, first division).\n\n"
    )


def test_the_folder_says_which_language(folder: Path) -> None:
    in_german = ask(folder, FIRST_ID, "--language", "de").out
    league = folder / "league.toml"
    league.write_text('name = "Oberhang League"\nlanguage = "de"\n', encoding="utf-8")
    assert ask(folder, FIRST_ID).out == in_german
    assert ask(folder, FIRST_ID, "--language", "en").out != in_german


def test_a_file_outside_the_seasons_is_told_too(folder: Path) -> None:
    """A copy of a sheet does not count that sheet as a match before it."""
    copy = folder / "zz-copy.yaml"
    copy.write_text(FIRST_SHEET, encoding="utf-8")
    data = ask(folder, str(copy), "--length", "long", "--format", "json").data
    inside = ask(folder, FIRST_ID, "--length", "long", "--format", "json").data
    facts = [
        [fact for part in each["paragraphs"] for said in part for fact in said["facts"]]
        for each in (data, inside)
    ]
    assert facts[0] == facts[1]


def test_json_has_sentences_with_their_facts(folder: Path) -> None:
    outcome = ask(folder, FIRST_ID, "--format", "json", "--length", "long")
    data = outcome.data
    assert {key: data[key] for key in ("sheet", "language", "length")} == {
        "sheet": FIRST_ID, "language": "en", "length": "long",
    }  # fmt: skip
    text = "\n\n".join(
        " ".join(each["text"] for each in paragraph) for paragraph in data["paragraphs"]
    )
    assert ask(folder, FIRST_ID, "--length", "long").out == f"{text}\n"
    assert data["paragraphs"][0][0]["facts"][0] == {
        "fact": "Occasion", "home": "aarwald-a", "away": "birkenfluh-a", "date": "2026-04-12",
    }  # fmt: skip


def test_markdown_is_escaped(folder: Path) -> None:
    path = folder / FIRST
    path.write_text(FIRST_SHEET.replace("\nhome:", "weather: '*rain*'\n\nhome:", 1), "utf-8")
    outcome = ask(folder, FIRST_ID, "--format", "markdown", "--length", "long")
    assert outcome.out.startswith("# Aarwald A – Birkenfluh A\n\n")
    assert r"\*rain\*" in outcome.out
    assert "*rain*" in ask(folder, FIRST_ID, "--length", "long").out.replace("\\", "")


def test_of_a_sheet_with_errors_nothing_is_told(folder: Path) -> None:
    Replace(FIRST, "[15, 0]", "[15, 99]").apply(folder)
    outcome = ask(folder, FIRST_ID)
    assert outcome.status == 1
    assert "(strike-too-high)" in outcome.err
    assert outcome.out == (
        "The sheet of Aarwald A against Birkenfluh A on 12 April 2026 still has errors, so there"
        " is nothing to tell yet.\n"
    )


def test_a_draft_says_how_much_is_missing(folder: Path) -> None:
    Replace(FIRST, "[16N, 14]", "[_, _]").apply(folder)
    outcome = ask(folder, FIRST_ID)
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out == (
        "The sheet of Aarwald A against Birkenfluh A on 12 April 2026 is not finished: 2 strikes"
        " are still to be entered.\n"
    )


def test_a_file_that_is_no_sheet_is_wrong_usage(folder: Path) -> None:
    assert ask(folder, "league.toml").status == 2
    assert ask(folder, "2026/nothing").status == 2


def test_an_unreadable_sheet_is_a_message(folder: Path) -> None:
    Write(SECOND, "home: [").apply(folder)
    outcome = ask(folder, "2026/2026-05-10-birkenfluh-a-aarwald-a")
    assert (outcome.status, outcome.out) == (1, "")
    assert "error: " in outcome.err


def test_lines_are_folded_in_a_terminal(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import riesbuch.cli.publish as command

    lines: list[str] = []
    monkeypatch.setattr(sys.stdout.__class__, "isatty", lambda self: True, raising=False)
    monkeypatch.setattr(command.click, "echo", lambda text, **_: lines.append(text))
    from riesbuch.pages.stories.telling import Sentence

    command._print_text(
        Story(sheet="s", language="en", paragraphs=((Sentence("word " * 40, ()),),))
    )
    assert max(map(len, "\n".join(lines).splitlines())) <= 78


@pytest.mark.parametrize("key", ["ground", "weather", "notes"])
@pytest.mark.parametrize("private", ["aebi-ruedi", "aebi-hans"])
def test_what_names_who_is_private_is_not_quoted(key: str, private: str, tmp_path: Path) -> None:
    """Whether in the match or not."""
    name = {"aebi-ruedi": "Ruedi Aebi", "aebi-hans": "Hans Aebi"}[private]
    said = f"as {name} likes it"
    sheet = FIRST_SHEET.replace("round: 1\n", f"round: 1\n{key}: {said}\n")
    folder = lay_out(tmp_path, [Write(FIRST, sheet)]).root
    words = ("--folder", folder, "tell", f"2026/{Path(FIRST).stem}", "--length", "long")
    before = invoke(*words)
    assert before.status == 0
    assert said in before.out
    file = folder / "players" / f"{private}.yaml"
    file.write_text(f"name: {name}\nprivate: true\n", encoding="utf-8")
    after = invoke(*words)
    assert after.status == 0
    assert name not in after.out
    assert name not in invoke(*words, "--format", "json").out
