"""Every command in a made-up language, that has words for all the messages that the code is seen
to say, the same in brackets with a mark in place of every letter. What is left of our English in
what people read has no message yet."""

import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import click
import pytest

from riesbuch.cli.main import COMMANDS, main
from riesbuch.language.catalogue import DOMAINS
from tests import catalogues
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example

# What is typed, in help: the usage, options, commands, values.
TYPED = re.compile(
    r"\A⟦¤+:⟧ riesbuch .*\n(?: {16,}.*\n)*"
    r"|^  (?:-\w, )?--[\w-]+(?: [A-Z_=|]+(?:\.csv)?| \[[\w|-]+\])*"
    r"|^  [a-z-]+(?=\s)"
    r"|⟦¤+:\s+[\w-]+⟧|[\d<=]*x[<>=\d]+",
    re.M,
)
GAP = re.compile(r"(\{\w*(?:[:!]\S+?)?\}|%\(\w+\)s)|[^\W\d_]")


SHEET = "2026/2026-04-19-aarwald-a-birkenfluh-a"
UNSEALED = "2026/2026-06-07-ginsterwil-a-aarwald-a"
RUNS = (
    "nothing",
    "check",
    "check nowhere",
    "check --format markdown",
    "standings",
    "standings oberhang-1",
    "standings oberhang-1 --season 1988 --rules 2024",
    "standings oberhang-2 --until 2026-05-10",
    "standings oberhang-9",
    "standings oberhang-1 --season 1066",
    "standings oberhang-1 --until yesterday",
    "standings oberhang-1 --format xml",
    "standings oberhang-1 --format",
    "standings oberhang-1 --nothing",
    "strikers oberhang-1",
    "strikers oberhang-1 --rules nothing",
    f"tally {SHEET}",
    "tally 1988/1988-10-02-birkenfluh-a-aarwald-a",
    f"tally {SHEET} --format markdown",
    "tally league.toml",
    "tally",
    f"compare seasons/{SHEET} seasons/{UNSEALED}.yaml",
    f"desk {SHEET}",
    "tell nowhere",
    "career aebi-ruedi",
    "career bigler-jonas",
    "career nobody",
    "meetings aarwald birkenfluh",
    "meetings aarwald aarwald",
    "meetings aarwald-a birkenfluh-a --since 2024",
    "records",
    "records --ages --since 2024 --club aarwald",
    "records --club nowhere",
    "records --since never",
    "honours",
    "honours --competition oberhang-1",
    "almanac 08-18 --year 2021",
    "almanac 04-10 --year 2033",
    "almanac 13-13",
    "families",
    "families --club ginsterwil",
    "find rudolf aebi",
    "find xyzzy",
    "ask SELECT 1",
    "roster list --club aarwald",
    "roster add --name Lena --club nowhere",
    "roster add --name Lena --club aarwald --from 2026",
    "roster move bigler-jonas birkenfluh --from 2027",
    "roster rename bigler-jonas bigler-jonathan",
    "roster merge aebi-ruedi bigler-jonas",
    "plan oberhang-1 --season 2027 --from 2027-04-11",
    "plan oberhang-1 --season 2026 --from 2026-06-28 --replace --dry-run",
    "sheet birkenfluh-a nobody",
    f"seal {UNSEALED}",
    f"seal {UNSEALED} --home thomas --away ruedi --on 2026-06-07",
    f"correct {UNSEALED} away.strikes.bigler-jonas.1.2=16 --reason misread",
    "tidy --check",
    "tidy",
    "publish --check",
    "due --on 2026-06-15",
    "season 2026",
    "review",
    "git-setup",
    "import nowhere.csv",
    "import results.csv --competition oberhang-1",
    "export tables --season 1988",
    "start new --name League --season 2027",
    "start new --name League --season 2027",
    "guide nothing",
    "season 2030",
)
# Names, identifiers and remarks in the files.
VALUE = re.compile(r'"([^"\n]{3,})"|: ([^\n#]{3,}?) *(?:#.*)?$|^\s*([a-z]+(?:-[a-z]+)+)\b', re.M)
# What is called alike in every language: what is quoted, options, files, identifiers, arguments,
# and lines to be typed.
NAME = re.compile(
    r"`[^`]*`|[\w./-]+\.(?:yaml|toml|md|csv|json|svg)\b|--?[a-z][a-z-]*|\b\w+(?:[-/.]\w+)+"
    r"|\b[A-Z][A-Z_]+\b|\briesbuch\b|\.git\w+|\([a-z-]+\)|^riesbuch: |riesbuch [a-z-]+ \[.*|'[^']*'"
    r"|^  riesbuch .*"
)
# By command, the words that people still read in English. The list may only become shorter.
STILL_ENGLISH: dict[str, str] = {
    "check": "draft",
    "standings": "standings",
    "strikers": "festival",
    "tally": "strikes tally",
    "compare": "date ground round weather",
    "meetings": "meetings",
    "records": "records",
    "find": "Aebi Rudolf",
    "roster": (
        "aarwald birkenfluh eschlisried fuchsmattigen ginsterwil nebelschwand oberaar"
        " sommerhubel steinhubelmoos tiefenschuer"
    ),
    "seal": "seal",
    "correct": "correct",
    "start": "new",
    "guide": "exporting importing",
}


class MadeUp:
    language = "made-up"

    def __init__(self) -> None:
        self.known: set[tuple[str | None, str]] = {
            (message.context or "", one)
            for domain in DOMAINS
            for message in catalogues.extracted(domain)
            for one in ([message.id] if isinstance(message.id, str) else message.id)
        }

    def gettext(self, message: str) -> str:
        return self.pgettext("", message)

    def pgettext(self, context: str, message: str) -> str:
        if (context, message) not in self.known:
            return message
        if message.startswith("\b"):
            return f"\b\n⟦{_marked(message[2:])}⟧"
        return f"⟦{_marked(message)}⟧" if len(message) > 1 else message

    def ngettext(self, one: str, many: str, number: int) -> str:
        return self.gettext(one if number == 1 else many)


