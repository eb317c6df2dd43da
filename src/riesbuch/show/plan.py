"""What ``riesbuch plan`` prints: the fixtures, and what they mean for teams and grounds."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from riesbuch.show.output import Answer, Column, Section, TableView, counted, say

if TYPE_CHECKING:
    import datetime

    from riesbuch.care.plan import Plan, PlanOrder
    from riesbuch.folder.archive import Archive
    from riesbuch.trade.season import Fixture

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

_FIXTURE_COLUMNS = (
    Column(key="round", title="Round", is_number=True),
    Column(key="date", title="Date"),
    Column(key="home", title="Home"),
    Column(key="away", title="Away"),
    Column(key="sheet", title="Sheet"),
)
_TEAM_COLUMNS = (
    Column(key="team", title="Team"),
    Column(key="home", title="Home", is_number=True),
    Column(key="away", title="Away", is_number=True),
    Column(key="longest_home", title="Longest at home", is_number=True),
    Column(key="longest_away", title="Longest away", is_number=True),
    Column(key="free", title="Free in round"),
)
_GROUND_COLUMNS = (
    Column(key="date", title="Date"),
    Column(key="ground", title="Ground"),
    Column(key="matches", title="Matches"),
)
_CLASH_COLUMNS = (
    Column(key="date", title="Date"),
    Column(key="team", title="Team"),
    Column(key="match", title="Match"),
    Column(key="other", title="Other match"),
    Column(key="competition", title="In"),
)


def plan_answer(archive: Archive, order: PlanOrder, plan: Plan) -> Answer:
    shown = _Shown(archive)
    sections = [
        Section("Fixtures", shown.fixtures(plan)),
        Section("Home and away", shown.teams(plan)),
    ]
    if plan.shared_grounds:
        sections.append(Section("Several matches on one ground", shown.grounds(plan)))
    if plan.clashes:
        sections.append(Section("Another match on the same day", shown.clashes(plan)))
    data = {
        "season": order.year,
        "competition": order.competition.id,
        "fixtures": sections[0].view.data,
        "teams": sections[1].view.data,
        "shared_grounds": shown.grounds(plan).data,
        "clashes": shown.clashes(plan).data,
    }
    return Answer(sections=sections, notes=(), data=data)


class _Shown:
    def __init__(self, archive: Archive) -> None:
        self.register = archive.register

    def match(self, fixture: Fixture) -> str:
        home, away = (self.register.team_name(each) for each in (fixture.home, fixture.away))
        return f"{home} – {away}"

    def fixtures(self, plan: Plan) -> TableView:
        records = [
            {
                "round": each.round,
                "date": each.date.isoformat(),
                "home": each.home,
                "away": each.away,
                "has_sheet": each in plan.kept,
            }
            for each in plan.fixtures
        ]
        name = self.register.team_name
        return TableView(
            columns=_FIXTURE_COLUMNS if plan.kept else _FIXTURE_COLUMNS[:-1],
            rows=[
                (
                    each.round,
                    each.date.isoformat(),
                    name(each.home),
                    name(each.away),
                    *(["yes" if each in plan.kept else ""] if plan.kept else []),
                )
                for each in plan.fixtures
            ],
            data=records,
            records=[
                {**each, "has_sheet": "yes" if each["has_sheet"] else "no"} for each in records
            ],
        )

    def teams(self, plan: Plan) -> TableView:
        some_are_free = any(each.free for each in plan.travels)
        return TableView(
            columns=_TEAM_COLUMNS if some_are_free else _TEAM_COLUMNS[:-1],
            rows=[
                (
                    self.register.team_name(each.team),
                    each.home,
                    each.away,
                    each.longest_home,
                    each.longest_away,
                    *([", ".join(str(number) for number in each.free)] if some_are_free else []),
                )
                for each in plan.travels
            ],
            data=[
                {
                    "team": each.team,
                    "home": each.home,
                    "away": each.away,
                    "longest_home": each.longest_home,
                    "longest_away": each.longest_away,
                    "free": each.free,
                }
                for each in plan.travels
            ],
        )

    def grounds(self, plan: Plan) -> TableView:
        return TableView(
            columns=_GROUND_COLUMNS,
            rows=[
                (
                    each.day.isoformat(),
                    each.ground,
                    "; ".join(self.match(fixture) for fixture in each.fixtures),
                )
                for each in plan.shared_grounds
            ],
            data=[
                {
                    "date": each.day.isoformat(),
                    "ground": each.ground,
                    "matches": [_names(fixture) for fixture in each.fixtures],
                }
                for each in plan.shared_grounds
            ],
        )

    def clashes(self, plan: Plan) -> TableView:
        return TableView(
            columns=_CLASH_COLUMNS,
            rows=[
                (
                    each.fixture.date.isoformat(),
                    self.register.team_name(each.team),
                    self.match(each.fixture),
                    self.match(each.other),
                    each.other.competition,
                )
                for each in plan.clashes
            ],
            data=[
                {
                    "date": each.fixture.date.isoformat(),
                    "team": each.team,
                    "match": _names(each.fixture),
                    "other": _names(each.other),
                }
                for each in plan.clashes
            ],
        )


def _names(fixture: Fixture) -> dict[str, str]:
    return {
        "competition": fixture.competition,
        "home": fixture.home,
        "away": fixture.away,
    }


def say_plan(archive: Archive, order: PlanOrder, plan: Plan, *, dry_run: bool) -> None:
    """What was done, and what to look at."""
    path = archive.folder.relative(archive.folder.fixtures_file(order.year))
    if plan.kept:
        verbs = "has a sheet and stays" if len(plan.kept) == 1 else "have a sheet and stay"
        say(f"{counted(len(plan.kept), 'fixture')} {verbs}")
    if plan.comments:
        say(f"{counted(plan.comments, 'comment')} of fixtures that went stay in {path}")
    if plan.needless:
        say(f"no round would have been on {_days(plan.needless)}; leaving it out changes nothing")
    unknown = [each for each in order.competition.teams if not archive.register.knows_team(each)]
    if unknown:
        say(f"no club declares {', '.join(f'`{each}`' for each in unknown)}; see `riesbuch check`")
    if plan.after == plan.before:
        say(f"{path} is just so already; nothing was written")
        return
    days = sorted({each.date for each in plan.new})
    span = f", {_weekday(days[0])} to {_weekday(days[-1])}" if days else ""
    verb = "would be written" if dry_run else "written"
    say(f"{path}: {counted(len(plan.new), 'fixture')} {verb}{span}")


def _days(days: Iterable[datetime.date]) -> str:
    return ", ".join(_weekday(each) for each in days)


def _weekday(day: datetime.date) -> str:
    """The weekday in front of the date, so that a slip in the first day is seen."""
    return f"{_WEEKDAYS[day.weekday()]} {day.isoformat()}"
