"""Two to eight commands at once while an editor changes files; called by `tests.bench.faults`.

It goes in rounds. In each some commands that ask and some that write start at the same moment, and
the editor saves one to three sheets meanwhile. Whatever was answered must be the answer of a run
without an index, on a copy of the folder in one of the states that the files can have been in: of
every file that changed each of its versions. Whoever said that it wrote must have written, and what
the editor saved must stand. At the end of each round all questions are asked again, with the index
that is there and without one.
"""

import itertools
import os
import random
import shutil
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.clubfolder import FIRST_SHEET, MATCHES
from tests.stopping import (
    UNFINISHED,
    Ran,
    files_of,
    import_everything,
    in_child,
    waiting_child,
    without_what_is_kept,
)
from tests.writing_commands import club

QUESTIONS: tuple[tuple[str, ...], ...] = (
    ("check", "--format", "json"),
    ("standings", "oberhang-1", "--format", "json"),
    ("strikers", "oberhang-1", "--format", "csv"),
    ("standings", "oberhang-cup", "--format", "csv"),
    ("records", "--format", "json"),
    ("career", "aebi-ruedi", "--format", "json"),
    ("honours", "--format", "csv"),
    ("find", "Aebi", "--format", "json"),
    ("ask", "SELECT * FROM strikes", "--format", "csv"),
    ("calendar",),
)
STATES = 64
"""So many states are tried for an answer given while files changed."""


@dataclass(slots=True)
class Told:
    rounds: int = 0
    commands: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    answers: int = 0
    saves: int = 0
    unjudged: int = 0
    notes: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def is_wrong(self, what: str) -> None:
        self.wrong.append(what)
        print(f"WRONG round {self.rounds}: {what}", flush=True)


