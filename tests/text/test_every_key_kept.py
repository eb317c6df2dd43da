"""Every key of each kind of file through every writer of such files."""

from collections.abc import Callable
from typing import Any

import pytest

from riesbuch.care.player_in_files import mentions, with_other_player
from riesbuch.care.player_renaming import merged_player
from riesbuch.care.players import Renaming, merged_text, with_membership
from riesbuch.care.starting import starting_files
from riesbuch.review.merge import Marks, merge_contents
from riesbuch.text.editing import edited, respelt
from riesbuch.text.layout import CLUB_SHAPE, PLAYER_SHAPE, SHEET_SHAPE, TRAINING_SHAPE, canonical
from riesbuch.text.league import (
    League,
    read_fixtures,
    read_league,
    read_rules,
    read_season,
)
from riesbuch.text.record_text import competition_text, file_text, season_head
from riesbuch.text.register import read_club, read_player
from riesbuch.text.sheet import read_sheet, read_training
from riesbuch.text.toml_text import new_fixtures_file, with_other_fixtures
from riesbuch.trade.ids import ClubId, PlayerId, SheetId
from riesbuch.trade.keys import keys_of, names_of
from riesbuch.trade.match import Match, Side
from riesbuch.trade.people import Club, Membership, Player
from riesbuch.trade.rules import RankPoints, RuleSet
from riesbuch.trade.season import Competition, Fixture, Season
from riesbuch.trade.training import Training

SHEET = """\
competition: oberhang-1
part: morning
round: 6
date: 2026-05-10
ground: Aarwald common
weather: clear
notes: late start
strikes_first: away
outcome: abandoned
awarded: home
moved_to: 2026-06-21
counts: false
winner: home
referees: [Vreni Oesch]
home:
  team: aarwald-a
  captain: aebi-ruedi
  strikes:
    aebi-ruedi: [[18, 20], [17, 19]]
  replacements:
    - {by: aebi-ruedi, strikes: [[14, 15], [16N, x]]}
  supernumeraries:
    zaugg-lena: [[11, 12], [9, 14]]
  paper: {ries: [301, 298, 287, 305], points: 1191, nummern: 0}
away:
  team: birkenfluh-a
DEPTH
source: {kind: letter, reference: binder 3, transcribed_by: Lena, on: 2026-06-01}
doubts:
  - {at: home.strikes.aebi-ruedi.2.1, note: ink ran}
corrections:
  - {on: 2026-06-02, by: Lena, agreed: [aarwald, birkenfluh], reason: slip, changed: [later]}
seal:
  on: 2026-05-11
  home: Ruedi Aebi
  away: Jonas Bigler
  digest: 9c1e
  signatures:
    - {club: aarwald, by: Ruedi Aebi, signature: U1NIU0lH}
"""
DEPTHS = (
    "  player_points:\n    bigler-jonas: 74\n  nummern: 2",
    "  ries: [301, 298]\n  nummern: 0",
    "  ries: [301, ~]\n  points: 1191\n  nummern: 1\n  named:\n    bigler-jonas: 74",
)
CLUB = """\
name: Aarwald
founded: 1911
ground: Aarwald common
teams: {a: Aarwald A, b: Aarwald B}
formerly: [{name: Aarwald-Berg, until: 1954}]
merged_from: [oberaar]
"""
PLAYER = """\
name: Ruedi Aebi
born: 1961
clubs: [{club: aarwald, from: 1979}]
parents: [aebi-hans]
also_written: [R. Aebi]
private: true
classes: [women]
"""
SEASON = """\
season = 2026

[[competition]]
id = "oberhang-1"
name = "First \\"upper\\" division"
kind = "cup"
rules = "2026"
teams = ["aarwald-a", "birkenfluh-a"]
cycles = 2
promoted = ["birkenfluh-a"]
promotion_note = "the first \\"declined\\""
relegated = []
relegation_note = "the class above grows"
parts = [{id = "morning", name = "First \\"part\\"", rules = "2024"}]
"""
FIXTURES = """\
# Of the first division.
[[fixture]]
competition = "oberhang-1"
part = "morning"
round = 4
date = 2026-05-10
home = "aarwald-a"
away = "birkenfluh-a"
time = "13:30"
meet = "12:45 at the \\"barn\\""

[[fixture]]
competition = "oberhang-1"
date = 2026-05-17
home = "birkenfluh-a"
away = "aarwald-a"
"""
ALONE = "name: Ruedi Aebi\n"
BARE = Player(id=PlayerId("x"), name="Ruedi Aebi", positions={})


