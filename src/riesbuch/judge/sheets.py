"""Rules for sheets beside the register, their season, and one another."""

import datetime
from collections.abc import Collection, Iterable, Iterator, Mapping

from riesbuch.folder.club_folder import Kind, season_path
from riesbuch.judge.holdings import Holdings, Mention, SheetEntry, problem_at
from riesbuch.trade.handed_down import Honour, StrikerRow
from riesbuch.trade.ids import (
    CompetitionId,
    PartId,
    PlayerId,
    Position,
    Positions,
    SideName,
    TeamId,
    club_of,
)
from riesbuch.trade.match import Outcome
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.names import Directory, player_directory
from riesbuch.trade.people import Register
from riesbuch.trade.problems import Place, Problem, Severity, alternatives, did_you_mean
from riesbuch.trade.season import Competition, CompetitionKind, Season, may_be_same

_SIDES: tuple[SideName, SideName] = ("home", "away")


def competitions(holdings: Holdings) -> Iterator[Problem]:
    """A sheet is of a competition of its season."""
    archive = holdings.archive
    for entry in holdings.entries:
        if entry.competition is None or entry.season in archive.unread_seasons:
            continue
        season = archive.seasons.get(entry.season)
        position = entry.positions["competition"]
        if season is None:
            yield without_season(entry.path, position, entry.season, entry.competition)
        elif season.whole and season.competition(entry.competition) is None:
            yield unknown_competition(entry.path, position, season, entry.competition)


def without_season(path: str, position: Position, year: int, competition: str) -> Problem:
    return problem_at(
        path,
        position,
        "unknown-competition",
        "the season {season} has no season.toml that lists `{competition}`",
        season=year,
        competition=competition,
    )


def unknown_competition(
    path: str, position: Position, season: Season, competition: CompetitionId
) -> Problem:
    keys = [known.id for known in season.competitions]
    return problem_at(
        path,
        position,
        "unknown-competition",
        "season {season} has no competition `{competition}`",
        did_you_mean(competition, keys)
        or Message("season.toml lists {known}", known=", ".join(keys) or Message("none")),
        season=season.year,
        competition=competition,
    )


def parts(holdings: Holdings) -> Iterator[Problem]:
    """A sheet names the part of its competition that it is of, where that has parts."""
    for entry in holdings.entries:
        competition = holdings.archive.competition(entry.season, entry.competition)
        if competition is not None and (competition.parts or entry.part):
            season = holdings.archive.seasons[entry.season]
            yield from part_at(entry.path, entry.positions, season, competition, entry.part)


def part_at(
    path: str,
    positions: Positions,
    season: Season,
    competition: Competition,
    part: PartId | None,
) -> Iterator[Problem]:
    """Whether the ``part`` that is named is one of the competition's."""
    keys = [known.id for known in competition.parts]
    if part in keys or not season.whole:
        return
    known = Message("its parts are {known}", known=", ".join(keys))
    yield problem_at(
        path,
        positions["part" if part else "competition"],
        "unknown-part",
        "`{competition}` is struck in parts, and it is not said which this is"
        if part is None
        else "`{competition}` has no part `{part}`"
        if keys
        else "`{competition}` is not struck in parts, but `{part}` is named",
        Message("write `part: {part}`; {known}", part=keys[0], known=known)
        if part is None
        else did_you_mean(part, keys) or known
        if keys
        else "delete the line, or list the parts under `parts` in season.toml",
        competition=competition.id,
        part=part,
    )


def teams(holdings: Holdings) -> Iterator[Problem]:
    """A sheet's teams are declared by their clubs and play in the competition."""
    for entry in holdings.entries:
        competition = holdings.archive.competition(entry.season, entry.competition)
        for side, other in zip(_SIDES, reversed(_SIDES), strict=True):
            team = entry.team(side)
            if team is not None:
                place = entry.path, entry.positions, f"{side}.team"
                yield from team_at(place, team, holdings, competition, but={entry.team(other)})


