"""Sheets written as text for a test, and read, checked and added up as any other."""

from collections.abc import Iterable, Mapping, Sequence

from riesbuch.judge.sheet import check_sheet
from riesbuch.text.league import read_rules
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.tally import Tally, tally

Strikes = Sequence[int | str]


def rule_set(text: str = "") -> RuleSet:
    """The rule set of a TOML text, which must be faultless."""
    reading = read_rules(text.encode("utf-8"))
    assert reading.record is not None
    assert reading.findings == ()
    return reading.record


def sheet_text(home: str, away: str, top: str = "", date: str = "2026-05-10") -> str:
    """A sheet; ``home`` and ``away`` are the lines of the sides, the team's identifier first."""
    return "\n".join(
        (
            "competition: oberhang-1",
            f"date: {date}",
            *([top] if top else []),
            "home:",
            *(f"  {line}" for line in f"team: {home}".split("\n")),
            "away:",
            *(f"  {line}" for line in f"team: {away}".split("\n")),
            "",
        )
    )


def side(team: str, **figures: object) -> str:
    """A side of which the ``figures`` are known, in lines for `sheet_text`."""
    return "\n".join((team, *(f"{key}: {value}" for key, value in figures.items())))


def rows_text(rows: Mapping[str, Strikes], per_inning: int = 2) -> str:
    """``strikes:`` with a line for each player; all strikes of a row are given in one list."""
    return "\n".join(("strikes:", *_row_lines(rows, per_inning)))


def supernumeraries_text(rows: Mapping[str, Strikes], per_inning: int = 2) -> str:
    return "\n".join(("supernumeraries:", *_row_lines(rows, per_inning)))


def _row_lines(rows: Mapping[str, Strikes], per_inning: int) -> Iterable[str]:
    for player, strikes in rows.items():
        innings = [
            f"[{', '.join(map(str, strikes[start : start + per_inning]))}]"
            for start in range(0, len(strikes), per_inning)
        ]
        yield f"  {player}: [{', '.join(innings)}]"


def read(text: str, stem: str = "2026-05-10-home-away") -> Match:
    """The match of a sheet that must be readable without a finding."""
    reading = read_sheet(text.encode("utf-8"), SheetId(f"2026/{stem}"), 2026)
    assert reading.match is not None
    assert reading.findings == ()
    return reading.match


def codes(match: Match, rules: RuleSet) -> list[str]:
    return sorted(finding.code for finding in check_sheet(match, rules))


def added_up(
    text: str, rules: RuleSet | None = None, kind: CompetitionKind = CompetitionKind.LEAGUE
) -> Tally:
    return tally(read(text), rules or rule_set(), kind)


def spread(total: int, count: int) -> list[int]:
    """``count`` strikes that add up to ``total``, as even as they can be."""
    each, over = divmod(total, count)
    return [each + 1] * over + [each] * (count - over)
