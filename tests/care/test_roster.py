"""Who is on the register, somebody new, and somebody who goes to another club."""

from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.care.players import (
    expect_identifier,
    identifier_for,
    new_player_text,
    very_like,
)
from riesbuch.cli import roster as command
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.editing import respelt, with_item
from riesbuch.text.layout import PLAYER_SHAPE, canonical
from riesbuch.text.register import read_player
from riesbuch.trade.ids import ClubId, PlayerId, is_identifier
from riesbuch.trade.names import find_player
from riesbuch.trade.people import Membership, Player
from riesbuch.trade.problems import RiesbuchError, UsageError
from tests.clubfolder import HANS, RUEDI, Replace, Write, lay_out, problems_of
from tests.commandline import EXAMPLE, Outcome, invoke
from tests.documentation.pages import guide_pages
from tests.rosterfolder import NADJA, bytes_of, register_of

EDITOR_LINE = "# yaml-language-server: $schema=../.riesbuch/schema/player.schema.json\n"


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    return lay_out(tmp_path / "club")


def roster(folder: ClubFolder, *words: str) -> Outcome:
    return invoke("--folder", folder.root, "roster", *words)


# Somebody new


def test_somebody_new_with_all_that_is_known(folder: ClubFolder) -> None:
    before = bytes_of(folder)
    added = roster(
        folder, "add", "aebi-nadja", "--name", "Nadja  Aebi", "--born", "1984", "--club", "Aarwald",
        "--from", "1993", "--parent", "aebi-ruedi", "--parent", "Lena Zaugg",
    )  # fmt: skip
    assert added == Outcome(status=0, out=f"{NADJA}\n", err="1 file written\n")
    text = f"""\
{EDITOR_LINE}name: Nadja Aebi
born: 1984
clubs: [{{club: aarwald, from: 1993}}]
parents: [aebi-ruedi, zaugg-lena]
"""
    assert bytes_of(folder) == {**before, NADJA: text.encode()}
    assert [each for each in problems_of(folder) if each.place.path == NADJA] == []


def test_the_identifier_is_made_of_the_name_and_said(folder: ClubFolder) -> None:
    dry = roster(folder, "add", "--name", "Lena von Ärx", "--dry-run")
    assert dry.out == "players/von-aerx-lena.yaml\n"
    assert "the identifier `von-aerx-lena` was made of the name" in dry.err
    assert not (folder.root / "players/von-aerx-lena.yaml").exists()


@pytest.mark.parametrize(
    ("name", "identifier"),
    [
        ("Ruedi Aebi", "aebi-ruedi"),
        ("Anna Wydlisbacher-Zaugg", "wydlisbacher-zaugg-anna"),
        ("Jürg de la Tour", "de-la-tour-juerg"),
        ("Urs Peter Kipfer", "kipfer-urs-peter"),
        ("Bigler", "bigler"),
        ("d'Andrea", "d-andrea"),
    ],
)
def test_identifiers_begin_with_the_family(name: str, identifier: str) -> None:
    assert identifier_for(name) == identifier


@pytest.mark.parametrize("name", ["Иван", "x" * 65])
def test_a_name_of_which_none_can_be_made(name: str) -> None:
    with pytest.raises(UsageError, match="give one before --name"):
        identifier_for(name)


@pytest.mark.parametrize(
    "name", ["Ruedi Aebi", "aebi ruedi", "R. Aebi", "Rudi Aebi", "Rüdi Aebi", "Rudolf Aebi"]
)
def test_somebody_very_like(tmp_path: Path, name: str) -> None:
    folder = lay_out(tmp_path, [Replace(RUEDI, "born: 1961", "also_written: [Rudolf Aebi]")])
    refused = roster(folder, "add", "aebi-2", "--name", name)
    assert (refused.status, refused.out) == (1, "")
    assert "as aebi-ruedi (Ruedi Aebi)" in refused.err
    assert "--namesake" in refused.err
    assert not (folder.root / "players/aebi-2.yaml").exists()
    assert roster(folder, "add", "aebi-2", "--name", name, "--namesake").status == 0


def test_an_initial_on_the_register_may_be_a_whole_name(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [Replace(RUEDI, "name: Ruedi Aebi", "name: R. Aebi")])
    assert [player.id for player in very_like(register_of(folder), "Rudolfine Aebi")] == [
        "aebi-ruedi"
    ]
    assert very_like(register_of(folder), "Ulrich Aebi") == []


