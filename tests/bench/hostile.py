"""Feed mutated files of every kind to the readers, the judges and the commands, and see that none
ends in a fault of the program, hangs or takes much memory.

    python -m tests.bench.hostile WORK [--mutations 200000] [--writing 10000] [--documents 50000]
                                       [--seed 1] [--workers 2]

Nine of ten mutations go through the reader and the checks of one file, one of ten is written into
a small club folder and met by a whole command. --writing are as many more that are met by one of
the commands of `tests.writing_commands`, which all have something to write there, in a repository
with keys and signers. Every one may take 2 s of the processor at most, and a process 500 MB. Then
so many generated documents are read by our reader and by ruamel.yaml's own loader of texts: the
values are equal, or the file is refused with a place. What went wrong lies in WORK/found, as the
file that did it; blocks that are done are not done again.
"""

import argparse
import contextlib
import json
import multiprocessing
import os
import random
import re
import resource
import shutil
import signal
import sys
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any, NamedTuple
from unittest import mock

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from riesbuch.folder.club_folder import Kind, kind_of_path
from riesbuch.judge.sheet import check_sheet
from riesbuch.language.catalogue import catalogue
from riesbuch.text.decoding import RefusedFileError, decode
from riesbuch.text.league import (
    read_fixtures,
    read_handed_down,
    read_league,
    read_rules,
    read_rulings,
    read_season,
)
from riesbuch.text.nodes import Entries, FileReading, Items, Node
from riesbuch.text.register import read_club, read_player
from riesbuch.text.sheet import read_sheet, read_training
from riesbuch.text.signers import read_signers
from riesbuch.text.yaml_tree import read_tree, without_inner_tabs
from riesbuch.trade.ids import ClubId, PlayerId, SheetId
from riesbuch.trade.messages import Words
from riesbuch.trade.problems import Finding
from riesbuch.trade.rules import RuleSet
from tests.bench.hostile_texts import mutated, random_document
from tests.clubfolder import CLUB_FOLDER, FIRST, lay_out
from tests.commandline import EXAMPLE, Outcome, invoke
from tests.gatherfolder import files_of
from tests.gitfolder import ENVIRONMENT, commit
from tests.writing_commands import CASES, Case

SECONDS = 2
MEGABYTES = 500
BLOCK = 1000

SIGNERS = (
    'aarwald namespaces="riesbuch" ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIE5 2026\n'
    "# agreed aarwald 2026-05-10 U1NIU0lH\n"
)
CSV = (
    "date,home,away,home points,away points,home nummern,away nummern\n"
    "2026-06-14,Aarwald A,Birkenfluh A,95,90,0,1\n21.6.2026,Aarwald A,Birkenflu A,1’095,90,,x\n"
)

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check",), ("check", "--format", "json"), ("due", "--on", "2026-05-20"), ("tally", "04-12"),
    ("desk", "04-12"), ("tell", "04-12"), ("tell", "04-12", "--language", "de"),
    ("standings", "oberhang-1"), ("strikers", "oberhang-1"), ("career", "Ruedi Aebi"),
    ("records",), ("honours",), ("almanac",), ("families",), ("find", "Aebi"),
    ("meetings", "aarwald", "birkenfluh"), ("form", "aarwald-a"), ("lineup", "aarwald-a"),
    ("nummern", "aarwald-a"), ("reach", "oberhang-1"), ("ask", "select count(*) from matches"),
    ("tidy", "--check"), ("roster", "list"), ("season", "2027", "--dry-run"), ("calendar",),
    ("plan", "oberhang-2", "--from", "2026-06-07", "--dry-run"),
    ("sheet", "aarwald-a", "birkenfluh-a", "--blank-paper"),
    ("correct", FIRST, "home.paper.points=119", "--reason", "r", "--agreed", "aarwald",
     "--agreed", "birkenfluh", "--by", "x", "--dry-run"),
    ("roster", "rename", "zaugg-lena", "zaugg-2", "--dry-run"),
    ("roster", "merge", "zaugg-lena", "aebi-hans", "--dry-run"),
    ("publish", "--check"), ("compare", FIRST, "05-10"), ("training", "aarwald"),
    ("tidy",), ("review",), ("publish",), ("export", "tables"),
    ("standings", "oberhang-1", "--format", "json"), ("strikers", "oberhang-1", "--format", "csv"),
)  # fmt: skip

