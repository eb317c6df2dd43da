"""A club folder as data frames: one row a match, a side, a strike, a player."""

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
import yaml

_LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)

DEFAULT_RULES: dict[str, Any] = {
    "team_size": 18,
    "innings": 2,
    "strikes_per_inning": 2,
    "result_order": ["nummern", "points", "longest_ries"],
    "standings_order": ["rank_points", "nummern", "points"],
    "rank_points": {"win": 2, "draw": 1, "clean": 2, "more_points_in_defeat": 1},
    "forfeit": {"winner": 4, "loser": 0},
    "strikers": {"best": 26, "least": 1, "order": ["rank_points", "points", "best"]},
}

MATCH_COLUMNS = (
    "sheet", "season", "competition", "round", "date", "outcome", "awarded", "counts", "winner",
    "part", "moved_to",
)  # fmt: skip
SIDE_COLUMNS = (
    "sheet", "side", "team", "depth", "ries", "points", "nummern", "paper_ries", "paper_points",
    "paper_nummern", "some_ries",
)  # fmt: skip
STRIKE_COLUMNS = (
    "sheet", "side", "part", "line", "player", "column", "points", "nummer", "struck", "absent",
    "unknown", "blank",
)  # fmt: skip
RULING_COLUMNS = (
    "season", "competition", "team", "on", "rank_points", "nummern", "points", "by", "reason",
)  # fmt: skip
PLAYER_COLUMNS = ("sheet", "side", "player", "points")


@dataclass(frozen=True)
class Frames:
    """``strikes`` has every written strike, ``absent`` where it is `x`; ``part`` is row,
    replacement or supernumerary. ``players`` has the match points of those known by these alone,
    ``named`` those of the few that a side names; of a side ``ries`` is None unless all are known,
    and ``some_ries`` has None for each that is not. ``classes`` are those in players' files.
    """

    matches: pd.DataFrame
    sides: pd.DataFrame
    strikes: pd.DataFrame
    players: pd.DataFrame
    named: pd.DataFrame
    rules: dict[str, dict[str, Any]]
    competitions: dict[tuple[int, str], dict[str, Any]]
    born: dict[str, int]
    classes: dict[str, list[str]]
    rulings: pd.DataFrame


def rules_of_match(frames: Frames, season: int, key: str, part: str | None) -> str:
    """Of a festival's part its own rule set, else the competition's."""
    competition = frames.competitions[season, key]
    own = {each["id"]: str(each["rules"]) for each in competition.get("parts", [])}
    return own[part] if part is not None else str(competition["rules"])