def test_people_of_one_family_are_not_very_like(folder: ClubFolder) -> None:
    assert very_like(register_of(folder), "Nadja Aebi") == []
    assert very_like(register_of(folder), "H. Aebi")[0].id == "aebi-hans"


def test_an_identifier_that_is_taken(folder: ClubFolder) -> None:
    refused = roster(folder, "add", "aebi-ruedi", "--name", "Somebody Else", "--namesake")
    assert refused.status == 1
    assert "`aebi-ruedi` already, Ruedi Aebi" in refused.err
    assert "`aebi-ruedi-2`" in refused.err


def test_a_file_that_cannot_be_read_keeps_its_identifier(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [Write(NADJA, "name: [")])
    assert "`aebi-nadja` already" in roster(folder, "add", "--name", "Nadja Aebi").err
    assert (
        "players/aebi-nadja.yaml cannot be read"
        in roster(folder, "move", "aebi-nadja", "aarwald", "--from", "1990").err
    )


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("Nadja", "--name", "N A"), "did you mean nadja?"),
        (("null", "--name", "N A"), "`null` is not an identifier"),
        (("n", "--name", "  "), "a name is a line of printable text"),
        (("n", "--name", "N\x07"), "a name is a line of printable text"),
        (("n", "--name", "N", "--from", "1990"), "--from goes with --club"),
        (("n", "--name", "N", "--club", "arwald"), "did you mean aarwald?"),
        (("n", "--name", "N", "--club", "zzz"), "the clubs are aarwald, birkenfluh"),
        (("n", "--name", "N", "--parent", "aebi-rudi"), "did you mean aebi-ruedi (Ruedi Aebi)?"),
        (("n", "--name", "N", "--born", "61"), "'--born'"),
        (("n", "--name", "N", "--born", "1990", "--club", "aarwald", "--from", "1989"), "born in"),
        (("n", "--name", "N", "--born", "1961", "--parent", "aebi-ruedi"), "cannot be a parent"),
        (("n", "--name", "N", *("--parent", "aebi-ruedi") * 2), "each of them once"),
    ],
)
def test_what_cannot_be_asked(folder: ClubFolder, words: tuple[str, ...], message: str) -> None:
    before = bytes_of(folder)
    refused = roster(folder, "add", *words)
    assert (refused.status, refused.out) == (2, "")
    assert message in refused.err
    assert bytes_of(folder) == before


def test_a_birth_year_that_may_be_a_minors(folder: ClubFolder) -> None:
    # The folder's latest season is 2026.
    assert "minor" in roster(folder, "add", "--name", "Levin Aebi", "--born", "2009").err
    assert "minor" not in roster(folder, "add", "--name", "Nadja Aebi", "--born", "2008").err


WORDS = st.text(st.characters(exclude_categories=("C",)), min_size=1, max_size=12)


@given(
    name=WORDS,
    born=st.none() | st.integers(1000, 2999),
    clubs=st.lists(
        st.tuples(st.sampled_from(["aarwald", "b-1"]), st.none() | st.just(1990)), max_size=3
    ),
    parents=st.lists(st.sampled_from(["aebi-hans", "no", "08"]), max_size=2),
    also_written=st.lists(WORDS | st.sampled_from(["~", "null", "a, b", "x: y", "#"]), max_size=3),
)
def test_a_new_file_says_what_was_asked_in_the_one_layout(
    name: str,
    born: int | None,
    clubs: list[tuple[str, int | None]],
    parents: list[str],
    also_written: list[str],
) -> None:
    memberships = [Membership(ClubId(club), since) for club, since in clubs]
    ids = [PlayerId(each) for each in parents]
    if any(not (each.isprintable() and each.strip()) for each in (name, *also_written)):
        return
    text = new_player_text(
        name=name, born=born, clubs=memberships, parents=ids, also_written=also_written
    )
    reading = read_player(text.encode("utf-8"), PlayerId("x"))
    assert reading.findings == ()
    assert reading.record == Player(
        id=PlayerId("x"),
        name=" ".join(name.split()),
        born=born,
        clubs=tuple(memberships),
        parents=tuple(ids),
        also_written=tuple(" ".join(each.split()) for each in also_written),
        positions={},
    )
    assert canonical(text, PLAYER_SHAPE) == text


