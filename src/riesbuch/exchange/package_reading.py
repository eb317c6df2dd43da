"""An export imported: what is missing in the folder is written, what is there stays."""

from collections.abc import Iterable
from pathlib import Path

from riesbuch.archive import Archive
from riesbuch.exchange.creation import season_file
from riesbuch.exchange.importing import (
    OpenIndex,
    Plan,
    judge_plan,
    sheets_there,
    with_free_names,
)
from riesbuch.exchange.known import recognise
from riesbuch.exchange.package import tables_in
from riesbuch.exchange.package_records import (
    Tables,
    clubs,
    competitions,
    expect_identifiers,
    fixtures,
    players,
    rule_sets,
)
from riesbuch.exchange.package_sheets import matches_of
from riesbuch.exchange.package_tables import TableFault, read_table
from riesbuch.files.league import read_fixtures
from riesbuch.files.register_text import club_text, player_text
from riesbuch.files.settings_text import fixtures_text, rules_text
from riesbuch.files.sheet_text import sheet_text
from riesbuch.trade.season import Competition, Fixture


def plan_package(archive: Archive, folder: Path, *, create: bool, open_index: OpenIndex) -> Plan:
    """Work out the import of the export in ``folder``: its sheets, and where ``create`` also
    rules, clubs, players, competitions and fixtures that are missing. Raises UsageError where
    there is no export."""
    faults: list[TableFault] = []
    tables: Tables = {
        name: read_table(path, name, faults) for name, path in tables_in(folder).items()
    }
    expect_identifiers(tables, faults)
    found = [] if faults else list(matches_of(tables, faults))
    plan = Plan(rows=len(tables["matches"]), matches=len(found))
    plan.table_faults = [each.as_line() for each in faults]
    if faults:
        return plan
    if create:
        _create(archive, tables, plan)
    matches = [match for match, _ in found]
    there = recognise(
        matches, sheets_there(archive.folder, {each.season for each in matches}, open_index)
    )
    plan.already_there = len(there)
    left = [place for place in range(len(matches)) if place not in there]
    named = with_free_names(archive.folder, [matches[place] for place in left])
    for place, match in zip(left, named, strict=True):
        path = f"seasons/{match.season}/matches/{match.sheet.partition('/')[2]}.yaml"
        plan.sheets[path] = found[place][1]
        plan.files[path] = sheet_text(match).encode()
    if plan.files:
        judge_plan(archive.folder, plan, open_index)
    if plan.errors and not create:
        plan.remarks.append(
            "--create also takes rules, clubs, players and competitions that are missing here"
        )
    return plan


def _create(archive: Archive, tables: Tables, plan: Plan) -> None:
    """Plan the files that are missing, and tell where one that is there says something else."""
    register = archive.register
    for key, rules in sorted(rule_sets(tables).items()):
        if key not in archive.rules:
            plan.files[f"rules/{key}.toml"] = rules_text(rules).encode()
        elif archive.rules[key] != rules:
            _say_differs(plan, f"rules/{key}.toml")
    for club in clubs(tables):
        if not register.knows_club(club.id):
            plan.files[f"clubs/{club.id}.yaml"] = club_text(club).encode()
        elif register.clubs.get(club.id) != club:
            _say_differs(plan, f"clubs/{club.id}.yaml")
    for player in players(tables):
        if not register.knows_player(player.id):
            plan.files[f"players/{player.id}.yaml"] = player_text(player).encode()
        elif register.players.get(player.id) != player:
            _say_differs(plan, f"players/{player.id}.yaml")
    for year, listed in competitions(tables).items():
        missing = list(_missing_competitions(archive, year, listed, plan))
        if missing:
            plan.files[f"seasons/{year}/season.toml"] = season_file(archive, year, missing)
    for year, planned in fixtures(tables).items():
        content = _fixtures_file(archive, year, planned)
        if content is not None:
            plan.files[f"seasons/{year}/fixtures.toml"] = content
    (league,) = tables["league"][:1] or (None,)
    if league and (league["register"] == "strict") != archive.league.strict:
        plan.remarks.append(
            f'the export is of a folder with register = "{league["register"]}"; league.toml is'
            " left as it is"
        )


def _say_differs(plan: Plan, path: str) -> None:
    plan.remarks.append(f"{path} says something else than the export, and is left as it is")


def _missing_competitions(
    archive: Archive, year: int, listed: Iterable[Competition], plan: Plan
) -> Iterable[Competition]:
    for competition in listed:
        there = archive.competition(year, competition.id)
        if there is None:
            yield competition
        elif there != competition:
            _say_differs(plan, f"`{competition.id}` in seasons/{year}/season.toml")


def _fixtures_file(archive: Archive, year: int, planned: list[Fixture]) -> bytes | None:
    """The season's fixtures with those that are missing at the end, None where none is."""
    path = archive.folder.fixtures_file(year)
    text = ""
    if archive.folder.exists(path):
        text = archive.folder.read(path).decode("utf-8")
        text += "" if not text or text.endswith("\n") else "\n"
    there = archive.fixtures.get(year, ())
    missing = [each for each in planned if each not in there]
    if not missing:
        return None
    added = fixtures_text(missing)
    content = (text + added if text else added.lstrip("\n")).encode()
    read = read_fixtures(content).record or ()
    return content if all(each in read for each in missing) else None