# What the tests' small folder has not; all of it without a problem, so that the commands go
# beyond their refusals.
FURTHER = {
    "seasons/2026/season.toml": CLUB_FOLDER["seasons/2026/season.toml"]
    + """
[[competition]]
id = "oberhang-2"
name = "Oberhang League, second division"
kind = "league"
rules = "2026"
teams = ["aarwald-b", "birkenfluh-b"]
cycles = 2
""",
    "seasons/2026/rulings.toml": """\
[[ruling]]
competition = "oberhang-1"
on = 2026-05-14
by = "match commission"
team = "birkenfluh-a"
rank_points = -1
reason = "a supernumerary struck for the team in round 2"
""",
    "seasons/1987/handed-down.toml": """\
[[table]]
competition = "oberhang-1"
name = "Oberhang League"
kind = "league"
source = {kind = "letter", reference = "letter of the captain, third page"}
rows = [{rank = 1, team = "aarwald-a"}, {rank = 2, team = "birkenfluh-a"}]

[[honour]]
what = "best-striker"
competition = "oberhang-1"
player = "aebi-ruedi"
source = {kind = "other", reference = "pewter plate in the Kreuz"}
""",
    "trainings/2026/2026-04-02.yaml": """\
date: 2026-04-02
club: aarwald
wind: against
strikes:
  aebi-ruedi: 18 17 17 14
  zaugg-lena: 18 21 _ 18
present: [bigler-jonas]
""",
    "old.csv": CSV,
}


MADE_ANEW = re.compile(r"(^|/)(reports|site|out)/")
WROTE_NOTHING = ("nothing was written", "nothing was changed", "every file is as it was before")


class TooSlow(BaseException):
    """Not an Exception, which the command line would take for a fault of its own."""


class Found(NamedTuple):
    what: str
    path: str
    content: bytes


@dataclass
class Harvest:
    """What came of a block."""

    outcomes: Counter[str] = field(default_factory=Counter)
    found: list[Found] = field(default_factory=list)


def seeds() -> dict[Kind, list[tuple[str, bytes]]]:
    """Files of every kind that is read: those of the example and of the tests' small folder."""
    found: dict[Kind, list[tuple[str, bytes]]] = {}
    for path in sorted(EXAMPLE.rglob("*")):
        relative = path.relative_to(EXAMPLE).as_posix()
        kind = kind_of_path(relative)
        if path.is_file() and kind.is_read and not relative.startswith("reports/"):
            found.setdefault(kind.kind, []).append((relative, path.read_bytes()))
    for relative, text in CLUB_FOLDER.items():
        found.setdefault(kind_of_path(relative).kind, []).append((relative, text.encode()))
    found[Kind.SIGNERS] = [("signers", SIGNERS.encode())]
    return found


def read(kind: Kind, content: bytes) -> FileReading[Any]:
    if kind is Kind.SHEET:
        reading = read_sheet(content, SheetId("2026/2026-04-12-aarwald-a-birkenfluh-a"), 2026)
        judged = check_sheet(reading.match, RuleSet()) if reading.match is not None else []
        return FileReading(reading.match, (*reading.findings, *judged))
    readers: dict[Kind, Callable[[], FileReading[Any]]] = {
        Kind.LEAGUE: lambda: read_league(content),
        Kind.SIGNERS: lambda: read_signers(content),
        Kind.RULES: lambda: read_rules(content),
        Kind.CLUB: lambda: read_club(content, ClubId("aarwald")),
        Kind.PLAYER: lambda: read_player(content, PlayerId("aebi-ruedi")),
        Kind.SEASON: lambda: read_season(content, 2026),
        Kind.FIXTURES: lambda: read_fixtures(content),
        Kind.HANDED_DOWN: lambda: read_handed_down(content),
        Kind.RULINGS: lambda: read_rulings(content),
        Kind.TRAINING: lambda: read_training(content),
    }
    return readers[kind]()


def places(findings: tuple[Finding, ...], content: bytes) -> str:
    """What is wrong with the places or the words of the findings; empty where nothing is."""
    words = catalogue("de", "commands")
    lines = content.decode("utf-8", "replace").split("\n")
    for found in findings:
        line, column = found.position
        if not (1 <= line <= len(lines) and column >= 1):
            return f"{found.code} at {line}:{column} of {len(lines)} lines"
        if not found.message.translated(words).strip():
            return f"{found.code} says nothing"
    return ""


