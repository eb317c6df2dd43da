"""What is missing in a folder and is to be made: players, teams, competitions."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations

from riesbuch.exchange.decisions import New
from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import Kind, season_path
from riesbuch.text.editing import edited
from riesbuch.text.layout import CLUB_SHAPE
from riesbuch.text.record_text import competition_text, file_text, season_head
from riesbuch.trade.ids import (
    LONGEST_IDENTIFIER,
    ClubId,
    CompetitionId,
    PlayerId,
    RuleSetId,
    TeamId,
    is_identifier,
)
from riesbuch.trade.match import Match
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded, in_reading_order, name_key, surname_first
from riesbuch.trade.people import Club, Player
from riesbuch.trade.problems import UsageError, alternatives
from riesbuch.trade.season import Competition, CompetitionKind, Season


@dataclass(slots=True)
class Creations:
    """What is new, by identifier; ``teams`` give each new team's name."""

    archive: Archive
    players: dict[PlayerId, Player] = field(default_factory=dict)
    teams: dict[TeamId, str] = field(default_factory=dict)
    competitions: dict[tuple[int, CompetitionId], Competition] = field(default_factory=dict)
    _made: dict[tuple[str, str], str] = field(default_factory=dict)

    def player(self, key: str, written: str, new: New) -> PlayerId:
        """The same for the same ``key``."""
        made = self._made.get(("player", key))
        if made is not None:
            return PlayerId(made)
        name = new.name or in_reading_order(written)
        player = PlayerId(new.id or surname_first(folded(name)))
        _expect_identifier(player, Message("player"), written)
        there = self.archive.register.players.get(player)
        if new.id and there and name_key(there.name) == name_key(name):
            # Made by an earlier import with the same decision.
            return player
        if self._knows(player):
            raise _taken(player, Message("player"), written)
        self.players[player] = Player(id=player, name=name, positions={})
        self._made["player", key] = player
        return player

    def can_be_player(self, written: str) -> bool:
        """Whether a new player of this name can be made without more being said."""
        player = PlayerId(surname_first(folded(in_reading_order(written))))
        return is_identifier(player) and not self._knows(player)

    def _knows(self, player: PlayerId) -> bool:
        return self.archive.register.knows_player(player) or player in self.players

    def team(self, key: str, written: str, new: New) -> TeamId:
        made = self._made.get(("team", key))
        if made is not None:
            return TeamId(made)
        stem, _, letter = folded(written).rpartition("-")
        has_letter = bool(stem) and len(letter) == 1
        team = TeamId(new.id or (f"{stem}-{letter}" if has_letter else f"{folded(written)}-a"))
        _expect_identifier(team, Message("team"), written)
        if "-" not in team:
            raise UsageError(
                "a new team `{written}` cannot be `{team}`: it is CLUB-LETTER",
                written=written,
                team=team,
            )
        named = self.archive.register.team_names.get(team)
        if new.id and named and folded(named) == folded(new.name or written):
            return team
        if named:
            raise _taken(team, Message("team"), written)
        self.teams.setdefault(team, new.name or " ".join(written.split()))
        self._made["team", key] = team
        return team

    def competition(
        self, written: str, season: int, usual: CompetitionId | None, new: New
    ) -> CompetitionId | None:
        """None where it cannot be told which rule set it has."""
        key = CompetitionId(new.id or usual or folded(written))
        if (season, key) in self.competitions:
            return key
        _expect_identifier(key, Message("competition"), written)
        known = sorted(self.archive.rules)
        rules = RuleSetId(new.rules) if new.rules else known[0] if len(known) == 1 else None
        if rules is None:
            return None
        if rules not in known:
            raise UsageError(
                "there is no rule set `{rules}` in rules/; there is {known}",
                rules=rules,
                known=alternatives(known) if known else Message("none"),
            )
        kinds = [kind.value for kind in CompetitionKind]
        if new.kind is not None and new.kind not in kinds:
            raise UsageError(
                "`kind={kind}`: a competition is {kinds}", kind=new.kind, kinds=alternatives(kinds)
            )
        # As the one of that identifier in the nearest season.
        years = sorted(self.archive.seasons, key=lambda year: (abs(year - season), year))
        found = (self.archive.competition(year, key) for year in years)
        like = next(filter(None, found), None)
        self.competitions[season, key] = Competition(
            id=key,
            name=new.name or (like.name if like else " ".join(written.split())),
            kind=CompetitionKind(new.kind) if new.kind else like.kind if like else
                 CompetitionKind.LEAGUE,
            rules=rules,
            positions={},
        )  # fmt: skip
        return key

    def club_name(self, team: TeamId) -> str:
        name = self.teams[team]
        letter = team.rpartition("-")[2]
        first, _, last = name.rpartition(" ")
        return first if first and folded(last) == letter else name


