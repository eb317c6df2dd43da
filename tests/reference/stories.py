"""The facts that a story may tell, each by itself from the files; in the form of `tell`'s JSON."""

from collections import defaultdict
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml

from tests.reference.recomputed import Recomputed

Data = dict[str, Any]
_LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
OTHER = {"home": "away", "away": "home"}
SHORTEST_ENDED = {"won": 3, "lost": 3, "unbeaten": 4, "clean": 3}
SHORTEST_GOING_ON = {"won": 3, "unbeaten": 5, "clean": 4}
LEAST_FIRST = ("none", "points", "ries", "players", "strikes")


class Stories(Recomputed):
    def __init__(self, root: Path) -> None:
        super().__init__(root)
        self._counted: dict[str, dict[str, Data]] = {}
        self.sheets = {
            f"{path.parts[-3]}/{path.stem}": yaml.load(path.read_text("utf-8"), Loader=_LOADER)
            for path in sorted(root.glob("seasons/*/matches/*.yaml"))
        }
        self.parents = {
            path.stem: yaml.load(path.read_text("utf-8"), Loader=_LOADER).get("parents", [])
            for path in sorted(root.glob("players/*.yaml"))
        }
        self.sides: dict[str, dict[str, Data]] = defaultdict(dict)
        for row in self.results.to_dict("records"):
            self.sides[row["sheet"]][row["side"]] = row

    def order(self, sheet: str) -> tuple[str, int, str]:
        row = self.sides[sheet]["home"]
        return row["date"], row["round"] or 0, sheet

    def before(self, sheet: str) -> list[str]:
        """All sheets played before it, in the order of play."""
        return self.in_order[: self.in_order.index(sheet)]

    @cached_property
    def in_order(self) -> list[str]:
        return sorted(self.sheets, key=self.order)

    @cached_property
    def individuals(self) -> dict[str, list[Data]]:
        """Of each sheet who took part, with match points, None where not known."""
        found: dict[str, list[Data]] = defaultdict(list)
        strikes = self.frames.strikes[self.frames.strikes.part != "replacement"]
        lines: dict[tuple[str, str, str], dict[int, list[Any]]] = defaultdict(
            lambda: defaultdict(list)
        )
        for row in strikes.itertuples():
            lines[row.sheet, row.side, row.player][row.line].append(row)
        for (sheet, side, player), rows in sorted(lines.items()):
            written = [
                row for line in rows.values() if not all(strike.absent for strike in line)
                for row in line
            ]  # fmt: skip
            if written:
                open_ = any(row.unknown or row.blank for row in written)
                points = None if open_ else sum(row.points for row in written)
                found[sheet].append({"side": side, "player": player, "points": points})
        for row in self.frames.players.itertuples():
            found[row.sheet].append(
                {"side": row.side, "player": row.player, "points": int(row.points)}
            )
        for row in self.frames.named.itertuples():
            found[row.sheet].append(
                {"side": row.side, "player": row.player, "points": int(row.points), "named": True}
            )
        return found

    @cached_property
    def people(self) -> dict[tuple[str, str], set[str]]:
        """Who took part, by sheet and side, in matches that were struck."""
        return {
            (sheet, side): {
                each["player"] for each in self.individuals[sheet] if each["side"] == side
            }
            for sheet in self.sheets
            for side in ("home", "away")
            if self.sides[sheet]["home"]["outcome"] in ("played", "abandoned")
        }

    def counted(self, sheet: str) -> dict[str, Data]:
        if sheet not in self._counted:
            self._counted[sheet] = self._counted_of(sheet)
        return self._counted[sheet]

    def _counted_of(self, sheet: str) -> dict[str, Data]:
        """Whose match points are known, in a match that the striker tables have."""
        if not self.sides[sheet]["home"]["in_strikers"]:
            return {}
        if self.sides[sheet]["home"]["outcome"] == "forfeited":
            return {}
        return {
            each["player"]: each for each in self.individuals[sheet] if each["points"] is not None
        }

    def facts(self, sheet: str) -> list[Data]:
        text, home, away = self.sheets[sheet], *self.sides[sheet].values()
        outcome = home["outcome"]
        found: list[Data] = [
            fact("Occasion", home=home["team"], away=away["team"], date=home["date"]),
            fact(
                "Setting",
                competition=home["competition"],
                round=None if text.get("part") else home["round"],
                ground=text.get("ground"),
            ),
        ]
        if outcome == "postponed":
            return [*found, fact("Postponed", moved_to=text.get("moved_to"))]
        if outcome == "annulled":
            return [*found, fact("Annulled")]
        if home["draft"]:
            blanks = self.frames.strikes[self.frames.strikes.sheet == sheet].blank.sum()
            return [*found, fact("Draft", blanks=int(blanks))]
        if outcome == "forfeited":
            winner = text.get("awarded")
            found.append(
                fact(
                    "Forfeited",
                    winner=winner and self.sides[sheet][winner]["team"],
                    loser=winner and self.sides[sheet][OTHER[winner]]["team"],
                )
            )
        else:
            if outcome == "abandoned":
                found.append(fact("Abandoned"))
            found += [self.result(sheet), *self.nummern(sheet), *self.course(sheet)]
            found += [*self.best_ries(sheet), *self.best_strikers(sheet)]
            found += self.highest_strike(sheet)
            least = min((home["depth"], away["depth"]), key=LEAST_FIRST.index)
            named = [
                {"team": self.sides[sheet][each["side"]]["team"], "player": each["player"],
                 "points": each["points"]}
                for each in self.individuals[sheet] if "named" in each
            ]  # fmt: skip
            if named:
                kind = text.get("source", {}).get("kind", "")
                named.sort(key=lambda each: (-each["points"], each["player"]))
                found.append(fact("NamedStrikers", kind=kind, strikers=named))
            elif least != "strikes":
                both = home["depth"] == away["depth"]
                found.append(fact("LittleKnown", depth=least, both=both))
        if home["counts"]:
            found += self.past(sheet)
        return [*found, *self.around(sheet)]

    def result(self, sheet: str) -> Data:
        home, away = self.sides[sheet].values()
        if home["winner"] is None:
            return fact("ResultOpen")
        if home["winner"] == "draw":
            return fact(
                "Drawn",
                recorded=home["decided_by"] == "recorded",
                points=home["points"] if home["points"] == away["points"] else None,
                nummern=home["nummern"] if home["nummern"] == away["nummern"] else None,
            )
        won, lost = (home, away) if home["winner"] == "home" else (away, home)
        points = None not in (won["points"], lost["points"])
        nummern = None not in (won["nummern"], lost["nummern"])
        return fact(
            "Won",
            winner=won["team"],
            loser=lost["team"],
            decided_by=won["decided_by"],
            winner_points=won["points"] if points else None,
            loser_points=lost["points"] if points else None,
            winner_nummern=won["nummern"] if nummern else None,
            loser_nummern=lost["nummern"] if nummern else None,
        )

    def nummern(self, sheet: str) -> list[Data]:
        """By what is written in the file, read once more."""
        found = []
        for name in ("home", "away"):
            side, mine = self.sheets[sheet][name], self.sides[sheet][name]
            rows = [(player, row, False) for player, row in side.get("strikes", {}).items()]
            rows += [(each["by"], each["strikes"], True) for each in side.get("replacements", [])]
            if any(
                cell in ("~", "null") for _, row, _ in rows for inning in row for cell in inning
            ):
                continue
            struck = [
                {
                    "player": player,
                    "points": int(cell[:-1]),
                    "inning": inning,
                    "strike": strike,
                    "replacement": replacement,
                }
                for inning in range(1, 4)
                for strike in range(1, 4)
                for player, row, replacement in rows
                if len(row) >= inning and len(row[inning - 1]) >= strike
                and (cell := row[inning - 1][strike - 1]).upper().endswith("N")
            ]  # fmt: skip
            if struck:
                decided = mine["winner"] == name and mine["decided_by"] == "nummern"
                found.append(
                    fact(
                        "NummernStruck",
                        team=mine["team"],
                        count=len(struck),
                        strikes=struck,
                        decided=decided,
                    )
                )
        return found

    def _rules(self, sheet: str) -> Data:
        home = self.sides[sheet]["home"]
        return self.frames.rules[
            self.frames.competitions[home["season"], home["competition"]]["rules"]
        ]

    def course(self, sheet: str) -> list[Data]:
        home, away = self.sides[sheet].values()
        strikes = self._rules(sheet)["strikes_per_inning"]
        if home["outcome"] != "played" or None in (home["points"], away["points"]):
            return []
        firsts = [(each["some_ries"] or [None])[:strikes] for each in (home, away)]
        if None in [total for first in firsts for total in first]:
            return []
        halves = [
            (sum(first), each["points"]) for first, each in zip(firsts, (home, away), strict=True)
        ]
        ahead = []
        for mine, theirs in zip(*halves, strict=True):
            ahead.append(home["team"] if mine > theirs else away["team"] if theirs > mine else None)
        return [
            fact(
                "Course",
                ahead=ahead[0],
                lead=abs(halves[0][0] - halves[1][0]),
                final_ahead=ahead[1],
                final_lead=abs(halves[0][1] - halves[1][1]),
            )
        ]

    def best_ries(self, sheet: str) -> list[Data]:
        home, away = self.sides[sheet].values()
        if home["ries"] is None or away["ries"] is None:
            return []
        strikes = self._rules(sheet)["strikes_per_inning"]
        every = sorted(
            (points, index, each["team"])
            for each in (home, away)
            for index, points in enumerate(each["ries"])
        )
        if not every or (len(every) > 1 and every[-1][0] == every[-2][0]) or not every[-1][0]:
            return []
        points, index, team = every[-1]
        return [
            fact(
                "BestRies",
                team=team,
                inning=index // strikes + 1,
                strike=index % strikes + 1,
                points=points,
            )
        ]

    def best_strikers(self, sheet: str) -> list[Data]:
        everybody = self.individuals[sheet]
        known = [
            name
            for name, side in self.sides[sheet].items()
            if side["depth"] in ("strikes", "players")
            and all(each["points"] is not None for each in everybody if each["side"] == name)
        ]
        groups = [(None, ["home", "away"])] if len(known) == 2 else []
        groups += [(self.sides[sheet][name]["team"], [name]) for name in known]
        found = []
        for team, names in groups:
            of_group = [each for each in everybody if each["side"] in names]
            most = max((each["points"] for each in of_group), default=0)
            best = sorted(
                (each["player"], self.sides[sheet][each["side"]]["team"])
                for each in of_group
                if each["points"] == most
            )
            if most:
                strikers = [{"team": of, "player": player} for player, of in best]
                found.append(fact("BestStrikers", team=team, points=int(most), strikers=strikers))
        return found

    def highest_strike(self, sheet: str) -> list[Data]:
        strikes = self.frames.strikes[self.frames.strikes.sheet == sheet]
        if strikes.unknown.any() or set(strikes.side) != {"home", "away"}:
            return []
        struck = strikes[strikes.struck.astype(bool)]
        best = struck[struck.points == struck.points.max()]
        if len(best) != 1 or not struck.points.max():
            return []
        (row,) = best.to_dict("records")
        return [
            fact(
                "HighestStrike",
                team=self.sides[sheet][row["side"]]["team"],
                player=row["player"],
                points=row["points"],
                inning=row["column"] // self._rules(sheet)["strikes_per_inning"] + 1,
            )
        ]

    def around(self, sheet: str) -> list[Data]:
        text, home, away = self.sheets[sheet], *self.sides[sheet].values()
        found = []
        if home["counts"] and home["rank_points"] is not None:
            found.append(
                fact(
                    "RankPointsEarned",
                    home=home["team"],
                    away=away["team"],
                    home_points=home["rank_points"],
                    away_points=away["rank_points"],
                )
            )
        if text.get("counts") == "false":
            found.append(fact("KeptOut"))
        found += [fact("Weather", text=text["weather"])] if "weather" in text else []
        found += [fact("Note", text=text["notes"])] if "notes" in text else []
        source = text.get("source", {})
        if "kind" in source:
            found.append(fact("FromSource", kind=source["kind"], reference=source.get("reference")))
        if text.get("doubts"):
            found.append(fact("Doubts", count=len(text["doubts"])))
        return found

    # What was on record before

    def past(self, sheet: str) -> list[Data]:
        earlier = self.before(sheet)
        found = [*self.bests(sheet, earlier)]
        for name, side in self.sides[sheet].items():
            mine = {
                player: each
                for player, each in self.counted(sheet).items()
                if each["side"] == name and "named" not in each
            }
            of_team = [
                (each, its)
                for each in earlier
                for its in self.sides[each].values()
                if its["team"] == side["team"] and (its["counts"] or self._is_open(its))
            ]
            known = any(
                its["depth"] in ("strikes", "players") and its["season"] >= side["season"] - 1
                for _, its in of_team
            )
            found += self.milestones(side["team"], mine, earlier)
            new = [each for each in sorted(mine) if not self._seen(each, earlier)]
            if known and 0 < len(new) <= 3:
                found.append(fact("FirstMatches", team=side["team"], players=new))
            found += self.families(sheet, name, earlier, known)
            found += self.team_best(side, [its for _, its in of_team])
            found += self.runs(side, [its for _, its in of_team])
        return [*found, *self.last_meeting(sheet, earlier)]

    @staticmethod
    def _is_open(side: Data) -> bool:
        played = side["outcome"] in ("played", "abandoned")
        return side["winner"] is None and played and not side["draft"]

    def _seen(self, player: str, earlier: list[str]) -> bool:
        return any(
            player in self.people.get((sheet, side), ())
            for sheet in earlier
            for side in ("home", "away")
        )

    def _points(self, player: str, earlier: list[str]) -> list[int]:
        matches = [self.counted(sheet) for sheet in earlier]
        return [int(each[player]["points"]) for each in matches if player in each]

    def bests(self, sheet: str, earlier: list[str]) -> list[Data]:
        found = []
        for player, each in self.counted(sheet).items():
            points = self._points(player, earlier)
            if "named" not in each and len(points) >= 5 and each["points"] > max(points):
                team = self.sides[sheet][each["side"]]["team"]
                found.append(
                    {
                        "team": team,
                        "player": player,
                        "points": int(each["points"]),
                        "before": max(points),
                        "matches": len(points),
                    }
                )
        found.sort(key=lambda best: best["player"])
        found.sort(key=lambda best: best["points"], reverse=True)
        found.sort(key=lambda best: best["points"] - best["before"], reverse=True)
        return [fact("PersonalBests", bests=found)] if found else []

    def milestones(self, team: str, mine: dict[str, Data], earlier: list[str]) -> list[Data]:
        found = []
        for player, each in mine.items():
            points = self._points(player, earlier)
            number = len(points) + 1
            if number == 50 or (number >= 100 and number % 100 == 0):
                found.append(fact("MatchNumber", team=team, player=player, number=number))
            before, total = sum(points), sum(points) + int(each["points"])
            reached = [
                each for each in (1000, *range(5000, 100_000, 5000)) if before < each <= total
            ]
            if reached:
                found.append(
                    fact("PointsReached", team=team, player=player, number=reached[-1], total=total)
                )
        return found

    def families(self, sheet: str, name: str, earlier: list[str], known: bool) -> list[Data]:
        people = {each["player"] for each in self.individuals[sheet] if each["side"] == name}
        above = {
            player: {each for each in self.parents.get(player, ()) if each in people}
            for player in people
        }
        lines = [[player] for player in people if not above[player]]
        whole = []
        while lines:
            line = lines.pop()
            below = [player for player in people if line[-1] in above[player]]
            lines += [[*line, player] for player in below]
            if not below and len(line) > 1:
                whole.append(line)
        found = []
        for line in whole:
            times = sum(
                set(line) <= self.people.get((other, side), set())
                for other in earlier
                for side in ("home", "away")
            )
            if times or known:
                team = self.sides[sheet][name]["team"]
                found.append(fact("Family", team=team, players=line, before=times))
        return found

    @staticmethod
    def team_best(side: Data, before: list[Data]) -> list[Data]:
        totals = [
            each["points"] for each in before if each["points"] is not None and each["counts"]
        ]
        if side["points"] is None or len(totals) < 5 or side["points"] <= max(totals):
            return []
        return [
            fact(
                "TeamBest",
                team=side["team"],
                points=side["points"],
                before=max(totals),
                matches=len(totals),
            )
        ]

    @staticmethod
    def runs(side: Data, before: list[Data]) -> list[Data]:
        """Letter by letter: each match of the team is a letter, and a run a word."""
        letters = {"won": {"won"}, "lost": {"lost"}, "unbeaten": {"won", "drawn"}}
        found: dict[str, tuple[int, str]] = {}
        now: dict[str, bool] = {}
        for kind in ("won", "unbeaten", "lost", "clean"):
            struck = [each for each in before if each["outcome"] != "forfeited"]
            if kind == "clean":
                if side["outcome"] == "forfeited" or side["nummern"] is None:
                    continue
                now[kind] = side["nummern"] == 0
            else:
                now[kind] = side["result"] in letters[kind]
            run: list[Data] = []
            seasons = {each["season"] for each in before} | {side["season"]}
            first_season = side["season"]
            while first_season - 1 in seasons:
                first_season -= 1
            for each in reversed(struck if kind == "clean" else before):
                holds = each["nummern"] == 0 if kind == "clean" else each["result"] in letters[kind]
                if not holds or not each["counts"] or each["season"] < first_season:
                    break
                run.append(each)
            if run:
                found[kind] = len(run), run[-1]["date"]
        if side["result"] != "drawn" and found.get("won") == found.get("unbeaten"):
            found.pop("unbeaten", None)
        facts = []
        for kind, (length, since) in found.items():
            if not now[kind] and length >= SHORTEST_ENDED[kind]:
                facts.append(
                    fact("RunEnded", team=side["team"], of=kind, length=length, since=since)
                )
            if now[kind] and kind != "lost" and length + 1 >= SHORTEST_GOING_ON[kind]:
                facts.append(
                    fact("RunGoesOn", team=side["team"], of=kind, length=length + 1, since=since)
                )
        return facts

    def last_meeting(self, sheet: str, earlier: list[str]) -> list[Data]:
        pair = {side["team"] for side in self.sides[sheet].values()}
        met = [
            sides
            for sides in (self.sides[each] for each in earlier)
            if {side["team"] for side in sides.values()} == pair
            and (sides["home"]["counts"] or self._is_open(sides["home"]))
        ]
        if not met or not met[-1]["home"]["counts"]:
            return []
        last = met[-1]
        winner = last["home"]["winner"]
        return [
            fact(
                "LastMeeting",
                date=last["home"]["date"],
                winner=None if winner == "draw" else last[winner]["team"],
            )
        ]


def fact(kind: str, /, **values: Any) -> Data:
    return {"fact": kind, **values}
