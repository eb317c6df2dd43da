"""Generate a club folder of any number of seasons, in the contract's format, for benchmarks.

    python -m tests.bench.generate DEST [--seasons 50] [--first 1975] [--teams 12]

Twelve teams that meet twice make 132 sheets a season, each with 36 rows and 144 strikes: fifty
seasons are 6,600 sheets, 237,600 rows and 950,400 strikes. Everything in it is invented, and the
same arguments give the same bytes.
"""

import argparse
import datetime
import random
from pathlib import Path

TEAMS = 12
TEAM_SIZE = 18
PLAYERS_A_CLUB = 22
YEARS_IN_A_TEAM = 14
_SYLLABLES = ("bal", "dor", "eck", "fel", "gros", "hin", "ibi", "jun", "kel", "lom", "mur", "nid")


def club_names(teams: int = TEAMS) -> list[str]:
    return [f"{_SYLLABLES[index]}wil" for index in range(teams)]


def squad(club: str, year: int) -> list[str]:
    """The club's players of that year; each stays for YEARS_IN_A_TEAM years."""
    players = []
    for seat in range(PLAYERS_A_CLUB):
        joined = year - (year + seat) % YEARS_IN_A_TEAM
        players.append(f"{club}er-{joined}-{seat + 1}")
    return players


def generate(destination: Path, seasons: int, first: int, teams: int = TEAMS) -> None:
    chance = random.Random(seasons * 10_000 + first)
    years = range(first, first + seasons)
    _write(destination / "league.toml", 'name = "Generated League"\nregister = "strict"\n')
    _write(destination / "rules" / "all.toml", "team_size = 18\n")
    skills: dict[str, int] = {}
    for club in club_names(teams):
        name = club.capitalize()
        _write(destination / "clubs" / f"{club}.yaml", f"name: {name}\nteams: {{a: {name} A}}\n")
        for year in years:
            for player in squad(club, year):
                if player not in skills:
                    skills[player] = chance.randint(5, 17)
                    _write(destination / "players" / f"{player}.yaml", _player(player, club))
    for year in years:
        _season(destination / "seasons" / str(year), year, teams, skills, chance)


def hand_down(destination: Path, seasons: int, before: int) -> None:
    """Lay ``seasons`` of which only tables are known into a generated folder, the last of them the
    year before ``before``."""
    chance = random.Random(seasons * 10_000 + before)
    source = 'source = {kind = "newspaper", reference = "generated"}'
    for year in range(before - seasons, before):
        teams = chance.sample([f"{club}-a" for club in club_names()], TEAMS)
        of_teams = "".join(
            f'  {{rank = {rank}, team = "{team}", played = 22, points = {9000 - 90 * rank}}},\n'
            for rank, team in enumerate(teams, start=1)
        )
        squads = {player: club for club in club_names() for player in squad(club, year)}
        strikers = chance.sample(sorted(squads), 100)
        for player in strikers:
            _write(destination / "players" / f"{player}.yaml", _player(player, squads[player]))
        of_strikers = "".join(
            f'  {{rank = {rank}, player = "{player}", matches = 22, points = {1500 - 9 * rank}}},\n'
            for rank, player in enumerate(strikers, start=1)
        )
        _write(
            destination / "seasons" / str(year) / "handed-down.toml",
            '[[table]]\ncompetition = "first"\nname = "First division"\nkind = "league"\n'
            f"{source}\nrows = [\n{of_teams}]\n\n"
            f'[[striker_table]]\ncompetition = "first"\n{source}\nrows = [\n{of_strikers}]\n',
        )


def _player(player: str, club: str) -> str:
    _, joined, seat = player.rsplit("-", 2)
    born = int(joined) - 20
    return (
        f"name: {club.capitalize()}er {joined} {seat}\nborn: {born}\n"
        f"clubs: [{{club: {club}, from: {joined}}}]\n"
    )


def _season(
    folder: Path, year: int, number_of_teams: int, skills: dict[str, int], chance: random.Random
) -> None:
    teams = [f"{club}-a" for club in club_names(number_of_teams)]
    listed = ", ".join(f'"{team}"' for team in teams)
    _write(
        folder / "season.toml",
        f'season = {year}\n\n[[competition]]\nid = "first"\nname = "First division"\n'
        f'kind = "league"\nrules = "all"\nteams = [{listed}]\ncycles = 2\n',
    )
    day = datetime.date(year, 4, 1)
    for number, pairs in enumerate(_rounds(teams), start=1):
        date = day + datetime.timedelta(days=7 * (number - 1))
        for home, away in pairs:
            sheet = _sheet(number, date, home, away, year, skills, chance)
            _write(folder / "matches" / f"{date}-{home}-{away}.yaml", sheet)


def _rounds(teams: list[str]) -> list[list[tuple[str, str]]]:
    """Every pair twice, by turning a circle round one fixed team."""
    circle, half = list(teams), len(teams) // 2
    first_cycle = []
    for number in range(len(teams) - 1):
        pairs = list(zip(circle[:half], reversed(circle[half:]), strict=True))
        first_cycle.append([pair[::-1] if number % 2 else pair for pair in pairs])
        circle = [circle[0], circle[-1], *circle[1:-1]]
    return first_cycle + [[pair[::-1] for pair in pairs] for pairs in first_cycle]


def _sheet(
    number: int,
    date: datetime.date,
    home: str,
    away: str,
    year: int,
    skills: dict[str, int],
    chance: random.Random,
) -> str:
    lines = [
        "competition: first",
        f"round: {number}",
        f"date: {date}",
        "weather: clear, light wind",
    ]
    for side, team in (("home", home), ("away", away)):
        players = chance.sample(squad(team.removesuffix("-a"), year), TEAM_SIZE)
        lines += [f"{side}:", f"  team: {team}", f"  captain: {players[0]}", "  strikes:"]
        lines += [f"    {player}: {_row(skills[player], chance)}" for player in players]
    return "\n".join(lines) + "\n"


def _row(skill: int, chance: random.Random) -> str:
    strikes = [_strike(skill, chance) for _ in range(4)]
    return f"[[{strikes[0]}, {strikes[1]}], [{strikes[2]}, {strikes[3]}]]"


def _strike(skill: int, chance: random.Random) -> str:
    if chance.random() < 0.03:
        return "0"
    points = max(1, min(26, round(chance.gauss(skill, 3))))
    return f"{points}N" if points <= 18 and chance.random() < 0.004 else str(points)


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode("utf-8"))


def main() -> None:
    parser = argparse.ArgumentParser(description="Generate a club folder for benchmarks.")
    parser.add_argument("destination", type=Path)
    parser.add_argument("--seasons", type=int, default=50)
    parser.add_argument("--first", type=int, default=1975)
    parser.add_argument("--teams", type=int, default=TEAMS)
    arguments = parser.parse_args()
    generate(arguments.destination, arguments.seasons, arguments.first, arguments.teams)


if __name__ == "__main__":
    main()
