"""Two people of one name are told apart by club and years, wherever they are named."""

import datetime
from pathlib import Path

import pytest

from riesbuch.trade.ids import ClubId, PlayerId
from riesbuch.trade.names import Whereabouts, marks_apart
from riesbuch.trade.people import Membership, Player, Register
from tests.clubfolder import FIRST, LEAGUE, SEASON, lay_out
from tests.commandline import Outcome, invoke

OLD, YOUNG = "Ruedi Aebi (Aarwald, 1979–1994)", "Ruedi Aebi (Aarwald, 2015–)"
HERE = "2026-04-12-aarwald-a-birkenfluh-a"


def test_marks_are_of_those_alone_who_share_a_name() -> None:
    names = {"a": "Ruedi Aebi", "b": "Ruedi Aebi", "c": "Urs Kipfer", "d": "Ruedi  Aebi"}
    where = {"a": Whereabouts("Aarwald", 1979, 1994), "b": Whereabouts("Birkenfluh", 2015)}
    assert marks_apart(names, where.__getitem__) == {
        "a": "Aarwald, 1979–1994", "b": "Birkenfluh, 2015–",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("first", "second", "marks"),
    [
        (Whereabouts("Aarwald"), Whereabouts("Birkenfluh"), ("Aarwald", "Birkenfluh")),
        (Whereabouts(None, 1950, 1960), Whereabouts(), ("1950–1960", "b")),
        (Whereabouts("Aarwald", None, 1960), Whereabouts("Aarwald"), ("Aarwald, –1960", "Aarwald")),
        # The same or nothing: only the identifier is left.
        (Whereabouts("Aarwald", 1979), Whereabouts("Aarwald", 1979), ("a", "b")),
        (Whereabouts(), Whereabouts(), ("a", "b")),
    ],
)
def test_marks(first: Whereabouts, second: Whereabouts, marks: tuple[str, str]) -> None:
    found = marks_apart({"a": "X", "b": "X"}, {"a": first, "b": second}.__getitem__)
    assert (found["a"], found["b"]) == marks


def test_a_year_of_birth_is_no_mark() -> None:
    def player(key: str, born: int, club: str) -> Player:
        return Player(
            id=PlayerId(key), name="Lena Zaugg", born=born, positions={},
            clubs=(Membership(ClubId(club), None),),
        )  # fmt: skip

    people = [player("a", 1961, "aarwald"), player("b", 2015, "aarwald")]
    register = Register(clubs={}, players={each.id: each for each in people})
    assert [register.player_name(each.id) for each in people] == [
        "Lena Zaugg (a)",
        "Lena Zaugg (b)",
    ]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """The one struck from 1979 to 1994, the other since 2015."""
    folder = lay_out(tmp_path / "club").root
    (folder / "players/aebi-ruedi.yaml").write_text(
        "name: Ruedi Aebi\nborn: 1961\nclubs: [{club: aarwald, from: 1979}]\n"
    )
    (folder / "players/aebi-ruedi-2.yaml").write_text(
        "name: Ruedi Aebi\nborn: 1999\nclubs: [{club: aarwald, from: 2015}]\n"
        "parents: [aebi-ruedi]\n"
    )
    text = (folder / FIRST).read_text()
    season = (folder / SEASON).read_text()
    old = folder / "seasons/1994"
    (old / "matches").mkdir(parents=True)
    (old / "season.toml").write_text(season.replace("2026", "1994").replace('"1994"', '"2026"'))
    (old / f"matches/{HERE.replace('2026', '1994')}.yaml").write_text(text.replace("2026", "1994"))
    (folder / FIRST).write_text(text.replace("aebi-ruedi:", "aebi-ruedi-2:").replace(
        "captain: aebi-ruedi", "captain: aebi-ruedi-2"
    ))  # fmt: skip
    assert invoke("--folder", folder, "check").out.count("error") == 0
    return folder


def told(root: Path, *command: str) -> Outcome:
    outcome = invoke("--folder", root, *command)
    assert "Traceback" not in outcome.err
    return outcome