class Round:
    """A club folder in ``work``, and copies of it in states that it can have been in."""

    def __init__(self, work: Path, chance: random.Random, told: Told) -> None:
        self.work, self.chance, self.told = work, chance, told
        self.root = work / "club"

    def lay_out(self) -> None:
        shutil.rmtree(self.work, ignore_errors=True)
        self.work.mkdir(parents=True)
        club(self.work)
        for number in range(12):
            self._write(number, 10 + number)

    def _path(self, number: int) -> Path:
        return self.root / MATCHES / f"2026-08-{number + 1:02}-aarwald-a-birkenfluh-a.yaml"

    def _write(self, number: int, first: int) -> None:
        text = (
            FIRST_SHEET.replace("round: 1\n", "")
            .replace("2026-04-12", f"2026-08-{number + 1:02}")
            .replace("[[18, 20], [17, 19]]", f"[[{first}, 20], [17, 19]]   # number {number}")
        )
        self._path(number).write_text(text, encoding="utf-8")

    def play(self) -> None:
        chance, told = self.chance, self.told
        told.rounds += 1
        if chance.random() < 0.3:
            without_what_is_kept(self.root)
        before = files_of(self.root)
        numbers = chance.sample(range(12), 12)
        writers = list(self._writers(numbers))
        asked = [chance.choice(QUESTIONS) for _ in range(chance.randint(1, 8 - len(writers)))]
        if len(asked) + len(writers) < 2:
            asked.append(QUESTIONS[0])
        commands = [*writers, *asked]
        chance.shuffle(commands)
        children = [
            waiting_child(
                self.work, [["--folder", "club", *words]], self.work / f"-tmp/said-{each}"
            )
            for each, words in enumerate(commands)
        ]
        saved: dict[str, list[bytes]] = {}
        for child in children:
            child.begin()
            if chance.random() < 0.5:
                time.sleep(chance.random() * 0.05)
        # The editor, on sheets that nobody else writes in this round, or on one that somebody does.
        for number in [*numbers[-2:], *numbers[:1]][: chance.randint(0, 3)]:
            time.sleep(chance.random() * 0.15)
            self._save(number, saved)
        ended = [child.ended()[0] for child in children]
        after = files_of(self.root)
        self._judge_writers(commands, ended, before, after, saved)
        versions = self._versions(before, after, writers, saved)
        for words, ran in zip(commands, ended, strict=True):
            told.commands[words[0]] += 1
            self._judge_manners(words, ran)
            if words in QUESTIONS:
                told.answers += 1
                self._judge_answer(words, ran, after, versions)
        self._judge_at_rest()
        if told.rounds % 8 == 0:
            self.lay_out()

    def _writers(self, numbers: Sequence[int]) -> Iterator[tuple[str, ...]]:
        """On one sheet, then on others."""
        kind = self.chance.randrange(6)
        one, other = (
            self._path(number).relative_to(self.root).as_posix() for number in numbers[:2]
        )
        sealing = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-09-01")
        for path in {0: (), 1: (one,), 2: (one, one), 3: (one, other)}.get(kind, ()):
            content = (self.root / path).read_bytes()
            if b"\nseal:" not in content:
                yield ("seal", path, *sealing)
            else:
                value = str(self.chance.randrange(3, 25))
                yield (
                    "correct", path, f"away.strikes.kipfer-urs.1.1={value}", "--reason",
                    f"misheard {self.chance.randrange(10**6)}", "--agreed", "aarwald",
                    "--agreed", "birkenfluh", "--on", "2026-09-02",
                )  # fmt: skip
        if kind == 4:
            name = f"Neu {self.chance.choice('ABCDEFGHIJKLM')}"
            yield ("roster", "add", name, "--club", "aarwald")
            yield ("roster", "add", name, "--club", "birkenfluh")
        if kind == 5:
            yield ("tidy", one, other)
        if self.chance.random() < 0.3:
            yield ("publish",)

    def _save(self, number: int, saved: dict[str, list[bytes]]) -> None:
        """As an editor does: another file in its place."""
        path = self._path(number)
        content = path.read_bytes()
        place = content.index(b"bigler-jonas: [[") + len(b"bigler-jonas: [[")
        content = content[:place] + b"%d" % self.chance.randrange(10, 25) + content[place + 2 :]
        beside = path.with_name(f".{path.name}.new")
        beside.write_bytes(content)
        beside.replace(path)
        saved.setdefault(path.relative_to(self.root).as_posix(), []).append(content)
        self.told.saves += 1

    def _judge_manners(self, words: Sequence[str], ran: Ran) -> None:
        if "Traceback" in ran.err or "sorry" in ran.err or ran.status not in (0, 1, 2):
            self.told.is_wrong(f"{words}: a fault, {ran}")
        if "locked" in ran.err:
            self.told.is_wrong(f"{words}: {ran.err}")
        for line in ran.err.splitlines():
            if "index cannot" in line or "changed meanwhile" in line or "is there already" in line:
                self.told.notes[line.replace(os.fspath(self.work), "")[-70:]] += 1

    def _judge_writers(
        self,
        commands: Sequence[Sequence[str]],
        ended: Sequence[Ran],
        before: Mapping[str, bytes],
        after: Mapping[str, bytes],
        saved: Mapping[str, Sequence[bytes]],
    ) -> None:
        for path in after:
            if UNFINISHED.fullmatch(path):
                self.told.is_wrong(f"left {path}")
        for path in before:
            if path not in after and not path.startswith("reports/"):
                self.told.is_wrong(f"{path} is gone")
        written: dict[str, list[str]] = {}
        for words, ran in zip(commands, ended, strict=True):
            if words in QUESTIONS:
                continue
            if ran.status:
                self.told.refused[words[0]] += 1
                continue
            if words[0] in ("seal", "correct"):
                sign = "\nseal:" if words[0] == "seal" else words[4]
                written.setdefault(words[1], []).append(sign)
            if words[0] == "tidy":
                for path in words[1:]:
                    written.setdefault(path, [])
        for path in {*written, *saved}:
            content = after[path]
            lost = [sign for sign in written.get(path, ()) if sign.encode() not in content]
            # What the editor saves takes no heed of others; with nobody else, it stands.
            if lost and path not in saved:
                self.told.is_wrong(f"a lost write, {lost} in {path}")
            if path in saved:
                place = saved[path][-1].index(b"bigler-jonas: [[") + 16
                strike = saved[path][-1][place : place + 2]
                if b"bigler-jonas: [[" + strike not in content:
                    self.told.is_wrong(f"a lost save of the editor in {path}, of {commands}")
        added = [words for words, ran in zip(commands, ended, strict=True)
                 if words[0] == "roster" and ran.status == 0]  # fmt: skip
        if len(added) > 1:
            self.told.is_wrong(f"both added one player: {added}")

    def _versions(
        self,
        before: Mapping[str, bytes],
        after: Mapping[str, bytes],
        writers: Sequence[Sequence[str]],
        saved: Mapping[str, Sequence[bytes]],
    ) -> dict[str, list[bytes | None]]:
        """Of every file that counts and changed, what it can have been."""
        versions: dict[str, list[bytes | None]] = {}
        paths = {path for path in {*before, *after} if before.get(path) != after.get(path)}
        for path in sorted({*paths, *saved}):
            if path.startswith(("reports/", ".git/")) or UNFINISHED.fullmatch(path):
                continue
            found: list[bytes | None] = [after.get(path), before.get(path), *saved.get(path, ())]
            versions[path] = list(dict.fromkeys(found))
        touching = [words for words in writers if {*words} & {*versions}]
        if len(touching) > 1 or (touching and {*touching[0]} & {*saved}):
            for words in touching:
                self._restore(before, {})
                in_child(self.work.with_name("alone"), [["--folder", "club", *words]])
                alone = files_of(self.work.with_name("alone") / "club")
                for path in versions:
                    if alone.get(path) not in versions[path]:
                        versions[path].append(alone.get(path))
        return versions

    def _restore(self, state: Mapping[str, bytes], changes: Mapping[str, bytes | None]) -> Path:
        """A copy of the folder with no index, in another state."""
        alone = self.work.with_name("alone")
        shutil.rmtree(alone, ignore_errors=True)
        alone.mkdir()
        leave = shutil.ignore_patterns(".riesbuch", "reports")
        shutil.copytree(self.root, alone / "club", symlinks=True, ignore=leave)
        given = {path: state.get(path) for path in {*state, *files_of(alone / "club")}}
        for path, content in {**given, **changes}.items():
            if path.startswith(("reports/", ".git/")):
                continue
            file = alone / "club" / path
            if content is None:
                file.unlink(missing_ok=True)
            else:
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_bytes(content)
        return alone

    def _judge_answer(
        self,
        words: Sequence[str],
        ran: Ran,
        after: Mapping[str, bytes],
        versions: Mapping[str, Sequence[bytes | None]],
    ) -> None:
        states = itertools.product(*versions.values())
        for number, state in enumerate(states):
            if number == STATES:
                self.told.unjudged += 1
                return
            alone = self._restore(after, dict(zip(versions, state, strict=True)))
            (cold,) = in_child(alone, [["--folder", "club", *words]])
            if (cold.status, cold.out) == (ran.status, ran.out):
                return
        self.told.is_wrong(
            f"{words} answered as in no state of {[*versions]}: {ran.status} {ran.err[-200:]}\n"
            f"{ran.out[:600]}"
        )

    def _judge_at_rest(self) -> None:
        questions = [["--folder", "club", *words] for words in QUESTIONS]
        kept = in_child(self.work, questions)
        alone = self._restore(files_of(self.root), {})
        cold = in_child(alone, questions)
        for words, mine, theirs in zip(QUESTIONS, kept, cold, strict=True):
            self.told.answers += 1
            self._judge_manners(words, mine)
            if (mine.status, mine.out) != (theirs.status, theirs.out):
                self.told.is_wrong(f"at rest {words} answers {mine} for {theirs}")


def rounds(work: Path, seed: int, goes_on: Callable[[Told], bool]) -> Told:
    """What came of the rounds that are played while ``goes_on``."""
    told = Told()
    play = Round(work / "together", random.Random(seed), told)
    play.lay_out()
    while goes_on(told):
        play.play()
    return told


def together(work: Path, minutes: float, seed: int) -> int:
    import_everything()
    shutil.rmtree(work, ignore_errors=True)
    end = time.monotonic() + minutes * 60
    told = rounds(work, seed, lambda _told: time.monotonic() < end)
    commands = ", ".join(f"{name} {number}" for name, number in told.commands.most_common())
    print(
        f"{minutes:g} minutes, seed {seed}: {told.rounds} rounds, {told.commands.total()} commands"
        f" at once ({commands}), {told.saves} saves of an editor"
    )
    print(
        f"{told.answers} answers held against a cold run, {len(told.wrong)} wrong;"
        f" {told.unjudged} with more than {STATES} states not judged"
    )
    print(f"refused: {dict(told.refused)}")
    for note, number in told.notes.most_common(12):
        print(f"  told {number} times: {note}")
    return 1 if told.wrong else 0
