"""Count the commands and keys of a match day, as it was once typed and as it is now.

python -m tests.bench.match_day [--date 2026-05-31]

A copy of the example league gets the day's sheets as a secretary makes them of the papers: the
drafts are written by the program, and the values typed into them. Each way is carried out, must
give the strikes of the sheets that lie in the folder, and is counted as it goes, with the keys
that every editor has. A line costs one key to come to it and one to its end, one for each
character of the draft's blanks that is taken back, and its text; a whole new line its text and a
key for its end.
"""

import argparse
import os
import re
import subprocess
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId, opponent_of
from riesbuch.trade.match import Match, Row, Side
from riesbuch.trade.strikes import write_innings
from riesbuch.trade.tally import columns
from tests.commandline import invoke
from tests.example_copy import copy_example

_SEALED_BY = ("--home", "Ruedi Aebi", "--away", "Jonas Bigler")


@dataclass
class Typist:
    """Types in the folder ``root`` and counts; ``long`` is the way it once was."""

    root: Path
    long: bool
    commands: int = 0
    keys: int = 0
    rows: int = 0
    typed: dict[str, int] = field(default_factory=dict)

    def press(self, what: str, keys: int) -> None:
        self.keys += keys
        self.typed[what] = self.typed.get(what, 0) + keys

    def enter(self, *words: str) -> None:
        """A command, in quotes where it needs them, and the key that ends it."""
        line = " ".join(f'"{word}"' if " " in word else word for word in words)
        self.commands += 1
        self.press("commands", len(line) + 1)
        if words[0] == "git":
            subprocess.run(words, cwd=self.root, check=True, stdout=subprocess.DEVNULL)
            return
        answers = ("--yes",) if words[1] == "finish" else ()
        self.press("commands", 2 if answers else 0)
        done = invoke("--folder", self.root, *words[1:], *answers)
        assert done.status == 0, done.out + done.err

    def fill(self, path: Path, match: Match) -> None:
        """Type the paper into the draft at ``path``."""
        lines = path.read_text(encoding="utf-8").split("\n")
        head = lines[: lines.index("home:")]
        lines = [line for line in head if not line.startswith("ground")]
        for name, side in match.sides:
            lines += [f"{name}:", f"  team: {side.team}", "  strikes:"]
            lines += [self.row(row) for row in side.rows or ()]
            if side.supernumeraries:
                lines += ["  supernumeraries:", *(self.row(row) for row in side.supernumeraries)]
            if side.replacements:
                lines += ["  replacements:", *map(self.replacement, side.replacements)]
            lines.append(self.paper(side, match.side(opponent_of(name))))
        path.write_text("\n".join([*lines, ""]), encoding="utf-8")

    def row(self, row: Row) -> str:
        long = write_innings(row.innings)
        value = long if self.long else re.sub(r"[\[\],]", "", long)
        blank = re.sub(r"[0-9]+N?|[x~]", "_", long) if self.long else "_"
        self.rows += 1
        self.press("blanks", len(blank))
        self.press("rows", 2 + len(value))
        return f"    {row.player}: {value}"

    def replacement(self, row: Row) -> str:
        long = write_innings(row.innings)
        value = long if self.long else re.sub(r"[\[\],]", "", long)
        line = f"    - {{by: {row.player}, strikes: {value}}}"
        self.press("rows", len(line) + 1)
        return line

    def paper(self, side: Side, opponent: Side) -> str:
        ries = [sum(strike.points for strike in column) for column in columns(side.team_rows)]
        nummern = sum(row.nummern for row in opponent.team_rows)
        totals = {"ries": ries, "points": sum(ries), "nummern": nummern}
        line = f"  paper: {{{', '.join(f'{key}: {total}' for key, total in totals.items())}}}"
        if self.long:
            self.press("totals", len(line) + 1)
        else:
            # From blank to blank with the key that goes on by a word: over `, points: ` and so on.
            written = map(str, [*ries, sum(ries), nummern])
            self.press("totals", 2 + sum(len(total) + 3 for total in written))
        return line


def papers(root: Path, date: str) -> dict[str, Match]:
    """The day's sheets by their paths, read and taken away."""
    found: dict[str, Match] = {}
    for path in sorted((root / "seasons" / date[:4] / "matches").glob(f"{date}-*.yaml")):
        match = read_sheet(
            path.read_bytes(), SheetId(f"{date[:4]}/{path.stem}"), int(date[:4])
        ).match
        assert match is not None
        found[path.relative_to(root).as_posix()] = match
        path.unlink()
    assert found
    return found


def played(root: Path, date: str, *, long: bool) -> Typist:
    day = papers(root, date)
    commit = ("git", "-c", "user.name=a", "-c", "user.email=a@b", "commit", "-qam", "before")
    for words in (("git", "init", "-q"), ("git", "add", "-A"), commit):
        subprocess.run(words, cwd=root, check=True)
    for key in ("name", "email"):
        subprocess.run(("git", "config", f"user.{key}", "a"), cwd=root, check=True)
    typist = Typist(root, long)
    if long:
        for match in day.values():
            typist.enter("riesbuch", "sheet", str(match.home.team), str(match.away.team))
    else:
        [number] = {match.round for match in day.values()}
        typist.enter("riesbuch", "sheet", "--round", str(number))
    for path, match in day.items():
        typist.fill(root / path, match)
    typist.enter("riesbuch", "check")
    for path in day:
        typist.enter("riesbuch", "seal", path, *_SEALED_BY)
    if long:
        typist.enter("riesbuch", "publish")
        typist.enter("git", "add", "-A")
        typist.enter(
            "git", "commit", "-qm", f"Oberhang League, round {next(iter(day.values())).round}"
        )
    else:
        typist.enter("riesbuch", "finish")
    for path, match in day.items():
        sheet = SheetId(f"{date[:4]}/{Path(path).stem}")
        again = read_sheet((root / path).read_bytes(), sheet, int(date[:4])).match
        assert again is not None
        assert again.all_rows == match.all_rows
    return typist


def main() -> None:
    parser = argparse.ArgumentParser(description="Count the keys of a match day.")
    parser.add_argument("--date", default="2026-05-31")
    arguments = parser.parse_args()
    os.environ["GIT_CONFIG_GLOBAL"] = os.devnull
    counted = []
    for long in (True, False):
        with tempfile.TemporaryDirectory() as folder:
            root = Path(folder) / "club"
            copy_example(root)
            counted.append(played(root, arguments.date, long=long))
    for name, typist in zip(("once", "now"), counted, strict=True):
        of_what = ", ".join(f"{what} {keys:,}" for what, keys in typist.typed.items())
        print(f"{name}: {typist.commands} commands, {typist.keys:,} keys ({of_what})")
    once, now = counted
    print(f"now against once: {now.keys / once.keys:.2f}, {now.commands / once.commands:.2f}")
    marked = [each.keys - each.typed["blanks"] + each.rows for each in counted]
    print(f"the same where one key marks a line's blanks: {marked[1] / marked[0]:.2f} {marked}")


if __name__ == "__main__":
    main()
