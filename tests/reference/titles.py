"""All distinctions, out of the sheets where they decide, else as they are handed down."""

import tomllib
from collections.abc import Iterator
from typing import Any

from tests.reference import classes, honours
from tests.reference.recomputed import Recomputed

Title = tuple[int, str, str, str | None, str | None, str | None, str | None, str]
"""Season, competition, what, award, team, player, holder, decided."""


def told(reference: Recomputed) -> dict[int, dict[str, Any]]:
    """Of each year what handed-down.toml says."""
    return {
        int(path.parts[-2]): tomllib.loads(path.read_text(encoding="utf-8"))
        for path in sorted(reference.root.glob("seasons/*/handed-down.toml"))
    }


def titles(reference: Recomputed) -> set[Title]:
    struck = set(_struck(reference))
    decided = {title[:3] for title in struck}
    handed_down = {
        title
        for title in _handed_down(reference)
        if title[2] == "award" or title[:3] not in decided
    }
    return struck | handed_down


def _struck(reference: Recomputed) -> Iterator[Title]:
    for (season, key), won in honours.expected(reference).items():
        settings = reference.frames.competitions[season, key]
        how = "played" if won["complete"] else "certain"
        for what, teams in (("champion", won["champions"]), ("promoted", won["promoted"]),
                            ("relegated", won["relegated"])):  # fmt: skip
            yield from ((season, key, what, None, team, None, None, how) for team in teams)
        if not won["complete"]:
            continue
        table = reference.standings[season, key]
        if not any(row["nummern_unknown"] or row["points_unknown"] for row in table):
            yield from (
                (season, key, "runner-up", None, row["team"], None, None, how)
                for row in table
                if row["rank"] == 2
            )
        for player in won["best_strikers"]:
            yield season, key, "best-striker", None, None, player, None, how
        individuals = reference.strikers[season, key]
        by_class = classes.class_tables(reference.frames, season, settings["rules"], individuals)
        for award in classes.awards(
            reference.frames, settings["rules"], individuals, by_class, table
        ):
            for player in award["players"]:
                yield season, key, "award", award["award"], None, player, None, how
            for team in award["teams"]:
                yield season, key, "award", award["award"], team, None, None, how


def _handed_down(reference: Recomputed) -> Iterator[Title]:
    for season, file in told(reference).items():
        said = set()
        for honour in file.get("honour", []):
            key, what = honour["competition"], honour["what"]
            said.add((key, what))
            award = honour["name"] if what == "award" else None
            holder = honour.get("holder") if what == "award" else honour.get("name")
            yield (
                *(season, key, what, award, honour.get("team"), honour.get("player")),
                *(holder, "handed-down"),
            )
        for table in file.get("table", []):
            for row in table["rows"]:
                what = {1: "champion", 2: "runner-up"}.get(row.get("rank"))
                if what and (table["competition"], what) not in said:
                    yield (
                        *(season, table["competition"], what, None, row.get("team"), None),
                        *(row.get("name"), "handed-down"),
                    )
        for table in file.get("striker_table", []):
            for row in table["rows"]:
                if row.get("rank") == 1 and (table["competition"], "best-striker") not in said:
                    yield (
                        *(season, table["competition"], "best-striker", None, None),
                        *(row.get("player"), row.get("name"), "handed-down"),
                    )
