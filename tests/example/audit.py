"""`python -m tests.example.audit [DEST]` checks an example folder against the contract.

It knows nothing of the generator beyond the layout of the folder: it reads what lies
there with PyYAML, where every scalar is text, and adds it all up once more.
"""

from __future__ import annotations

import hashlib
import sys
import tomllib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import yaml

TOP = [
    "competition",
    "part",
    "round",
    "date",
    "ground",
    "weather",
    "notes",
    "strikes_first",
    "outcome",
    "awarded",
    "moved_to",
    "counts",
    "winner",
    "referees",
    "home",
    "away",
    "source",
    "doubts",
    "corrections",
    "seal",
]
SIDE = [
    "team",
    "captain",
    "strikes",
    "player_points",
    "ries",
    "points",
    "nummern",
    "named",
    "replacements",
    "supernumeraries",
    "paper",
]
CLUB = ["name", "founded", "ground", "teams", "formerly", "merged_from"]
TRAINING = ["date", "club", "wind", "weather", "notes", "strikes", "present"]
PLAYER = ["name", "born", "clubs", "parents", "also_written", "classes"]
SOURCES = ["paper-sheet", "newspaper", "minute-book", "letter", "memory", "other"]
UNSTRUCK = ("x", "_")


class UniqueLoader(yaml.BaseLoader):
    """Reads all scalars as text and minds duplicate keys."""

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        keys = [key.value for key, _ in node.value]
        assert len(keys) == len(set(keys)), f"duplicate key in {keys}"
        return super().construct_mapping(node, deep=deep)


def in_order(keys: list[str], canonical: list[str]) -> bool:
    return keys == [key for key in canonical if key in keys]


def load(path: Path) -> dict[str, Any]:
    data = path.read_bytes()
    text = data.decode("utf-8")
    assert b"\r" not in data, "CR"
    assert text == text.rstrip("\n") + "\n", "one newline at the end"
    lines = text.split("\n")
    assert all(line == line.rstrip() for line in lines), "trailing blank"
    assert "\n\n\n" not in text, "two blank lines"
    document = yaml.load(text, Loader=UniqueLoader)
    assert isinstance(document, dict)
    return document