def team_at(
    place: tuple[str, Positions, str],
    team: TeamId,
    holdings: Holdings,
    competition: Competition | None,
    but: Collection[TeamId | None],
    otherwise: str = "",
) -> Iterator[Problem]:
    """Whether the team that is named at a place of a file, by its path and positions, is declared,
    and one of the competition's. None of the teams in ``but`` can be meant; ``otherwise`` is what
    else may be written."""
    register = holdings.archive.register
    path, positions, key = place
    if not register.knows_team(team):
        yield problem_at(
            path,
            positions[key],
            "unknown-team",
            "no club declares the team `{team}`",
            or_else(did_you_mean(team, register.team_names.keys() - {*but}), otherwise)
            or Message(
                "teams are declared under `teams` in their club's file, clubs/{club}.yaml",
                club=club_of(team) or team,
            ),
            team=team,
        )
    elif competition and competition.teams and team not in competition.teams:
        yield problem_at(
            path,
            positions[key],
            "team-not-in-competition",
            "`{team}` does not play in `{id}`",
            "season.toml lists {teams}",
            team=team,
            id=competition.id,
            teams=", ".join(competition.teams),
        )


def players(holdings: Holdings) -> Iterator[Problem]:
    """Everybody named in a sheet has a file; a warning where the register is open."""
    register = holdings.archive.register
    directory: Directory[PlayerId] | None = None
    said: dict[PlayerId, Problem] = {}
    known = register.players.keys()
    for entry in holdings.entries:
        if set(entry.mentions.players) <= known:
            continue
        for mention in entry.mentions.one_by_one():
            player = mention.player
            if register.knows_player(player):
                continue
            place = entry.path, mention.position
            if player not in said:
                directory = directory or player_directory(register)
                said[player] = player_at(place, player, holdings, directory)
            yield said[player]._replace(place=Place(entry.path, *mention.position))


def born_by_then(holdings: Holdings) -> Iterator[Problem]:
    """Nobody is named in a season before their birth: in a sheet, or in what is handed down."""
    register, unborn = holdings.archive.register, _unborn(holdings)
    named: list[tuple[PlayerId, Position]]
    for entry in holdings.entries:
        year = entry.season
        if not unborn[year].isdisjoint(entry.mentions.players):
            named = [(each.player, each.position) for each in entry.mentions.one_by_one()]
            yield from _born_too_late(register, unborn[year], year, entry.path, named)
    for year, told in holdings.archive.handed_down.items():
        rows: list[StrikerRow | Honour] = [*told.honours]
        rows += [row for table in told.striker_tables for row in table.rows]
        named = [(row.player, row.positions["player"]) for row in rows if row.player]
        path = season_path(year, Kind.HANDED_DOWN)
        yield from _born_too_late(register, unborn[year], year, path, named)


def _unborn(holdings: Holdings) -> Mapping[int, frozenset[PlayerId]]:
    """Of each year of which something is told those who were born in it or later."""
    born = holdings.archive.register.birth_years
    years = {entry.season for entry in holdings.entries}.union(holdings.archive.handed_down)
    return {
        year: frozenset([player for player, birth in born.items() if birth >= year])
        for year in years
    }


def _born_too_late(
    register: Register,
    unborn: frozenset[PlayerId],
    year: int,
    path: str,
    named: Iterable[tuple[PlayerId, Position]],
) -> Iterator[Problem]:
    for player, position in named:
        if player in unborn:
            own = register.players[player]
            yield problem_at(
                path,
                position,
                "not-born-yet",
                "`{player}` was born in {born}, too late for the season {season}",
                "put in whoever is meant, or mend `born` in players/{player}.yaml",
                related=(Place(f"players/{player}.yaml", *own.positions["born"]),),
                player=player,
                born=own.born,
                season=year,
            )


def player_at(
    place: tuple[str, Position],
    player: PlayerId,
    holdings: Holdings,
    directory: Directory[PlayerId],
    otherwise: str = "",
) -> Problem:
    """What is said of somebody who is named there and has no file; a warning where the register
    is open. ``otherwise`` is what else may be written."""
    near = directory.near(player)
    meant = (
        Message("did you mean {near}?", near=alternatives(map(directory.titled, near)))
        if near
        else ""
    )
    return problem_at(
        *place,
        "unknown-player",
        "the player `{player}` has no file in players/",
        or_else(meant, otherwise)
        or Message("a new player needs a file players/{player}.yaml", player=player),
        severity=Severity.ERROR if holdings.archive.league.strict else Severity.WARNING,
        player=player,
    )