def load(root: Path) -> Frames:
    matches: list[tuple[Any, ...]] = []
    sides: list[tuple[Any, ...]] = []
    strikes: list[tuple[Any, ...]] = []
    players: list[tuple[Any, ...]] = []
    named: list[tuple[Any, ...]] = []
    for path in sorted(root.glob("seasons/*/matches/*.yaml")):
        text = _yaml(path)
        season = path.parts[-3]
        sheet = f"{season}/{path.stem}"
        matches.append(
            (
                sheet,
                int(season),
                text["competition"],
                _number(text.get("round")),
                text["date"],
                text.get("outcome", "played"),
                text.get("awarded"),
                text.get("counts", "true") == "true",
                text.get("winner"),
                text.get("part"),
                text.get("moved_to"),
            )
        )
        for name in ("home", "away"):
            side = text[name]
            sides.append((sheet, name, *_side(side)))
            strikes.extend((sheet, name, *strike) for strike in _strikes(side))
            players.extend(
                (sheet, name, player, int(points))
                for player, points in side.get("player_points", {}).items()
            )
            named.extend(
                (sheet, name, player, int(points))
                for player, points in side.get("named", {}).items()
            )
    competitions = {}
    for path in sorted(root.glob("seasons/*/season.toml")):
        season_table = tomllib.loads(path.read_text(encoding="utf-8"))
        for competition in season_table["competition"]:
            competitions[season_table["season"], competition["id"]] = competition
    rulings: list[tuple[Any, ...]] = []
    for path in sorted(root.glob("seasons/*/rulings.toml")):
        season = int(path.parts[-2])
        for ruling in tomllib.loads(path.read_text(encoding="utf-8"))["ruling"]:
            told = {**ruling, "season": season, "on": ruling["on"].isoformat()}
            rulings.append(tuple(told.get(column, 0) for column in RULING_COLUMNS))
    return Frames(
        matches=object_frame(matches, MATCH_COLUMNS),
        sides=object_frame(sides, SIDE_COLUMNS),
        strikes=object_frame(strikes, STRIKE_COLUMNS).astype({"points": int, "column": int}),
        players=object_frame(players, PLAYER_COLUMNS).astype({"points": int}),
        named=object_frame(named, PLAYER_COLUMNS).astype({"points": int}),
        rules={path.stem: _rules(path) for path in sorted(root.glob("rules/*.toml"))},
        competitions=competitions,
        born={
            path.stem: int(text["born"])
            for path in sorted(root.glob("players/*.yaml"))
            if "born" in (text := _yaml(path))
        },
        classes={path.stem: _yaml(path).get("classes", []) for path in root.glob("players/*.yaml")},
        rulings=object_frame(rulings, RULING_COLUMNS),
    )


def object_frame(rows: list[tuple[Any, ...]], columns: Iterable[str]) -> pd.DataFrame:
    """A frame of objects, column by column: None stays None and 74 does not become 74.0."""
    return pd.DataFrame(
        {
            name: pd.Series([row[index] for row in rows], dtype=object)
            for index, name in enumerate(columns)
        }
    )


def _yaml(path: Path) -> dict[str, Any]:
    text: dict[str, Any] = yaml.load(path.read_text(encoding="utf-8"), Loader=_LOADER)
    return text


def _rules(path: Path) -> dict[str, Any]:
    written = tomllib.loads(path.read_text(encoding="utf-8"))
    rules = {**DEFAULT_RULES, **written}
    for table in ("rank_points", "forfeit", "strikers"):
        rules[table] = {**DEFAULT_RULES[table], **written.get(table, {})}
    return rules


def _number(text: str | None) -> int | None:
    return None if text is None else int(text)


def _numbers(texts: list[str] | None) -> tuple[int, ...] | None:
    return None if texts is None or "~" in texts else tuple(int(text) for text in texts)


def _side(side: dict[str, Any]) -> tuple[Any, ...]:
    depths = {"strikes": "strikes", "player_points": "players", "ries": "ries", "points": "points"}
    depth = next((depths[key] for key in depths if key in side), "none")
    if "~" in side.get("ries", []):
        depth = "points"
    paper = side.get("paper", {})
    return (
        side["team"],
        depth,
        _numbers(side.get("ries")),
        _number(side.get("points")),
        _number(side.get("nummern")),
        _numbers(paper.get("ries")),
        _number(paper.get("points")),
        _number(paper.get("nummern")),
        [None if text == "~" else int(text) for text in side.get("ries", [])] or None,
    )


def _strikes(side: dict[str, Any]) -> Iterator[tuple[Any, ...]]:
    written = [("row", *row) for row in side.get("strikes", {}).items()]
    written += [("replacement", each["by"], each["strikes"]) for each in
                side.get("replacements", [])]  # fmt: skip
    written += [("supernumerary", *row) for row in side.get("supernumeraries", {}).items()]
    for line, (part, player, innings) in enumerate(written):
        for column, text in enumerate(text for inning in innings for text in inning):
            digits = text.rstrip("Nn")
            struck = digits.isdigit()
            yield (
                part,
                line,
                player,
                column,
                int(digits) if struck else 0,
                struck and digits != text,
                struck,
                text == "x",
                text in ("~", "null"),
                text == "_",
            )