def interrupt(_signal: int, _frame: FrameType | None) -> None:
    raise TooSlow


def guarded(harvest: Harvest, path: str, content: bytes, run: Callable[[], str]) -> None:
    """``run`` gives what it came to; what begins with ``fault`` is kept."""
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        outcome = run()
    except TooSlow:
        outcome = f"fault: over {SECONDS} s"
    except Exception:  # noqa: BLE001 - whatever it is, it is what is looked for
        outcome = "fault: " + traceback.format_exc()
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    harvest.outcomes[outcome.partition(":")[0]] += 1
    if outcome.startswith("fault"):
        harvest.found.append(Found(outcome, path, content))


def read_mutations(chance: random.Random, number: int, harvest: Harvest) -> None:
    """So many mutated files through reader and checks."""
    files = seeds()
    kinds = sorted(files)
    for _ in range(number):
        kind = chance.choice(kinds)
        path, content = chance.choice(files[kind])
        spoilt = mutated(chance, content, toml=path.endswith(".toml"))

        def run(kind: Kind = kind, spoilt: bytes = spoilt) -> str:
            reading = read(kind, spoilt)
            wrong = places(reading.findings, spoilt)
            if wrong:
                return f"fault: {wrong}"
            return "read with findings" if reading.findings else "read"

        guarded(harvest, path, spoilt, run)


def folder_of_commands(scratch: Path) -> Path:
    """A folder with a file of every kind but signers, without a problem."""
    root = lay_out(scratch / "club").root
    for path, text in FURTHER.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text, encoding="utf-8")
    for command in (("tidy",), ("seal", FIRST, "--home", "Ruedi Aebi", "--away", "Urs Kipfer")):
        done = invoke("--folder", root, *command)
        assert done.status == 0, done.err
    return root


def as_before(root: Path, kept: dict[str, bytes]) -> None:
    """The folder as it was laid out, whatever commands wrote."""
    for path in sorted(root.rglob("*"), reverse=True):
        relative = path.relative_to(root).as_posix()
        if relative.startswith(".riesbuch") or path.is_dir():
            continue
        if relative not in kept:
            path.unlink()
        elif path.read_bytes() != kept[relative]:
            path.write_bytes(kept[relative])


def command_mutations(chance: random.Random, number: int, harvest: Harvest, scratch: Path) -> None:
    """So many mutated files in a folder, each met by a command."""
    root = folder_of_commands(scratch)
    kept = {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and ".riesbuch" not in path.parts
    }
    read_files = [path for path in kept if kind_of_path(path).is_read]
    words = catalogue("de", "commands")
    for _ in range(number):
        command = chance.choice(COMMANDS)
        path = chance.choice(read_files)
        if chance.random() < 0.05:
            path = "old.csv"
            command = ("import", str(root / path), "--dry-run", "--competition", "oberhang-1")
        spoilt = mutated(chance, kept[path], toml=path.endswith(".toml"))
        (root / path).write_bytes(spoilt)
        spoken = words if chance.random() < 0.3 else None

        def run(command: tuple[str, ...] = command, spoken: Any = spoken) -> str:
            told = (*command[:-1], str(scratch / "tables")) if command[0] == "export" else command
            return ending(command, invoke("--folder", root, *told, words=spoken), (0, 1, 2))

        guarded(harvest, path, spoilt, run)
        if command != ("tidy",):
            for other, content in kept.items():
                after = (root / other).read_bytes()
                if after != (spoilt if other == path else content):
                    what = f"fault: {command} changed {other}"
                    harvest.outcomes["fault"] += 1
                    harvest.found.append(Found(what, path, spoilt))
        as_before(root, kept)


def ending(command: Sequence[str], done: Outcome, allowed: Sequence[int]) -> str:
    if "Traceback" in done.err or "riesbuch itself" in done.err or "Riesbuch selbst" in done.err:
        return f"fault: {command}: {done.err}"
    if done.status not in allowed:
        return f"fault: {command}: status {done.status}"
    return f"status {done.status}"


@dataclass(frozen=True)
class LaidOut:
    """The folder of a case, what can be mutated there, and what the command changes of it."""

    template: Path
    files: Sequence[str]
    changes: frozenset[str]


def copied(template: Path, work: Path) -> Path:
    shutil.rmtree(work, ignore_errors=True)
    return shutil.copytree(template, work, symlinks=True)