def or_else(meant: str, otherwise: str) -> str:
    return joined(" ", filter(None, (meant, otherwise)))


def dates(holdings: Holdings) -> Iterator[Problem]:
    """A sheet's date lies in its season's year."""
    for entry in holdings.entries:
        if entry.date is not None and entry.date.year != entry.season:
            yield problem_at(
                entry.path,
                entry.positions["date"],
                "date-outside-season",
                "{date} is not in the season {season}",
                "a sheet of that year belongs in seasons/{year}/matches/",
                date=entry.date,
                season=entry.season,
                year=entry.date.year,
            )


def matches_once(holdings: Holdings) -> Iterator[Problem]:
    """A match has one sheet: no other of its competition has the same teams on the same day,
    nor, but for replays in a cup, the same teams at the same ground in the same round."""
    for entry, earlier in twins(holdings):
        yield problem_at(
            entry.path,
            entry.positions["date"],
            "same-match-twice",
            "this match already has a sheet: {path}",
            "delete one of the two, or set the right date, round or teams",
            related=(Place(earlier.path, *earlier.positions["date"]),),
            path=earlier.path,
        )


def twins(holdings: Holdings) -> Iterator[tuple[SheetEntry, SheetEntry]]:
    """Sheets of a match that has one already, each with the earlier one."""
    by_day: dict[object, list[SheetEntry]] = {}
    by_round: dict[object, SheetEntry] = {}
    for entry in holdings.entries:
        if entry.outcome in (Outcome.POSTPONED, Outcome.ANNULLED) or None in (
            entry.competition,
            entry.home,
            entry.away,
        ):
            continue
        earlier: SheetEntry | None = None
        if entry.date is not None:
            pair = frozenset((entry.home, entry.away))
            same_day = by_day.setdefault((entry.competition, entry.part, entry.date, pair), [])
            earlier = next(
                (other for other in same_day if may_be_same(other.round, entry.round)), None
            )
            same_day.append(entry)
        competition = holdings.archive.competition(entry.season, entry.competition)
        replayed = competition is not None and competition.kind is CompetitionKind.CUP
        if entry.round is not None and not replayed:
            meeting = (
                entry.season, entry.competition, entry.part, entry.round, entry.home, entry.away
            )  # fmt: skip
            earlier = earlier or by_round.get(meeting)
            by_round.setdefault(meeting, entry)
        if earlier is not None:
            yield entry, earlier


def one_team_a_day(holdings: Holdings) -> Iterator[Problem]:
    """Nobody plays for two teams on one day. A team that nobody declares is told by itself."""
    knows_team = holdings.archive.register.knows_team
    on_days: dict[datetime.date, dict[PlayerId, SheetEntry]] = {}
    for entry in holdings.entries:
        if entry.date is None or entry.outcome not in (Outcome.PLAYED, Outcome.ABANDONED):
            continue
        played = on_days.setdefault(entry.date, {})
        playing = entry.mentions.playing
        if played.keys().isdisjoint(playing):
            played.update(dict.fromkeys(playing, entry))
            continue
        for mention in _playing(entry):
            other = played.setdefault(mention.player, entry)
            if other is entry:
                continue
            other_mention = next(each for each in _playing(other) if each.player == mention.player)
            team, other_team = entry.team(mention.side), other.team(other_mention.side)
            known = all(each and knows_team(each) for each in (team, other_team))
            if team != other_team and known:
                yield problem_at(
                    entry.path,
                    mention.position,
                    "two-teams-one-day",
                    "`{player}` also played for `{other_team}` on {date}, in {path}",
                    related=(Place(other.path, *other_mention.position),),
                    player=mention.player,
                    other_team=other_team,
                    date=entry.date,
                    path=other.path,
                )


def _playing(entry: SheetEntry) -> Iterator[Mention]:
    return (mention for mention in entry.mentions.one_by_one() if mention.plays)