@pytest.mark.parametrize(
    ("command", "expected"),
    [
        (("career", "aebi-ruedi"), [OLD]),
        (("career", "aebi-ruedi-2"), [YOUNG]),
        (("strikers", "oberhang-1", "--season", "1994"), [OLD]),
        (("strikers", "oberhang-1", "--season", "2026"), [YOUNG]),
        (("honours", "--format", "markdown"), [OLD, YOUNG]),
        (("records",), [OLD, YOUNG]),
        (("find", "ruedi aebi"), [OLD, YOUNG]),
        (("families",), [OLD, YOUNG]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_every_question_tells_them_apart(
    root: Path, command: tuple[str, ...], expected: list[str]
) -> None:
    out = told(root, *command).out.replace("\u00a0", " ")
    assert [name for name in (OLD, YOUNG) if name in out] == expected
    assert "Urs Kipfer (" not in out
    # Who has no namesake has no mark.
    (root / "players/aebi-ruedi-2.yaml").write_text("name: Reto Aebi\nborn: 1999\n")
    assert "Ruedi Aebi (Aarwald, " not in told(root, *command).out


def test_whoever_asks_is_asked_back(root: Path) -> None:
    outcome = told(root, "career", "Ruedi Aebi")
    assert outcome.status == 2
    assert (
        "`Ruedi Aebi` is a name of 2 players; name one by the identifier: aebi-ruedi (Ruedi Aebi,"
        " Aarwald, 1979–1994) or aebi-ruedi-2 (Ruedi Aebi, Aarwald, 2015–)"
    ) in outcome.err
    outcome = told(root, "career", "Ruedi Aeby")
    assert "Aarwald, 1979–1994" in outcome.err
    assert "Aarwald, 2015–" in outcome.err
    # Without the tables, the years are those of the register.
    outcome = told(root, "roster", "move", "Ruedi Aebi", "birkenfluh", "--from", "2027")
    assert "aebi-ruedi (Ruedi Aebi, Aarwald, 1979–)" in outcome.err
    assert "Ruedi Aebi (Aarwald, 2015–)" in told(root, "tally", HERE).out


def pages(root: Path) -> dict[str, str]:
    assert invoke("--folder", root, "publish").status == 0
    reports = root / "reports"
    return {
        path.relative_to(reports).as_posix(): path.read_text() for path in reports.rglob("*.md")
    }


def test_pages_tell_them_apart_as_far_as_they_are_named(root: Path) -> None:
    written = pages(root)
    assert written["players/aebi-ruedi.md"].startswith(f"# {OLD}\n")
    assert written["players/aebi-ruedi-2.md"].startswith(f"# {YOUNG}\n")
    assert OLD in written[f"1994/matches/{HERE.replace('2026', '1994')}.md"]
    # A namesake who is private, or is a child that pages name by the first name, lends no mark.
    other = root / "players/aebi-ruedi-2.yaml"
    whole = other.read_text()
    this_year = datetime.date(2026, 1, 1).year
    for text in (whole + "private: true\n", whole.replace("1999", str(this_year - 12))):
        other.write_text(text)
        written = pages(root)
        assert written["players/aebi-ruedi.md"].startswith("# Ruedi Aebi\n")
        assert not any("Ruedi Aebi (Aarwald, " in page for page in written.values())
        # On the secretary's own screen they are told apart all the same.
        assert OLD in told(root, "career", "aebi-ruedi").out
    league = root / LEAGUE
    league.write_text(league.read_text() + '\n[publish]\nminors = "full-name"\n')
    assert any(YOUNG in page for page in pages(root).values())


def test_a_page_of_long_ago_is_made_anew_when_a_mark_changes(root: Path) -> None:
    """The mark changes with a season far from the page's own."""
    assert OLD in pages(root)[f"1994/matches/{HERE.replace('2026', '1994')}.md"]
    text = (root / FIRST).read_text()
    (root / FIRST).write_text(text.replace("bigler-jonas:", "aebi-ruedi:"))
    written = pages(root)
    assert (
        "Ruedi Aebi (Aarwald, 1979–)" in written[f"1994/matches/{HERE.replace('2026', '1994')}.md"]
    )
    assert invoke("--folder", root, "publish", "--check").status == 0