class Audit:
    """Everything in one folder; `counts` says how much of what was seen."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.counts: Counter[str] = Counter()
        self.where: defaultdict[str, list[str]] = defaultdict(list)
        self.clubs = self.register("clubs")
        self.players = self.register("players")
        self.rules = {
            path.stem: tomllib.loads(path.read_text("utf-8"))
            for path in sorted(folder.glob("rules/*.toml"))
        }
        self.played: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
        self.sheets: dict[str, dict[str, Any]] = {}

    def register(self, kind: str) -> dict[str, dict[str, Any]]:
        return {path.stem: load(path) for path in sorted(self.folder.glob(f"{kind}/*.yaml"))}

    def run(self) -> None:
        self.people()
        for season in sorted(self.folder.glob("seasons/*/season.toml")):
            self.season(season.parent)
        for path in sorted(self.folder.glob("trainings/*/*.yaml")):
            self.training(path)
        for (player, day), sheets in self.played.items():
            assert len(sheets) == 1, f"{player} twice on {day}: {sheets}"

    def note(self, what: str, sheet: str) -> None:
        self.counts[what] += 1
        self.where[what].append(sheet)

    def people(self) -> None:
        for club in self.clubs.values():
            assert in_order(list(club), CLUB)
            assert all(other in self.clubs for other in club.get("merged_from", []))
        for stem, person in self.players.items():
            assert in_order(list(person), PLAYER), stem
            assert all(parent in self.players for parent in person.get("parents", [])), stem
            years = [int(entry["from"]) for entry in person["clubs"]]
            assert years == sorted(years), stem
            assert all(entry["club"] in self.clubs for entry in person["clubs"]), stem
            assert int(person.get("born", 0)) <= 2008, f"{stem}: a minor's birth year"
        self.counts["clubs"] = len(self.clubs)
        self.counts["people"] = len(self.players)
        self.counts["people without birth year"] = sum(
            "born" not in person for person in self.players.values()
        )

    def season(self, folder: Path) -> None:
        season = tomllib.loads((folder / "season.toml").read_text("utf-8"))
        assert season["season"] == int(folder.name)
        competitions = {entry["id"]: entry for entry in season["competition"]}
        recorded = {}
        for path in sorted(folder.glob("matches/*.yaml")):
            try:
                sheet = load(path)
                self.sheet(f"{folder.name}/{path.stem}", sheet, competitions)
            except (AssertionError, KeyError, ValueError) as error:
                raise AssertionError(f"{path}: {error!r}") from error
            recorded[path.stem] = sheet
        self.sheets |= {f"{folder.name}/{stem}": sheet for stem, sheet in recorded.items()}
        if (folder / "fixtures.toml").exists():
            self.fixtures(folder, recorded)
        self.counts[f"sheets {folder.name}"] = len(recorded)
        self.counts["sheets"] += len(recorded)

    def training(self, path: Path) -> None:
        """Members alone, on days without a match; strikes that there can be."""
        evening = load(path)
        assert in_order(list(evening), TRAINING), path
        day = evening["date"]
        assert (path.stem, path.parent.name) == (day, day[:4]), path
        assert date.fromisoformat(day).weekday() != 6, path
        present = evening.get("present", [])
        everybody = [*evening["strikes"], *present]
        assert len(everybody) == len(set(everybody)), path
        for player in everybody:
            assert self.club_of(player, day) == evening["club"], (path, player)
        for row in evening["strikes"].values():
            cells = row.split()
            assert cells, path
            assert all(cell == "~" or 0 <= int(cell) <= 24 for cell in cells), path
            self.counts["struck in trainings"] += len(cells)
        self.counts["trainings"] += 1

    def fixtures(self, folder: Path, recorded: dict[str, dict[str, Any]]) -> None:
        """Every fixture up to the last recorded day has its sheet, and the other way round."""
        fixtures = tomllib.loads((folder / "fixtures.toml").read_text("utf-8"))["fixture"]
        last = {sheet["competition"]: sheet["date"] for sheet in recorded.values()}
        expected = set()
        pairs: Counter[tuple[str, str, str]] = Counter()
        days: defaultdict[str, set[str]] = defaultdict(set)
        for entry in fixtures:
            day = entry["date"].isoformat()
            pairs[entry["competition"], entry["home"], entry["away"]] += 1
            at = day + entry.get("part", "")
            assert not days[at] & {entry["home"], entry["away"]}, f"a team twice on {at}"
            days[at] |= {entry["home"], entry["away"]}
            if day > last[entry["competition"]]:
                self.counts["fixtures ahead"] += 1
                continue
            stem = f"{day}-{entry['home']}-{entry['away']}"
            sheet = recorded[stem]
            assert int(sheet.get("round", 0)) == entry.get("round", 0), stem
            assert sheet.get("part") == entry.get("part"), stem
            assert sheet["competition"] == entry["competition"], stem
            expected.add(stem)
        assert expected == set(recorded)
        assert set(pairs.values()) == {1}

    def sheet(self, name: str, sheet: dict[str, Any], competitions: dict[str, Any]) -> None:
        assert in_order(list(sheet), TOP), list(sheet)
        home, away = sheet["home"], sheet["away"]
        stem = f"{sheet['date']}-{home['team']}-{away['team']}"
        assert name == f"{sheet['date'][:4]}/{stem}", name
        competition = competitions[sheet["competition"]]
        day = date.fromisoformat(sheet["date"])
        assert day.weekday() == 6 or competition["kind"] == "festival"
        rules = competition["rules"]
        if "parts" in competition:
            rules = {part["id"]: part["rules"] for part in competition["parts"]}[sheet["part"]]
            self.note(f"part {sheet['part']}", name)
        rules = self.rules["2024"] | self.rules[rules]
        for side in (home, away):
            assert in_order(list(side), SIDE), list(side)
            assert side["team"] in competition["teams"]
            self.side(name, sheet, side, rules)
        self.once(name, sheet)
        self.result(name, sheet, rules)
        self.around(name, sheet)

    def around(self, name: str, sheet: dict[str, Any]) -> None:
        outcome = sheet.get("outcome", "played")
        self.note(f"outcome {outcome}", name)
        if outcome in ("forfeited", "postponed"):
            assert all(list(sheet[key]) == ["team"] for key in ("home", "away"))
            assert "awarded" in sheet if outcome == "forfeited" else "moved_to" in sheet
        if sheet.get("counts") == "false":
            self.note("counts: false", name)
        if "source" in sheet:
            assert sheet["source"]["kind"] in SOURCES
            self.note(f"source {sheet['source']['kind']}", name)
        for doubt in sheet.get("doubts", []):
            assert find(sheet, doubt["at"]) is not None, doubt
            self.note("doubts", name)

        self.seal(name, sheet)

    def seal(self, name: str, sheet: dict[str, Any]) -> None:
        """A seal's digest, added up anew from what guide/sealing.md says of it."""
        assert "seal" in sheet or "corrections" not in sheet, name
        if "seal" not in sheet:
            return
        self.note("seals", name)
        lines = [f"{place} = {value}\n" for place, value in sealed_cells(sheet)]
        text = "".join(sorted(lines, key=lambda line: line.encode()))
        assert hashlib.sha256(text.encode()).hexdigest() == sheet["seal"]["digest"], name
        for correction in sheet.get("corrections", []):
            assert all(club in self.clubs for club in correction["agreed"]), name
            for change in correction["changed"]:
                place, _, values = change.partition(": ")
                assert find(sheet, place) == values.rpartition(" -> ")[2], change
            self.note("corrections", name)

    def once(self, name: str, sheet: dict[str, Any]) -> None:
        names = [
            player
            for key in ("home", "away")
            for field in ("strikes", "supernumeraries", "player_points", "named")
            for player in sheet[key].get(field, {})
        ]
        assert len(names) == len(set(names)), "a player twice"
        for player in names:
            self.played[player, sheet["date"] + sheet.get("part", "")].append(name)

    def side(
        self, name: str, sheet: dict[str, Any], side: dict[str, Any], rules: dict[str, Any]
    ) -> None:
        depths = [key for key in ("strikes", "player_points", "ries", "points") if key in side]
        assert len(depths) <= 1
        self.counts[f"depth {depths[0] if depths else 'none'}"] += 1
        members = [
            *side.get("strikes", {}),
            *side.get("supernumeraries", {}),
            *side.get("player_points", {}),
            *side.get("named", {}),
        ]
        for player in members:
            assert self.club_of(player, sheet["date"]) == side["team"].rpartition("-")[0], player
        if "strikes" in side:
            assert "nummern" not in side
            self.strikes(name, sheet, side, rules)
        elif depths:
            assert int(side["nummern"]) >= 0
            if depths == ["ries"]:
                assert len(side["ries"]) == rules["innings"] * rules["strikes_per_inning"]
            if "named" in side:
                assert sum(map(int, side["named"].values())) < int(side["points"])
                self.note("named", name)
            if depths == ["player_points"]:
                assert len(side["player_points"]) <= rules["team_size"]

    def club_of(self, player: str, day: str) -> str:
        entries = self.players[player]["clubs"]
        clubs = [str(entry["club"]) for entry in entries if int(entry["from"]) <= int(day[:4])]
        return clubs[-1]

    def strikes(
        self, name: str, sheet: dict[str, Any], side: dict[str, Any], rules: dict[str, Any]
    ) -> None:
        rows = team_rows(side)
        own = [row for _, row in rows]
        extra = list(side.get("supernumeraries", {}).values())
        cells = [cell for row in own + extra for cell in cells_of(row)]
        self.marks(name, cells, rules)
        assert "captain" not in side or side["captain"] in side["strikes"]
        assert not ("replacements" in side and extra), "supernumeraries beside replacements"
        for key in ("replacements", "supernumeraries", "paper"):
            if key in side:
                self.note(key, name)
        if any("x" in cells_of(row) for row in side["strikes"].values()):
            self.note("changes", name)
        for entry in side.get("replacements", []):
            assert entry["by"] in side["strikes"], entry["by"]
        if "_" in cells:
            self.note("draft", name)
        elif sheet.get("outcome") != "abandoned":
            shape = {tuple(map(len, row)) for row in own + extra}
            assert shape == {(rules["strikes_per_inning"],) * rules["innings"]}
            ries = columns(side, struck)[: rules["innings"] * rules["strikes_per_inning"]]
            assert set(ries) == {rules["team_size"]}, ries

    def marks(self, name: str, cells: list[str], rules: dict[str, Any]) -> None:
        zone = rules["nummer_zone"]
        for cell in cells:
            if cell in ("x", "_"):
                continue
            if cell == "~":
                self.note("unknown cells", name)
                continue
            points = int(cell.removesuffix("N"))
            assert 0 <= points <= 24
            assert not cell.endswith("N") or zone["from"] <= points <= zone["to"], cell
            self.counts["struck"] += 1
            self.counts["Nummern written"] += cell.endswith("N")
            self.counts["Nuller"] += points == 0

    def result(self, name: str, sheet: dict[str, Any], rules: dict[str, Any]) -> None:
        """The figures add up, agree with the paper, and leave a winner."""
        home, away = sheet["home"], sheet["away"]
        for side, other in ((home, away), (away, home)):
            if "strikes" in side:
                self.paper(name, side, other)
        figures = [entry for entry in (known(home, away), known(away, home)) if entry]
        if len(figures) < 2:
            stated = "winner" in sheet or "awarded" in sheet or "moved_to" in sheet
            assert stated or is_draft(home), "nobody knows the winner"
            return
        for entry in figures:
            if "strikes" in home:
                innings = 2 if sheet.get("outcome") == "abandoned" else rules["innings"]
                least = 0 if sheet.get("outcome") == "abandoned" else 295 * innings
                assert least <= entry["points"] <= 575 * innings
        decided = decide(figures, rules["result_order"])
        self.note(f"decided by {decided[1]}", name)
        assert ("winner" in sheet) == (decided[0] == "open"), decided

    def paper(self, name: str, side: dict[str, Any], other: dict[str, Any]) -> None:
        paper = side.get("paper", {})
        totals = columns(side, worth)
        unknown = contains("~", side, other)
        if unknown:
            assert list(paper) == ["ries", "points", "nummern"]
            assert sum(map(int, paper["ries"])) == int(paper["points"])
        illegible = columns(side, lambda cell: cell == "~")
        for number, written in enumerate(paper.get("ries", [])):
            gap = int(written) - totals[number]
            assert gap == 0 or 0 < gap <= 24 * illegible[number], "Ries on paper"
        if "points" in paper and not sum(illegible):
            assert int(paper["points"]) == sum(totals), "points on paper"
        if "nummern" in paper:
            gap = int(paper["nummern"]) - sum(columns(other, is_nummer))
            assert 0 <= gap <= sum(columns(other, lambda cell: cell == "~")), "Nummern on paper"
            if gap:
                self.note("Nummer under an unknown cell", name)


