"""What programs read, and what is written to files, does not follow the user's language."""

from pathlib import Path

import pytest

from riesbuch.cli.main import COMMANDS, main, users_words
from riesbuch.language.catalogue import Catalogue
from tests.clubfolder import FIRST, lay_out
from tests.commandline import invoke
from tests.example_copy import copy_example

GERMAN = users_words({"RIESBUCH_LANGUAGE": "de"})
SHEET = "2026/2026-04-19-aarwald-a-birkenfluh-a"
# Of every command that answers with data, what to ask; those without another line need nothing.
ASKED = {
    "ask": ["SELECT sheet, points FROM sides WHERE points > 1000 ORDER BY sheet, side"],
    "career": ["aebi-ruedi"],
    "compare": [SHEET, "2026/2026-06-07-ginsterwil-a-aarwald-a"],
    "find": ["aebi"],
    "form": ["aarwald-a"],
    "lineup": ["aarwald-a"],
    "meetings": ["aarwald", "birkenfluh"],
    "nummern": ["aarwald-a"],
    "reach": ["oberhang-1"],
    "review": ["HEAD", "HEAD"],
    "standings": ["oberhang-1"],
    "strikers": ["oberhang-1"],
    "plan": ["oberhang-1", "--season", "2026", "--from", "2026-06-28", "--replace", "--dry-run"],
    "tally": [SHEET],
    "tell": [SHEET],
}  # fmt: skip
# What writes into the folder, one after the other.
WRITING = (
    ("sheet", "aarwald-b", "birkenfluh-a", "--date", "2026-06-07", "--competition", "oberhang-1"),
    ("seal", FIRST, "--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-13"),
    (
        "correct", FIRST, "home.strikes.aebi-ruedi.1.1=17", "--by", "Lena Zaugg",
        "--reason", "misread", "--agreed", "aarwald", "--agreed", "birkenfluh",
        "--on", "2026-04-20",
    ),
    ("roster", "add", "--name", "Anna Löffel", "--club", "aarwald", "--from", "2026"),
    ("roster", "rename", "zaugg-lena", "zaugg-helena"),
    ("tidy",),
    ("publish",),
)  # fmt: skip


def answering() -> list[tuple[str, str]]:
    """Every command that answers in formats, with each that programs read."""
    found = []
    for name in COMMANDS:
        command = main.get_command(None, name)  # type: ignore[arg-type]
        assert command is not None
        for option in command.params:
            choices = getattr(option.type, "choices", ())
            if "--format" in option.opts:
                found += [(name, choice) for choice in ("csv", "json") if choice in choices]
    return found


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("german")
    copy_example(where / "aarwald")
    root = copy_example(where / "club")
    with (root / "league.toml").open("a", encoding="utf-8") as league:
        league.write('\n[[from]]\nclub = "aarwald"\nurl = "../aarwald"\n')
    return root


@pytest.mark.parametrize(("command", "data_format"), answering())
def test_data_are_the_same_in_german(command: str, data_format: str, example: Path) -> None:
    asked = ("--folder", example, command, *ASKED.get(command, []), "--format", data_format)
    english, german = invoke(*asked), invoke(*asked, words=GERMAN)
    assert (german.out, german.status) == (english.out, english.status)
    assert english.out or command == "review"


def test_files_are_the_same_in_german(tmp_path: Path) -> None:
    def written(name: str, words: Catalogue | None) -> dict[str, bytes]:
        root = tmp_path / name
        lay_out(root)
        # A path stands from where one is, not from the folder.
        for command in (*WRITING, ("export", str(root / "tables"))):
            outcome = invoke("--folder", root, *command, words=words)
            assert outcome.status == 0, outcome.err
        return {
            path.relative_to(root).as_posix(): path.read_bytes()
            for path in root.rglob("*")
            if path.is_file() and ".riesbuch" not in path.parts
        }

    english, german = written("english", None), written("german", GERMAN)
    assert {"reports/README.md", "tables/datapackage.json"} <= english.keys()
    assert german == english