def run_there(work: Path, case: Case, words: Words | None) -> Outcome:
    """In ``work``, with nothing of the caller's home."""
    home = os.fspath(work.with_name("home"))
    given = {**ENVIRONMENT, "HOME": home, "XDG_CACHE_HOME": home, "SSH_AUTH_SOCK": ""}
    with contextlib.chdir(work), mock.patch.dict(os.environ, given):
        return invoke(
            *(word.replace("{work}", os.fspath(work)) for word in case.words), words=words
        )


def laid_out(case: Case, scratch: Path) -> LaidOut:
    template = scratch / "laid-out" / case.name.replace(" ", "-")
    template.mkdir(parents=True)
    case.lay(template)
    work = copied(template, scratch / "work")
    before = files_of(work)
    done = run_there(work, case, None)
    assert done.status in (0, 1, 3), (case.name, done.err)
    after = files_of(work)
    files = [
        path for path in before
        if kind_of_path(path.partition("/")[2]).is_read
        or ("/" not in path and ({path, path.rpartition(".")[2]} & {*case.words, "csv"}))
    ]  # fmt: skip
    changes = frozenset(path for path in before if before[path] != after.get(path))
    return LaidOut(template, files, changes)


def writing_mutations(chance: random.Random, number: int, harvest: Harvest, scratch: Path) -> None:
    """So many mutated files in a folder, each met by a command that has something to write. Where
    it says that it wrote nothing all stays, and what it has no business with always does."""
    known: dict[str, LaidOut] = {}
    words = catalogue("de", "commands")
    # What begins a folder finds none.
    cases = [case for case in CASES if case.command != "start"]
    for _ in range(number):
        case = chance.choice(cases)
        if case.name not in known:
            known[case.name] = laid_out(case, scratch)
        laid = known[case.name]
        work = copied(laid.template, scratch / "work")
        # Of the files that the command is given, or changes, one as often as of all others.
        near = [path for path in laid.files if path in laid.changes or path in case.words]
        path = chance.choice(near if near and chance.random() < 0.5 else laid.files)
        spoilt = mutated(chance, (work / path).read_bytes(), toml=path.endswith(".toml"))
        (work / path).write_bytes(spoilt)
        if case.command == "gather" and not path.startswith("club/"):
            commit(work / path.partition("/")[0])
        before = files_of(work)
        spoken = words if chance.random() < 0.3 else None

        def run(
            case: Case = case,
            work: Path = work,
            before: dict[str, bytes] = before,
            laid: LaidOut = laid,
            spoken: Words | None = spoken,
        ) -> str:
            done = run_there(work, case, spoken)
            after = files_of(work)
            told = ending(case.words, done, (0, 1, 2, 3) if "merge" in case.words else (0, 1, 2))
            differing = {path for path in before if before[path] != after.get(path)}
            refused = done.status and any(each in done.err for each in WROTE_NOTHING)
            # Whatever is untidy, whoever is mentioned.
            anything = case.command.partition(" ")[0] in ("tidy", "roster")
            if not refused:
                differing = {path for path in differing if not MADE_ANEW.search(path)}
                differing -= differing if anything else laid.changes
            if differing:
                return f"fault: {case.words} changed {sorted(differing)}: {done.err}"
            return told

        guarded(harvest, f"{case.name}: {path}", spoilt, run)


def as_texts(node: Node) -> Any:
    if isinstance(node, Entries):
        return {key.text: as_texts(value) for key, value in node.entries}
    if isinstance(node, Items):
        return [as_texts(item) for item in node.items]
    return node.text


def compare_documents(chance: random.Random, number: int, harvest: Harvest) -> None:
    """So many documents read by our reader and by ruamel.yaml's loader of texts."""
    files = seeds()
    yaml_files = [
        content for of_kind in files.values() for path, content in of_kind if path.endswith(".yaml")
    ]
    for _ in range(number):
        if chance.random() < 0.5:
            content = random_document(chance)
        else:
            content = mutated(chance, chance.choice(yaml_files), toml=False)

        def run(content: bytes = content) -> str:
            try:
                root, findings = read_tree(decode(content))
            except RefusedFileError as refused:
                root, findings = None, [refused.finding]
            if root is None or findings:
                return f"refused, {findings[0].code}"
            text = without_inner_tabs(decode(content))
            try:
                try:
                    theirs = YAML(typ="base", pure=True).load(text)
                except YAMLError:
                    # The pure parser refuses a mark of the byte order that the C parser skips.
                    theirs = YAML(typ="base", pure=True).load(text.replace("\ufeff", ""))
            except (YAMLError, ValueError) as error:
                return f"fault: read by us, refused by ruamel.yaml: {error}"
            ours = as_texts(root)
            return "equal" if _blanks(ours) == _blanks(theirs) else f"fault: {ours} is not {theirs}"

        guarded(harvest, "document.yaml", content, run)


