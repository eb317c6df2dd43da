"""Every command of riesbuch, told apart by whether it writes files of the user's; and for each that
does a folder, laid out, in which it has something to write."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

import click

from riesbuch.cli.main import main
from tests.clubfolder import FIRST, FIRST_SHEET, LENA, MATCHES, RUEDI, SECOND, Write, lay_out
from tests.gatherfolder import Folders
from tests.gitfolder import begin, commit
from tests.rosterfolder import BY_POINTS, BY_POINTS_SHEET, MANIFOLD, MANIFOLD_SHEET
from tests.signing import key, public
from tests.stopping import in_child

FIRST_ID = "2026/2026-04-12-aarwald-a-birkenfluh-a"
_SEALED = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-13")
_CORRECTED = (
    "correct", FIRST_ID, "home.strikes.bigler-jonas.2.1=18N", "--reason", "misheard",
    "--agreed", "aarwald", "--agreed", "birkenfluh", "--on", "2026-04-20",
)  # fmt: skip
_UNTIDY = FIRST_SHEET.replace("home:\n", "# the first of all\nhome:\n").replace(
    "[[18, 20], [17, 19]]", "[ [18,20], [17,   19] ]  # as read"
)
_RESULTS = """\
date,home,away,home points,away points,home nummern,away nummern
2026-06-14,Aarwald A,Birkenfluh A,95,90,0,1
2026-06-21,Aarwald B,Birkenfluh A,71,90,0,1
"""
_STRIKES = """\
date,home,away,team,player,1,2,3,4
2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Ruedi Aebi,14,15,16,17
2026-06-14,Aarwald A,Birkenfluh A,Aarwald A,Fritz Neuling,10,11,12,13
2026-06-14,Aarwald A,Birkenfluh A,Birkenfluh A,Urs Kipfer,9,8,10,11
2026-06-14,Aarwald A,Birkenfluh A,Birkenfluh A,Rosa Sahli,9,8,10,11
"""
_TABLE = """\
Rang;Mannschaft;Spiele;Siege;Unentschieden;Niederlagen;Nr.;Punkte;Rangpunkte
1.;Aarwald A;10;8;0;2;3;9876;41
2.;Birkenfluh A;10;7;1;2;4;9800;38
"""


def club(work: Path) -> None:
    """A club folder under git in ``club``, with comments and files that riesbuch does not know."""
    root = work / "club"
    lay_out(
        root,
        [
            Write(FIRST, _UNTIDY),
            Write(MANIFOLD, MANIFOLD_SHEET),
            Write(BY_POINTS, "\ufeff" + BY_POINTS_SHEET.replace("\n", "\r\n")),
            Write(RUEDI, "# of the old farm\nname: Ruedi Aebi\nborn: 1961\n"
                         "clubs: [{club: aarwald, from: 1979}]   # before that unknown\n"
                         "parents: [aebi-hans]\n"),
            Write("players/aebi-rudolf.yaml", "name: Rudolf Aebi   # the same?\n"),
            Write("players/lustig-vreni.yaml", "name: Vreni Lustig   # nowhere named\n"),
            Write("cash.ods", b"PK\x03\x04 not ours"),
            Write(f"{MATCHES}/.2026-04-12.swp", b"an editor's"),
            Write(".gitignore", ".riesbuch/\n"),
            Write("signers", f"aarwald {public('aarwald')}\nbirkenfluh {public('birkenfluh')}\n"),
        ],
    )  # fmt: skip
    (root / LENA).chmod(0o640)
    for name in ("aarwald", "birkenfluh"):
        key(work / "keys", name)
    for name, text in (("results", _RESULTS), ("strikes", _STRIKES), ("table", _TABLE)):
        (work / f"{name}.csv").write_text(text, encoding="utf-8")
    (work / "many.csv").write_text(
        "name,born,club\nAnna Löffel,1990,Aarwald\nBea Stolz,1991,Birkenfluh\n", encoding="utf-8"
    )
    _keep(root)


def _keep(root: Path) -> None:
    if not (root / ".git").exists():
        begin(root)
        for sample in (root / ".git/hooks").glob("*.sample"):
            sample.unlink()
    commit(root)


def _after(*commands: Sequence[str]) -> Callable[[Path], None]:
    """The club folder after these commands, which all succeed."""

    def laid_out(work: Path) -> None:
        club(work)
        for ran in in_child(work, [["--folder", "club", *words] for words in commands]):
            assert ran.status == 0, ran.err
        _keep(work / "club")

    return laid_out


def _without(*paths: str) -> Callable[[Path], None]:
    def laid_out(work: Path) -> None:
        club(work)
        for path in paths:
            (work / "club" / path).unlink()
        _keep(work / "club")

    return laid_out


def _published(*more: str) -> Callable[[Path], None]:
    """A folder with its pages, one of them of a sheet that is gone and one edited, and a strike
    that is another since."""

    def laid_out(work: Path) -> None:
        _after(("publish", *more))(work)
        sheet = work / "club" / FIRST
        sheet.write_bytes(sheet.read_bytes().replace(b"[[14, 9]", b"[[14, 8]"))
        (work / "club" / BY_POINTS).unlink()

    return laid_out


def _played(work: Path) -> None:
    _published()(work)
    path = work / "club" / MATCHES / "2026-07-05-aarwald-b-birkenfluh-a.yaml"
    path.write_text(
        "competition: oberhang-1\nround: 3\ndate: 2026-07-05\nhome: {team: aarwald-b, points: 71,"
        " nummern: 0}\naway: {team: birkenfluh-a, points: 90, nummern: 1}\n",
        encoding="utf-8",
    )


def _empty(work: Path) -> None:
    (work / "club").mkdir()
    (work / "club/.gitignore").write_text("*.bak\n", encoding="utf-8")


def _leagues(work: Path) -> None:
    Folders(work)
    (work / "league").rename(work / "club")
    (work / "club/league.toml").write_bytes((work / "club/league.toml").read_bytes())


def _to_merge(work: Path) -> None:
    club(work)
    text = (work / "club" / FIRST).read_text(encoding="utf-8")
    for name, old, new in (("base", "8, 13", "8, 13"), ("ours", "8, 13", "9, 13"),
                           ("theirs", "14, 9", "15, 9")):  # fmt: skip
        (work / name).write_text(text.replace(old, new), encoding="utf-8")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A command with something to write; ``words`` are given in the folder's parent."""

    name: str
    command: str
    given: Sequence[str]
    lay: Callable[[Path], None] = field(default=club)

    @property
    def words(self) -> list[str]:
        within = [] if self.command in ("start", "for-git merge") else ["--folder", "club"]
        return [*within, *self.command.split(), *self.given]