def _marked(text: str) -> str:
    return GAP.sub(lambda found: found[1] or "¤", text)


@cache
def words() -> MadeUp:
    return MadeUp()


def in_made_up(*arguments: str) -> Outcome:
    return invoke(*arguments, words=words())


def commands() -> Iterator[tuple[str, ...]]:
    """Each as it is typed, with those within it."""
    yield ()
    for name in COMMANDS:
        yield (name,)
        command = main.get_command(click.Context(main), name)
        if isinstance(command, click.Group):
            yield from ((name, within) for within in command.commands)


@pytest.mark.parametrize("command", [*commands()], ids=" ".join)
def test_help_is_said_in_another_language(command: tuple[str, ...]) -> None:
    """The names of commands, options, values and arguments are the same in every language."""
    outcome = in_made_up(*command, "--help")
    assert (outcome.status, outcome.err) == (0, "")
    in_english = invoke(*command, "--help").out
    assert in_english.startswith("Usage: riesbuch")
    left = TYPED.sub("", outcome.out)
    assert not re.search(r"[^\W\d_¤]", left), left
    # And nothing of it stays for whoever comes next in the same process.
    assert invoke(*command, "--help").out == in_english


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ("nothing", "⟦¤: ⟦¤ ¤ ¤ ¤ `nothing`; ⟦`¤ --¤` ¤ ¤⟧⟧⟧"),
        ("tally", "⟦¤: ⟦¤ ¤⟧ 'SHEET'.⟧"),
        ("standings --nothing", "⟦¤: ⟦¤ ¤ ¤ '--nothing'.⟧ ⟦¤ ¤ ¤ '--until'?⟧⟧"),
        ("standings --format xml", "⟦¤: ⟦¤ ¤ ¤ '--format': ⟦'xml' ¤ ¤ ¤ ¤ 'table', 'markdown',"),
        ("standings a b", "⟦¤: ⟦¤ ¤ ¤ ¤ (b)⟧⟧"),
    ],
)
def test_clicks_own_words_are_said_in_another_language(arguments: str, said: str) -> None:
    outcome = in_made_up(*arguments.split())
    assert (outcome.status, outcome.out) == (2, "")
    *_, complaint = outcome.err.splitlines()
    assert re.sub("¤+", "¤", complaint).startswith(said)
    assert "¤" not in invoke(*arguments.split()).err


def test_a_failure_is_said_in_another_language(tmp_path: Path) -> None:
    outcome = in_made_up("--folder", str(tmp_path), "check")
    assert outcome.status == 2
    assert re.fullmatch(r"riesbuch: ⟦\S+ [¤ :]+ league\.toml⟧\n", outcome.err)


def test_what_programs_read_is_the_same_in_every_language(tmp_path: Path) -> None:
    root = copy_example(tmp_path / "club")
    for question in (("check",), ("standings", "oberhang-1"), ("find", "aebi")):
        for data_format in ("json", "csv"):
            asked = ("--folder", str(root), *question, "--format", data_format)
            assert in_made_up(*asked).out == invoke(*asked).out


def test_english_reads_no_catalogue_and_leaves_click_as_it_is() -> None:
    """Another language costs only those who have it."""
    seen = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from riesbuch.cli.main import run\n"
            "try: run(['--help'])\n"
            "finally: print(*sys.modules, file=sys.stderr)",
        ],
        capture_output=True,
        check=True,
        text=True,
    )
    assert "riesbuch.cli.main" in seen.stderr.split()
    assert not {"riesbuch.cli.speech", "riesbuch.language.catalogue", "click.shell_completion"} & {
        *seen.stderr.split()
    }


def values_in(root: Path) -> re.Pattern[str]:
    """What stands in the files of the folder, but single words in small letters that are no name
    of an award."""
    awards = {
        award
        for path in root.glob("rules/*.toml")
        for award in re.findall(
            '^name = "([a-z]+)"', path.read_text(encoding="utf-8"), re.MULTILINE
        )
    }
    values = {
        next(filter(None, found.groups())).strip()
        for path in root.rglob("*")
        if path.suffix in (".yaml", ".toml") and ".riesbuch" not in path.parts
        for found in VALUE.finditer(path.read_text(encoding="utf-8"))
    }
    longest_first = sorted(values, key=lambda value: (-len(value), value))
    return re.compile("|".join(
        rf"\b{re.escape(value)}\b" for value in longest_first
        if value in awards or not re.fullmatch(r"[a-z]+|\W.*", value)
    ))  # fmt: skip


def still_english(root: Path) -> dict[str, str]:
    values = values_in(root)
    left: dict[str, set[str]] = {}
    for run in RUNS:
        outcome = in_made_up(*(run.split(" ", 1) if run.startswith("ask ") else run.split()))
        assert outcome.status in (0, 1, 2)
        assert "sorry, this is a fault" not in outcome.err
        for line in f"{outcome.out}\n{outcome.err}".splitlines():
            said = NAME.sub("", values.sub("", line)).replace("¤", "")
            words = re.findall(r"[A-Za-zäöü]{2,}", said)
            left.setdefault(run.partition(" ")[0], set()).update(words)
    return {command: " ".join(sorted(words)) for command, words in left.items() if words}


def test_what_is_still_said_in_english_is_listed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = copy_example(tmp_path / "club")
    monkeypatch.chdir(root)
    assert still_english(root) == STILL_ENGLISH