def _blanks(value: Any) -> Any:
    """A tab within a line, and what ends lines on other systems, are blanks to us; a mark of the
    byte order is nothing, wherever it stands."""
    if isinstance(value, dict):
        return {_blanks(key): _blanks(below) for key, below in value.items()}
    if isinstance(value, list):
        return [_blanks(item) for item in value]
    text = "" if value is None else str(value).replace("\ufeff", "")
    return " ".join(text.split())


def block(job: tuple[str, int, int, Path]) -> tuple[str, Harvest, int]:
    """A block of one kind of work; its name, what came of it, the process's most memory in MB."""
    kind, seed, number, work = job
    signal.signal(signal.SIGPROF, interrupt)
    resource.setrlimit(resource.RLIMIT_DATA, (MEGABYTES << 20, MEGABYTES << 20))
    chance = random.Random(f"{kind} {seed} {number}")
    harvest = Harvest()
    if kind == "read":
        read_mutations(chance, BLOCK, harvest)
    elif kind == "documents":
        compare_documents(chance, BLOCK, harvest)
    else:
        scratch = work / f"scratch-{os.getpid()}"
        shutil.rmtree(scratch, ignore_errors=True)
        mutations = writing_mutations if kind == "writing" else command_mutations
        mutations(chance, BLOCK, harvest, scratch)
        shutil.rmtree(scratch)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return f"{kind}-{seed}-{number}", harvest, peak


def blocks(
    mutations: int, writing: int, documents: int, seed: int, work: Path
) -> Iterator[tuple[str, int, int, Path]]:
    for number in range(mutations // BLOCK):
        yield ("commands" if number % 10 == 0 else "read"), seed, number, work
    for number in range(writing // BLOCK):
        yield "writing", seed, number, work
    for number in range(documents // BLOCK):
        yield "documents", seed, number, work


def main() -> None:
    parser = argparse.ArgumentParser(description="Feed hostile files to all that reads files.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--mutations", type=int, default=200_000)
    parser.add_argument("--writing", type=int, default=10_000)
    parser.add_argument("--documents", type=int, default=50_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    arguments = parser.parse_args()
    work: Path = arguments.work.resolve()
    (work / "found").mkdir(parents=True, exist_ok=True)
    log = work / "done.jsonl"
    done = {}
    if log.exists():
        done = {entry[0]: entry[1:] for entry in map(json.loads, log.read_text().splitlines())}
    numbers = (arguments.mutations, arguments.writing, arguments.documents)
    jobs = list(blocks(*numbers, arguments.seed, work))
    left = [job for job in jobs if f"{job[0]}-{job[1]}-{job[2]}" not in done]
    context = multiprocessing.get_context("spawn")
    with context.Pool(arguments.workers, maxtasksperchild=20) as pool, log.open("a") as file:
        for name, harvest, peak in pool.imap_unordered(block, left):
            for number, found in enumerate(harvest.found):
                kept = work / "found" / f"{name}-{number}"
                kept.with_suffix(".file").write_bytes(found.content)
                kept.with_suffix(".txt").write_text(f"{found.path}\n{found.what}\n", "utf-8")
            done[name] = [dict(harvest.outcomes), peak]
            file.write(json.dumps([name, *done[name]]) + "\n")
            file.flush()
    totals: dict[str, Counter[str]] = {
        "read": Counter(),
        "commands": Counter(),
        "writing": Counter(),
        "documents": Counter(),
    }
    for job in jobs:
        totals[job[0]].update(done[f"{job[0]}-{job[1]}-{job[2]}"][0])
    for kind, outcomes in totals.items():
        print(f"{kind}: {outcomes.total():,}: " + ", ".join(
            f"{number:,} {outcome}" for outcome, number in outcomes.most_common()))  # fmt: skip
    print(f"largest process: {max(peak for _, peak in done.values())} MB")
    faults = sum(outcomes["fault"] for outcomes in totals.values())
    print(f"{faults} faults" + (f", in {work / 'found'}" if faults else ""))
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