def match(text: str) -> Match:
    reading = read_sheet(text.encode(), SheetId("2026/x"), 2026)
    assert reading.match is not None
    assert not reading.findings
    return reading.match


def player(text: str) -> Player:
    reading = read_player(text.encode(), PlayerId("x"))
    assert reading.record is not None
    return reading.record


def club(text: str) -> Club:
    reading = read_club(text.encode(), ClubId("aarwald"))
    assert reading.record is not None
    return reading.record


def merged(text: str) -> str:
    theirs = text.replace("late start", "late end")
    marks = Marks(size=7, ours="ours", theirs="theirs", base=None)
    both = merge_contents(
        text.encode(), text.replace("clear", "rain").encode(), theirs.encode(), marks
    )
    assert both.is_clean
    return both.content.decode()


def renamed(text: str) -> str:
    becomes = PlayerId("aebi-rudolf")
    places = mentions(match(text), PlayerId("aebi-ruedi"), becomes)
    new = respelt(text, dict.fromkeys(places.keys, str(becomes)), places.values)
    return new.replace("aebi-rudolf", "aebi-ruedi")


WRITERS_OF_SHEETS: dict[str, tuple[Callable[[str], str], set[str]]] = {
    "tidy": (lambda text: canonical(text, SHEET_SHAPE), set()),
    "import": (lambda text: file_text(match(text)), set()),
    "correct": (lambda text: edited(text, {"home.paper.points": "1190"}), {"home"}),
    "merge": (merged, {"weather", "notes"}),
    "rename": (renamed, set()),
}


@pytest.mark.parametrize("writer", WRITERS_OF_SHEETS)
@pytest.mark.parametrize("depth", DEPTHS)
def test_sheets(depth: str, writer: str) -> None:
    text = SHEET.replace("DEPTH", depth)
    write, changed = WRITERS_OF_SHEETS[writer]
    before, after = match(text), match(write(text))
    for key in keys_of(Match):
        kept = getattr(after, key.field) == getattr(before, key.field)
        assert kept is (key.name not in changed), key.name


def test_the_sheets_say_something_under_every_key() -> None:
    """Else the test above would not see that one is lost."""
    sheets = [match(SHEET.replace("DEPTH", depth)) for depth in DEPTHS]
    assert [
        key.name for key in keys_of(Match) if getattr(sheets[0], key.field) == key.default
    ] == []
    sides = [side for sheet in sheets for _, side in sheet.sides]
    unsaid = [
        key.name
        for key in keys_of(Side)
        if all(getattr(side, key.field) == key.default for side in sides)
    ]
    assert unsaid == []


def own(record: Any) -> dict[str, Any]:
    return {key.name: getattr(record, key.field) for key in keys_of(record.__class__)}


@pytest.mark.parametrize(
    ("write", "changed"),
    [
        (lambda text: canonical(text, PLAYER_SHAPE), set()),
        (lambda text: file_text(player(text)), set()),
        (
            lambda text: with_membership(text, player(text), Membership(ClubId("oberaar"), 1990)),
            {"clubs"},
        ),
        (
            lambda text: merged_text(text, player(text), merged_player(player(text), BARE), ALONE),
            set(),
        ),
        (
            lambda text: merged_text(ALONE, BARE, merged_player(BARE, player(text)), text),
            set(),
        ),
    ],
    ids=["tidy", "add", "move", "merge", "merge into one who had nothing"],
)
def test_players(write: Callable[[str], str], changed: set[str]) -> None:
    before, after = own(player(PLAYER)), own(player(write(PLAYER)))
    assert {name for name in before if before[name] != after[name]} == changed
    assert not [key.name for key in keys_of(Player) if before[key.name] == key.default]


