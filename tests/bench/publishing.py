"""Time publishing a folder of many seasons: all of it, and after a change.

    python -m tests.bench.publishing WORK [--seasons 50] [--runs 5] [--handed-down 50]
    python -m tests.bench.publishing WORK --match-day [--seasons 30]

WORK is where the folder is generated, if it is not there yet. Figures are medians of alternating
runs of whole processes; the reference is a warm `check`. A new sheet is one of the newest season,
put back after it was taken out and the reports were published without it; another is still missing,
and ends the season.
``--match-day`` counts instead what one match day changes in the reports.
"""

import argparse
import re
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

from tests.bench.decades import folder_of, forget_index, riesbuch, run, timed
from tests.bench.generate import generate

# Files younger than two seconds are read again, lest they change unseen.
_UNTIL_OLD = 2.5
# What a page shows at once: not the list of names, which is read when somebody looks for one.
_SHOWN = re.compile(r'<(?:link|script|img)[^>]* (?:src|href)="([^"]*)"')


def settle(folder: Path, *ways: tuple[str, ...]) -> None:
    """Wait until everything that was written is old, and look at it."""
    time.sleep(_UNTIL_OLD)
    for way in ways:
        run(riesbuch(folder, *way))


def change_the_weather(sheet: Path) -> None:
    text = sheet.read_text(encoding="utf-8")
    old, new = ("clear, light wind", "clear, no wind at all")
    if new in text:
        old, new = new, old
    assert old in text
    sheet.write_text(text.replace(old, new), encoding="utf-8")


def pages(folder: Path) -> int:
    return sum(path.suffix in (".md", ".svg") for path in (folder / "reports").rglob("*"))


def site_beside(folder: Path) -> Path:
    return folder.with_name(f"{folder.name}-site")


def with_pictures(page: Path) -> tuple[int, Path]:
    """The bytes that are read to show a page of a site the first time."""
    files = {page, *(page.parents[0] / way for way in _SHOWN.findall(page.read_text("utf-8")))}
    return sum(file.stat().st_size for file in files), page


class Taken(NamedTuple):
    """Of one run: by the clock, of the processors, and the largest process's memory in MB."""

    seconds: float
    of_processors: float
    peak: float


def measure(folder: Path, runs: int) -> dict[str, list[Taken]]:
    """What each run took, by what was measured."""
    *_, sheet, last = sorted(folder.glob("seasons/*/matches/*.yaml"))
    content, of_last = sheet.read_bytes(), last.read_bytes()
    site = site_beside(folder)
    pages, as_site = ("publish",), ("publish", "--site", str(site))
    taken: dict[str, list[Taken]] = {}

    def take(name: str, *words: str) -> None:
        seconds, of_processors, peak = timed(riesbuch(folder, *words))
        taken.setdefault(name, []).append(Taken(seconds, of_processors, peak / 1024))

    for _ in range(runs):
        forget_index(folder)
        for made in (folder / "reports", site):
            shutil.rmtree(made, ignore_errors=True)
        take("publish, nothing kept", *pages)
        take("and the site, nothing kept", *as_site)
    settle(folder, pages, as_site)
    try:
        for _ in range(runs):
            last.unlink()
            for name, way in (("publish", pages), ("site", as_site)):
                sheet.unlink()
                settle(folder, pages, as_site)
                sheet.write_bytes(content)
                take(f"{name}, one sheet new", *way)
            settle(folder, pages, as_site)
            take("warm check", "check")
            take("publish, nothing changed", *pages)
            take("site, nothing changed", *as_site)
            change_the_weather(sheet)
            take("publish, the weather of a sheet changed", *pages)
            sheet.write_bytes(content)
            settle(folder, pages, as_site)
            last.write_bytes(of_last)
            take("publish, a season at its end", *pages)
    finally:
        sheet.write_bytes(content)
        last.write_bytes(of_last)
    return taken


TEAMS_OF_MATCH_DAY = 8
MATCH_DAY = 9
"""The round that is entered, of the newest season's fourteen."""


WHY = {
    "README.md": "the round with its scores, the table, who leads, the next match day",
    "<year>/README.md": "the table, who leads, the last round",
    "<year>/<competition>/README.md": "the table with form, the results, the cross table",
    "<year>/<competition>/course.svg": "every team's place after one more round",
    "<year>/<competition>/strikers.md": "points and ranks of everybody",
    "<year>/<competition>/teams/….md": "a result, the next match, its players' points and ranks",
    "<year>/matches/….md": "the new matches",
    "clubs/….md": "a record of the club fell",
    "history/README.md": "a highlight of the day",
    "history/all-time.md": "the rows of the teams that played",
    "history/almanac.md": "the day has its matches",
    "history/families.md": "on how many matches it rests",
    "history/grounds.md": "the means by ground, weather, home and away",
    "history/people.md": "who struck this season",
    "history/records.md": "on how many matches it rests, a record that fell",
    "history/sources.md": "how much of the season is on record",
}
"""What a match day changes on each kind of page that it may change."""