@given(name=WORDS)
def test_an_identifier_made_of_any_name_is_one(name: str) -> None:
    try:
        made = identifier_for(name)
    except UsageError:
        return
    assert is_identifier(made)


# To another club

AT_HOME = "clubs: [{club: aarwald, from: 1979}]"


@pytest.mark.parametrize(
    ("clubs", "year", "after"),
    [
        ("", 2019, "clubs: [{club: birkenfluh, from: 2019}]\n"),
        (f"{AT_HOME}  # so\n", 2019, f"{AT_HOME[:-1]}, {{club: birkenfluh, from: 2019}}]  # so\n"),
        (
            f"{AT_HOME}\n",
            1970,
            "clubs: [{club: birkenfluh, from: 1970}, {club: aarwald, from: 1979}]\n",
        ),
        (
            "clubs:\n  # first\n  - {club: aarwald, from: 1979}  # one\n  # then\n"
            "  - {club: oberaar, from: 1999}\n",
            1990,
            "clubs:\n  # first\n  - {club: aarwald, from: 1979}  # one\n"
            "  - {club: birkenfluh, from: 1990}\n  # then\n  - {club: oberaar, from: 1999}\n",
        ),
        (
            "clubs:  # his clubs\n# first\n- club: aarwald\n  from: 1979\n",
            1970,
            "clubs:  # his clubs\n- {club: birkenfluh, from: 1970}\n# first\n- club: aarwald\n"
            "  from: 1979\n",
        ),
        (
            "clubs: [{club: aarwald}, {club: birkenfluh, from: 1990},\n  {club: aarwald,"
            " from: 2000}]\n",
            2019,
            "clubs: [{club: aarwald}, {club: birkenfluh, from: 1990},\n  {club: aarwald,"
            " from: 2000}, {club: birkenfluh, from: 2019}]\n",
        ),
    ],
)
@pytest.mark.parametrize("ends", ["\n", "\r\n"], ids=["lf", "crlf"])
def test_a_club_more(clubs: str, year: int, after: str, ends: str, tmp_path: Path) -> None:
    def dressed(written: str) -> bytes:
        return f"# {HANS}\nname: Hans Aebi\nborn: 1950\n{written}".replace("\n", ends).encode()

    folder = lay_out(
        tmp_path, [Write(HANS, dressed(clubs)), Write("clubs/oberaar.yaml", "name: Oberaar\n")]
    )
    moved = roster(folder, "move", "Hans Aebi", "Birkenfluh", "--from", str(year))
    assert moved == Outcome(status=0, out=f"{HANS}\n", err="1 file changed\n")
    assert (folder.root / HANS).read_bytes() == dressed(after)


@pytest.mark.parametrize(
    ("club", "year", "status", "message"),
    [
        ("aarwald", 1979, 0, "at `aarwald` from 1979 already; nothing was written"),
        ("aarwald", 1985, 1, "was at `aarwald` in 1985 already, since 1979"),
        ("aarwald", 1975, 1, "if 1975 is right, write it in place of 1979"),
        ("birkenfluh", 1979, 1, "went to `aarwald` in 1979 already"),
        ("birkenfluh", 1950, 1, "born in 1961, after 1950"),
        ("birkenflu", 1990, 2, "did you mean birkenfluh?"),
    ],
)
def test_a_move_that_cannot_be(
    folder: ClubFolder, club: str, year: int, status: int, message: str
) -> None:
    before = bytes_of(folder)
    refused = roster(folder, "move", "aebi-ruedi", club, "--from", str(year))
    assert (refused.status, refused.out) == (status, "")
    assert message in refused.err
    assert bytes_of(folder) == before


def test_a_dry_move_writes_nothing(folder: ClubFolder) -> None:
    before = bytes_of(folder)
    dry = roster(folder, "move", "aebi-ruedi", "birkenfluh", "--from", "1990", "--dry-run")
    assert dry == Outcome(status=0, out=f"{RUEDI}\n", err="1 file would change\n")
    assert bytes_of(folder) == before


# Who there is