def case(command: str, *given: str, lay: Callable[[Path], None] = club, name: str = "") -> Case:
    return Case(name=name or command, command=command, given=given, lay=lay)


CASES = (
    case("start", "club", "--season", "2026", "--name", "Oberhang", lay=_empty),
    case("season", "2027"),
    case("plan", "oberhang-1", "--season", "2026", "--from", "2026-08-02", "--replace",
         lay=_without(FIRST, SECOND)),
    case("sheet", "birkenfluh-a", "aarwald-a", lay=_without(SECOND)),
    case("sheet", "--round", "2", lay=_without(SECOND), name="sheet of a round"),
    case("training", "aarwald", "--date", "2026-05-05"),
    case("seal", FIRST_ID, *_SEALED),
    case("seal", FIRST_ID, *_SEALED, "--sign", "keys/aarwald", name="seal and sign"),
    case("sign", FIRST_ID, "--key", "keys/birkenfluh", lay=_after(("seal", FIRST_ID, *_SEALED))),
    case(*_CORRECTED, lay=_after(("seal", FIRST_ID, *_SEALED))),
    case("finish", "--on", "2026-07-05", "--yes", lay=_played),
    case("tidy"),
    case("roster add", "Anna Löffel", "--club", "aarwald"),
    case("roster add", "--from", "many.csv", name="roster add of many"),
    case("roster move", "aebi-ruedi", "birkenfluh", "--from", "2026"),
    case("roster rename", "aebi-ruedi", "aebi-rudolf-1961"),
    case("roster merge", "aebi-ruedi", "aebi-rudolf"),
    case("roster remove", "lustig-vreni"),
    case("import", "results.csv", "--competition", "oberhang-1"),
    case("import", "strikes.csv", "--competition", "oberhang-cup", "--create",
         name="import with players"),
    case("import", "strikes.csv", "--competition", "oberhang-cup", "--decisions", "list.csv",
         name="import to be decided"),
    case("import", "--table", "table.csv", "--season", "1937", "--competition", "oberhang-1",
         name="import of a table"),
    case("export", "out"),
    case("export", "out", lay=_after(("export", "out"), ("roster", "add", "Anna Löffel")),
         name="export again"),
    case("gather", lay=_leagues),
    case("git-setup"),
    case("git-setup", "--undo", lay=_after(("git-setup",)), name="git-setup --undo"),
    case("publish", lay=_published()),
    case("publish", "--site", "site", lay=_published("--site", "site"), name="publish --site"),
    case("book"),
    case("for-git merge", "base", "ours", "theirs", "7", "base", "ours", "theirs", lay=_to_merge),
)  # fmt: skip

READING: dict[str, tuple[str, ...]] = {
    "due": ("--on", "2026-05-10"),
    "calendar": (),
    "check": (),
    "tally": (FIRST_ID,),
    "compare": (FIRST, FIRST),
    "review": (),
    "standings": ("oberhang-1",),
    "strikers": ("oberhang-1",),
    "form": ("aarwald-a",),
    "lineup": ("aarwald-a",),
    "nummern": ("aarwald-a",),
    "reach": ("oberhang-1",),
    "career": ("aebi-ruedi",),
    "meetings": ("aarwald-a", "birkenfluh-a"),
    "records": (),
    "honours": (),
    "almanac": ("04-12",),
    "families": (),
    "find": ("aebi",),
    "ask": ("SELECT 1",),
    "tell": (FIRST_ID,),
    "guide": ("sheet",),
    "roster list": (),
    "for-git show": (FIRST,),
    "for-git check": (),
    "desk": (FIRST,),
}
"""The commands that write nothing but what can be made anew, with what they are given."""


class Leaf(NamedTuple):
    name: str
    command: click.Command


def leaves() -> Iterator[Leaf]:
    """Every command of the command line that has none below it."""
    context = click.Context(main)
    for name in main.list_commands(context):
        command = main.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            for below, each in command.commands.items():
                yield Leaf(f"{name} {below}", each)
        else:
            yield Leaf(name, command)