def team_rows(side: dict[str, Any]) -> list[tuple[str, list[list[str]]]]:
    rows = list(side.get("strikes", {}).items())
    return rows + [(entry["by"], entry["strikes"]) for entry in side.get("replacements", [])]


def cells_of(row: list[list[str]]) -> list[str]:
    return [cell for inning in row for cell in inning]


def contains(mark: str, *sides: dict[str, Any]) -> bool:
    return any(mark in cells_of(row) for side in sides for _, row in team_rows(side))


def columns(side: dict[str, Any], measure: Callable[[str], int]) -> list[int]:
    """Sums a measure over each column; a side struck in two innings of two strikes."""
    totals = [0, 0, 0, 0]
    for _, row in team_rows(side):
        for inning, cells in enumerate(row):
            for strike, cell in enumerate(cells):
                totals[inning * 2 + strike] += measure(cell)
    return totals


def struck(cell: str) -> bool:
    return cell not in UNSTRUCK


def is_nummer(cell: str) -> bool:
    return cell.endswith("N")


def worth(cell: str) -> int:
    return 0 if cell in ("x", "_", "~") else int(cell.removesuffix("N"))


def is_draft(side: dict[str, Any]) -> bool:
    return contains("_", side)


def known(side: dict[str, Any], other: dict[str, Any]) -> dict[str, Any] | None:
    """The figures of a side: points, Nummern conceded and, where known, its Ries totals."""
    if "strikes" in side:
        if is_draft(side):
            return None
        if contains("~", side, other):
            paper = side["paper"]
            return {
                "points": int(paper["points"]),
                "nummern": int(paper["nummern"]),
                "ries": list(map(int, paper["ries"])),
            }
        return {
            "points": sum(columns(side, worth)),
            "ries": columns(side, worth),
            "nummern": sum(columns(other, is_nummer)),
        }
    if "ries" in side:
        ries = list(map(int, side["ries"]))
        return {"points": sum(ries), "nummern": int(side["nummern"]), "ries": ries}
    if "player_points" in side:
        points = sum(map(int, side["player_points"].values()))
        return {"points": points, "nummern": int(side["nummern"]), "ries": None}
    if "points" in side:
        return {"points": int(side["points"]), "nummern": int(side["nummern"]), "ries": None}
    return None