def test_the_list_says_where_each_is_now(folder: ClubFolder) -> None:
    roster(folder, "move", "aebi-ruedi", "birkenfluh", "--from", "1990")
    roster(folder, "move", "zaugg-lena", "aarwald", "--from", "2001")
    listed = roster(folder, "list", "--format", "json")
    assert listed.data[0] == {
        "player": "aebi-hans",
        "name": "Hans Aebi",
        "club": None,
        "from": None,
    }
    assert listed.data[1] == {
        "player": "aebi-ruedi", "name": "Ruedi Aebi", "club": "birkenfluh", "from": 1990
    }  # fmt: skip
    assert [each["player"] for each in listed.data] == sorted(register_of(folder).players)
    here = roster(folder, "list", "--club", "Birkenfluh", "--format", "csv")
    assert here.out == "player,name,club,from\naebi-ruedi,Ruedi Aebi,birkenfluh,1990\n"
    assert roster(folder).out == roster(folder, "list").out
    assert "Birkenfluh  1990" in roster(folder).out


def test_the_list_says_what_is_left_out(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [Write(NADJA, "name: [")])
    assert "1 file could not be read and left out" in roster(folder).err


# Whom a person means


def test_a_name_finds_the_player(folder: ClubFolder) -> None:
    register = register_of(folder)
    for written in ("aebi-ruedi", "Ruedi Aebi", "rüdi-aebi".replace("rü", "rue"), "RUEDI AEBI"):
        assert find_player(register, written).id == "aebi-ruedi"


def test_a_name_of_two_finds_neither(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [Write("players/aebi-r.yaml", "name: Ruedi Aebi\n")])
    with pytest.raises(UsageError, match=r"a name of 2 players.*aebi-r .*or aebi-ruedi"):
        find_player(register_of(folder), "Ruedi Aebi")


@given(written=st.text(max_size=20))
def test_what_is_taken_for_an_identifier_may_name_a_file(written: str) -> None:
    try:
        taken = expect_identifier(written)
    except UsageError:
        return
    assert is_identifier(taken)


# Editing


@pytest.mark.parametrize(
    ("text", "keys", "values", "after"),
    [
        ("a: {b: 1}\n", {"a.b": "c"}, {"a.b": "2"}, "a: {c: 2}\n"),
        ("'a' : \"b\"\n", {"a": "c"}, {"a": "d"}, "'c' : \"d\"\n"),
        ("a: b\n", {}, {"a": "c: d"}, 'a: "c: d"\n'),
        ('a: "b\\x63"\n', {}, {"a": "bd"}, "a: bd\n"),
        ("a: 'b''c'\n", {}, {"a": "bd"}, "a: bd\n"),
        ("a:\n- b\n- {c: [b, b]}\n", {"a.2.c": "b"}, {"a.2.c.2": "e"}, "a:\n- b\n- {b: [b, e]}\n"),
    ],
)
def test_respelt_keeps_the_quotes(
    text: str, keys: dict[str, str], values: dict[str, str], after: str
) -> None:
    assert respelt(text, keys, values) == after


def test_respelt_refuses_what_stands_there_or_is_not_there() -> None:
    with pytest.raises(RiesbuchError, match="`b` stands beside `a` already"):
        respelt("a: 1\nb: 2\n", {"a": "b"}, {})
    with pytest.raises(RiesbuchError, match="no such place"):
        respelt("a: 1\n", {}, {"c": "b"})


def test_an_item_before_another() -> None:
    assert with_item("a: [x, z]\n", "a", "y", PLAYER_SHAPE, 2) == "a: [x, y, z]\n"
    assert with_item("a: [x]\n", "a", "w", PLAYER_SHAPE, 1) == "a: [w, x]\n"
    assert with_item("a:\n - x\n - z", "a", "y", PLAYER_SHAPE, 2) == "a:\n - x\n - y\n - z"


# The command


def test_every_option_is_documented_and_every_subcommand_explained() -> None:
    text = "".join(path.read_text(encoding="utf-8") for path in guide_pages())
    for name, subcommand in command.command.commands.items():
        assert f"riesbuch roster {name}" in text
        assert subcommand.help
        options = [each for each in subcommand.params if isinstance(each, click.Option)]
        assert [each.opts[0] for each in options if f"`{each.opts[0]}" not in text] == []
        assert [each.name for each in options if not each.help] == []


def test_completion_knows_players_and_clubs() -> None:
    root = click.Context(click.Command("riesbuch"))
    root.params["folder"] = EXAMPLE
    parameters = {each.name: each for each in command.move.params}
    (found,) = parameters["player"].shell_complete(root, "aebi-na")
    assert found.value == "aebi-nadja"
    (found,) = parameters["club"].shell_complete(root, "birk")
    assert found.value == "birkenfluh"