def _expect_identifier(text: str, kind: str, written: str) -> None:
    if not is_identifier(text):
        raise UsageError(
            "{kind} `{written}` needs an identifier of a-z, 0-9 and hyphens, at most"
            " {longest_identifier} characters; decide for `new id=…` in its line",
            kind=kind,
            written=written,
            longest_identifier=LONGEST_IDENTIFIER,
        )


def _taken(identifier: str, kind: str, written: str) -> UsageError:
    return UsageError(
        "{kind} `{written}` cannot be a new `{identifier}`: there is one already; decide for"
        " `{identifier}`, or `new id=…` with another",
        kind=kind,
        written=written,
        identifier=identifier,
    )


def changed_files(creations: Creations, matches: Iterable[Match]) -> dict[str, bytes]:
    """The files that are new or changed, by path relative to the folder. The ``matches`` say
    which teams a new competition has, and how often they meet."""
    files: dict[str, bytes] = {}
    for player in sorted(creations.players.values(), key=lambda new: new.id):
        files[f"players/{player.id}.yaml"] = file_text(player).encode()
    files.update(_clubs(creations))
    of_season: dict[int, list[Competition]] = {}
    met: dict[tuple[int, str | None], list[Match]] = {}
    for match in matches:
        met.setdefault((match.season, match.competition), []).append(match)
    for (year, key), competition in sorted(creations.competitions.items()):
        of_season.setdefault(year, []).append(_with_teams(competition, met.get((year, key), [])))
    for year, competitions in sorted(of_season.items()):
        files[season_path(year, Kind.SEASON)] = _season_file(creations.archive, year, competitions)
    return files


def _season_file(archive: Archive, year: int, competitions: Iterable[Competition]) -> bytes:
    """The season's file with these competitions at its end."""
    from riesbuch.text.league import read_season

    path = archive.folder.season_file(year)
    text = season_head(year)
    if archive.folder.exists(path):
        text = archive.folder.read(path).decode("utf-8-sig")
        text += "" if text.endswith("\n") else "\n"
    added = list(competitions)
    text += "".join(competition_text(competition) for competition in added)
    content = text.encode()
    reading = read_season(content, year)
    there = (
        {competition.id for competition in reading.record.competitions} if reading.record else set()
    )
    new = [competition.id for competition in added]
    if not there.issuperset(new):
        raise UsageError(
            "seasons/{year}/season.toml cannot take {new} at its end; write each"
            " competition there under a [[competition]] of its own",
            year=year,
            new=", ".join(new),
        )
    return content


def _with_teams(competition: Competition, matches: list[Match]) -> Competition:
    teams = sorted({side.team for match in matches for _, side in match.sides if side.team})
    met = Counter(frozenset((match.home.team, match.away.team)) for match in matches)
    most = max((met[frozenset(pair)] for pair in combinations(teams, 2)), default=1)
    return replace(competition, teams=tuple(teams), cycles=max(1, min(most, 99)))


def _clubs(creations: Creations) -> dict[str, bytes]:
    archive = creations.archive
    by_club: dict[ClubId, dict[str, str]] = {}
    for team, name in sorted(creations.teams.items()):
        club, _, letter = team.rpartition("-")
        by_club.setdefault(ClubId(club), {})[letter] = name
    files = {}
    for key, letters in by_club.items():
        path = f"clubs/{key}.yaml"
        if key in archive.register.clubs:
            text = archive.folder.read(archive.folder.root / path).decode("utf-8-sig")
            edits: Mapping[str, str] = {f"teams.{letter}": name for letter, name in letters.items()}
            files[path] = edited(text, edits, CLUB_SHAPE).encode()
        else:
            first = TeamId(f"{key}-{min(letters)}")
            record = Club(
                id=key,
                name=creations.club_name(first),
                teams=tuple(sorted(letters.items())),
                positions={},
            )
            files[path] = file_text(record).encode()
    return files


def seasons_with(archive: Archive, creations: Creations) -> dict[int, Season]:
    """The seasons with the new competitions in them."""
    seasons = dict(archive.seasons)
    for (year, _), competition in creations.competitions.items():
        before = seasons.get(year) or Season(year=year, competitions=())
        seasons[year] = before._replace(competitions=(*before.competitions, competition))
    return seasons