@pytest.mark.parametrize(
    "write",
    [lambda text: canonical(text, CLUB_SHAPE), lambda text: file_text(club(text))],
    ids=["tidy", "import"],
)
def test_clubs(write: Callable[[str], str]) -> None:
    before, after = own(club(CLUB)), own(club(write(CLUB)))
    assert before == after
    assert not [key.name for key in keys_of(Club) if before[key.name] == key.default]


TRAINING = """\
present: [aebi-ruedi]  # only watched
notes: new trestle
date: 2026-04-02
weather: clear
strikes:
  # struck first
  bigler-jonas: 15  16 0 17
  zaugg-lena: ~ 12
wind: from the left
club: aarwald
"""


def training(text: str) -> Training:
    reading = read_training(text.encode())
    assert reading.record is not None
    assert not reading.findings
    return reading.record


def renamed_in_training(text: str) -> str:
    renaming = Renaming(PlayerId("bigler-jonas"), PlayerId("bigler-jon"))
    new = with_other_player(text, training(text), renaming)
    return new.replace("bigler-jon:", "bigler-jonas:")


@pytest.mark.parametrize(
    "write",
    [lambda text: canonical(text, TRAINING_SHAPE), renamed_in_training],
    ids=["tidy", "rename"],
)
def test_trainings(write: Callable[[str], str]) -> None:
    before, after = training(TRAINING), training(write(TRAINING))
    assert before == after
    assert not [key.name for key in keys_of(Training) if getattr(before, key.field) == key.default]
    assert "# struck first" in write(TRAINING)
    assert "# only watched" in write(TRAINING)


def said(record: Any) -> list[str]:
    return [key.name for key in keys_of(type(record)) if getattr(record, key.field) != key.default]


def fixtures(content: bytes) -> tuple[Fixture, ...]:
    reading = read_fixtures(content)
    assert reading.record is not None
    assert not reading.findings
    return reading.record


@pytest.mark.parametrize(
    "write",
    [
        lambda content: new_fixtures_file(fixtures(content)),
        lambda content: with_other_fixtures(b"", (), fixtures(content)),
        lambda content: with_other_fixtures(content, (0, 1), fixtures(content)),
        lambda content: with_other_fixtures(content, (1,), fixtures(content)[1:]),
    ],
    ids=["plan", "plan into an empty file", "plan anew", "plan the rest anew"],
)
def test_fixtures(write: Callable[[bytes], bytes]) -> None:
    before, after = fixtures(FIXTURES.encode()), fixtures(write(FIXTURES.encode()))
    assert [own(fixture) for fixture in after] == [own(fixture) for fixture in before]
    assert said(before[0]) == list(names_of(Fixture))
    assert "round" not in said(before[1])


def season(text: str) -> Season:
    reading = read_season(text.encode(), 2026)
    assert reading.record is not None
    assert not reading.findings
    return reading.record


def test_seasons() -> None:
    before = season(SEASON)
    written = season_head(2026) + "".join(map(competition_text, before.competitions))
    assert own(season(written)) == own(before)
    assert said(before) == list(names_of(Season))
    assert said(before.competitions[0]) == list(names_of(Competition))


def test_a_new_folder_shows_every_key_of_its_rules() -> None:
    """Nothing writes rules or league after that, so that no more can be lost of them."""
    files = starting_files("Oberhang League", "de", 2026)
    rules = read_rules(files["rules/2026.toml"].encode())
    assert (rules.record, rules.findings) == (RuleSet(), ())
    # What may be left out, and is: awards and classes, of which most leagues have none.
    shown = {line.split("=")[0].strip("[ ") for line in files["rules/2026.toml"].split("\n")}
    shown = {word.partition("]")[0] for word in shown}
    described = {*names_of(RuleSet), *names_of(RankPoints)}
    assert described - shown == {"awards", "classes"}
    league = read_league(files["league.toml"].encode())
    assert (league.record, league.findings) == (League("Oberhang League", "de"), ())
    optional = {"publish", "from", "signatures", "signatures_from"}
    assert set(names_of(League)) - optional <= {
        line.split(" =")[0] for line in files["league.toml"].split("\n")
    }