class Changed(NamedTuple):
    """A page that a match day changed, by its path in the reports; ``lines`` are those put in and
    those taken out."""

    path: str
    lines: int

    @property
    def kind(self) -> str:
        """The path with what tells pages of one kind apart left out."""
        kind = re.sub(r"^[0-9]{4}/(?!matches|README)[^/]+/", "<year>/<competition>/", self.path)
        kind = re.sub(r"^[0-9]{4}/", "<year>/", kind)
        return re.sub(r"(^|/)(teams|matches|clubs|players)/(?!README)[^/_.]+", r"\1\2/…", kind)


def lay_out_season_under_way(folder: Path, seasons: int) -> list[tuple[Path, bytes]]:
    """Generate a folder whose newest season is played up to the match day; also gives the day's
    sheets, which are not there yet."""
    last = 2025
    generate(folder, seasons, last - seasons + 1, TEAMS_OF_MATCH_DAY)
    fixtures, day = [], []
    for sheet in sorted((folder / "seasons" / str(last) / "matches").iterdir()):
        text = sheet.read_text(encoding="utf-8")
        found = re.search(r"round: (\d+)\ndate: (\S+)\n", text)
        assert found is not None
        home, away = re.findall(r"team: (\S+)", text)
        fixtures.append(
            f'[[fixture]]\ncompetition = "first"\nround = {found[1]}\ndate = {found[2]}\n'
            f'home = "{home}"\naway = "{away}"\n'
        )
        if int(found[1]) == MATCH_DAY:
            day.append((sheet, sheet.read_bytes()))
        if int(found[1]) >= MATCH_DAY:
            sheet.unlink()
    fixture_file = folder / "seasons" / str(last) / "fixtures.toml"
    fixture_file.write_text("\n".join(fixtures), encoding="utf-8")
    return day


def changed_by_match_day(
    folder: Path, seasons: int, publish: Callable[[], object]
) -> list[Changed]:
    """What of the reports git shows as changed once a match day is entered and published."""

    def git(*words: str) -> str:
        alone = ("git", "-c", "user.name=a", "-c", "user.email=a@b", "-c", "core.autocrlf=false")
        done = subprocess.run((*alone, *words), cwd=folder, check=True, capture_output=True)
        return done.stdout.decode()

    day = lay_out_season_under_way(folder, seasons)
    publish()
    git("init", "-q")
    git("add", "-A")
    git("commit", "-qm", "before")
    for sheet, content in day:
        sheet.write_bytes(content)
    publish()
    git("add", "-A")
    listed = git("diff", "--cached", "--numstat", "--no-renames", "--", "reports").splitlines()
    split = [line.split("\t") for line in listed]
    return [
        Changed(path.removeprefix("reports/"), int(added) + int(removed))
        for added, removed, path in split
    ]


def print_match_day(changed: list[Changed]) -> None:
    """A line for each kind of page."""
    kinds: dict[str, list[int]] = {}
    for each in changed:
        kinds.setdefault(each.kind, []).append(each.lines)
    print("| pages | how many | lines | what changes |")
    print("| --- | --: | --: | --- |")
    for kind, lines in sorted(kinds.items(), key=lambda item: -sum(item[1])):
        print(f"| `{kind}` | {len(lines)} | {sum(lines):,} | {WHY.get(kind, 'nothing need')} |")
    print(f"| together | {len(changed)} | {sum(each.lines for each in changed):,} | |")


def main() -> None:
    parser = argparse.ArgumentParser(description="Time publishing a folder of many seasons.")
    parser.add_argument("work", type=Path)
    parser.add_argument("--seasons", type=int, default=50)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--handed-down", type=int, default=0, help="so many older seasons more")
    parser.add_argument("--match-day", action="store_true")
    arguments = parser.parse_args()
    if arguments.match_day:
        folder = arguments.work / f"match-day-{arguments.seasons}"
        shutil.rmtree(folder, ignore_errors=True)
        publish = partial(run, riesbuch(folder, "publish"))
        print_match_day(changed_by_match_day(folder, arguments.seasons, publish))
        return
    folder = folder_of(arguments.work, arguments.seasons, arguments.handed_down)
    taken = measure(folder, arguments.runs)
    medians = {
        name: Taken(*map(statistics.median, zip(*each, strict=True)))
        for name, each in taken.items()
    }
    check = medians["warm check"].seconds
    print(
        f"{arguments.seasons} seasons, {pages(folder)} pages and pictures, {arguments.runs} runs,"
        f" Python {sys.version.partition(' ')[0]}; seconds by the clock, of the processors, and"
        " beyond the check"
    )
    for name, (seconds, of_processors, peak) in medians.items():
        beyond = "" if name == "warm check" else f" {seconds - check:6.2f}"
        print(f"  {name:<40} {seconds:6.2f} {of_processors:6.2f}{beyond}  {peak:4.0f} MB")
    site = site_beside(folder)
    sizes: dict[str, int] = {}
    for path in site.rglob("*.*"):
        sizes[path.suffix] = sizes.get(path.suffix, 0) + path.stat().st_size
    whole, (largest, path) = sum(sizes.values()), max(map(with_pictures, site.rglob("*.html")))
    of_kinds = ", ".join(f"{kind} {size / 1e6:.1f}" for kind, size in sorted(sizes.items()))
    print(f"  the site: {whole / 1e6:.1f} MB ({of_kinds})")
    print(f"  its largest page with pictures: {largest / 1e3:.1f} kB, {path.relative_to(site)}")


if __name__ == "__main__":
    main()