def decide(figures: list[dict[str, Any]], order: list[str]) -> tuple[str, str]:
    """Who won and by what; `open` where a criterion that could decide is unknown."""
    home, away = figures
    for key in order:
        if key == "longest_ries":
            if home["ries"] is None or away["ries"] is None:
                return "open", "nothing known"
            ranked = [sorted(side["ries"], reverse=True) for side in figures]
            if ranked[0] != ranked[1]:
                return ("home" if ranked[0] > ranked[1] else "away"), key
        elif home[key] != away[key]:
            better = home[key] > away[key] if key == "points" else home[key] < away[key]
            return ("home" if better else "away"), key
    return "draw", "draw"


def sealed_cells(sheet: dict[str, Any]) -> Iterator[tuple[str, str]]:
    defaults = {"outcome": "played", "counts": "true"}
    for key in ("competition", "part", "date", "outcome", "awarded", "counts", "winner"):
        if key in sheet or key in defaults:
            yield key, sheet.get(key, defaults.get(key))
    for name in ("home", "away"):
        side = sheet[name]
        rows = [
            (f"{field}.{player}", row)
            for field in ("strikes", "supernumeraries")
            for player, row in side.get(field, {}).items()
        ]
        for number, replacement in enumerate(side.get("replacements", []), start=1):
            rows.append((f"replacements.{number}.strikes", replacement["strikes"]))
        for place, row in rows:
            for inning, strikes in enumerate(row, start=1):
                for strike, written in enumerate(strikes, start=1):
                    yield f"{name}.{place}.{inning}.{strike}", written
        for player, points in side.get("player_points", {}).items():
            yield f"{name}.player_points.{player}", points
        yield f"{name}.team", side["team"]
        for place, totals in ((name, side), (f"{name}.paper", side.get("paper", {}))):
            for number, total in enumerate(totals.get("ries", []), start=1):
                yield f"{place}.ries.{number}", total
            for key in ("points", "nummern"):
                if key in totals:
                    yield f"{place}.{key}", totals[key]


def find(sheet: dict[str, Any], place: str) -> Any:
    """What stands at a place such as home.strikes.bigler-jonas.2.1."""
    found: Any = sheet
    for part in place.split("."):
        found = found[int(part) - 1] if isinstance(found, list) else found.get(part)
    return found


def main() -> None:
    audit = Audit(Path(sys.argv[1] if len(sys.argv) > 1 else "example_league"))
    audit.run()
    for what, count in sorted(audit.counts.items()):
        print(f"{count:7} {what}")
        sheets = sorted(set(audit.where[what]))
        if 0 < len(sheets) <= 4:
            print("".join(f"          {sheet}\n" for sheet in sheets), end="")


if __name__ == "__main__":
    main()
