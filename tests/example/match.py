"""Plays a match strike by strike."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from .clubs import club_of
from .model import Cells, Person, Row, Side, dice, value
from .people import roster

TEAM_SIZE = 18
HIGHEST = 24
ZONE = range(1, 19)

PLACES = [(0, 0), (0, 1), (1, 0), (1, 1)]

# where one player hands over to the other: the strikes that the first one makes
HANDOVERS = [PLACES[:2]] * 4 + [PLACES[:1], PLACES[:3]]

NUMMER_WEIGHTS = {
    0: (60, 26, 9, 3, 1, 1, 0),
    1: (46, 30, 13, 6, 3, 1, 1),
    2: (28, 27, 20, 12, 7, 4, 2),
    3: (10, 15, 20, 20, 15, 12, 8),
}


@dataclass
class LineUp:
    """Who is there, and in which part."""

    striking: list[Person]
    missing: list[Person]
    supernumerary: list[Person] = field(default_factory=list)
    substitute: Person | None = None
    replaced: Person | None = None
    short: bool = False


def line_up(people: dict[str, Person], team: str, season: int, rng: Random) -> LineUp:
    members = roster(people, club_of(team).stem, season)
    present = [person for person in members if rng.randint(1, 100) > 7]
    while len(present) < TEAM_SIZE - 1:
        absent = [person for person in members if person not in present]
        present.append(absent[rng.randrange(len(absent))])
    present = [person for person in members if person in present]
    if len(present) < TEAM_SIZE:
        missing = [person for person in members if person not in present]
        return LineUp(present, missing, short=True)
    weakest = sorted(present, key=lambda person: (person.strength_in(season), person.stem))
    spare = weakest[: len(present) - TEAM_SIZE]
    striking = [person for person in present if person not in spare]
    chosen = LineUp(striking, [person for person in members if person not in present])
    if spare and rng.randint(1, 100) <= 42:
        chosen.substitute = spare.pop()
        chosen.replaced = striking[rng.randrange(TEAM_SIZE)]
    if rng.randint(1, 100) <= 55:
        chosen.supernumerary = spare
    return chosen


def one_strike(strength: int, rng: Random) -> str:
    swing = rng.randint(-30, 30) + rng.randint(-30, 30) + rng.randint(-15, 15)
    nuller = rng.randint(1, 1000)
    if nuller <= 12 + max(0, 100 - strength) // 2:
        return "0"
    return str(min(HIGHEST, max(2, (strength + swing + 5) // 10)))


def four_strikes(person: Person, season: int, bonus: int, rng: Random) -> Cells:
    strength = person.strength_in(season) + dice("year", person.stem, season).randint(-7, 7) + bonus
    return [[one_strike(strength, rng) for _ in range(2)] for _ in range(2)]


def keep(cells: Cells, places: list[tuple[int, int]]) -> Cells:
    """The cells at these places; the others were struck by somebody else."""
    return [
        [cell if (inning, strike) in places else "x" for strike, cell in enumerate(row)]
        for inning, row in enumerate(cells)
    ]


def without(places: list[tuple[int, int]]) -> list[tuple[int, int]]:
    return [place for place in PLACES if place not in places]


def play_side(team: str, season: int, lined: LineUp, bonus: int, rng: Random) -> Side:
    side = Side(team=team)
    for person in lined.striking:
        cells = four_strikes(person, season, bonus, rng)
        side.rows.append(Row(person.stem, cells))
        if person is lined.replaced and lined.substitute:
            places = HANDOVERS[rng.randrange(len(HANDOVERS))]
            side.rows[-1].cells = keep(cells, places)
            came = four_strikes(lined.substitute, season, bonus, rng)
            side.rows.append(Row(lined.substitute.stem, keep(came, without(places))))
    if lined.short:
        side.replacements = replacements(lined, season, bonus, rng)
    for person in lined.supernumerary:
        side.supernumeraries.append(Row(person.stem, four_strikes(person, season, bonus, rng)))
    return side


def replacements(lined: LineUp, season: int, bonus: int, rng: Random) -> list[Row]:
    """The missing player's four strikes, made by one, two or four of the others."""
    parts = rng.choice([1, 1, 2, 2, 2, 4])
    size = 4 // parts
    chosen = rng.sample(lined.striking, parts)
    return [
        Row(
            person.stem,
            keep(
                four_strikes(person, season, bonus, rng),
                PLACES[number * size : (number + 1) * size],
            ),
        )
        for number, person in enumerate(chosen)
    ]


def late_arrival(side: Side, rng: Random) -> Row:
    """One of the eighteen comes after the first inning; another strikes for him until then."""
    late, other = rng.sample(side.rows, 2)
    missed = keep(late.cells, PLACES[:2])
    late.cells = keep(late.cells, PLACES[2:])
    side.replacements.append(Row(other.player, missed))
    return late


def nummern_count(fielding: str, haze: int, rng: Random) -> int:
    poor = max(0, min(3, haze + (1 if club_of(fielding).fielding < 2 else 0) - rng.randint(0, 1)))
    return rng.choices(range(7), weights=NUMMER_WEIGHTS[poor])[0]


def fieldable(side: Side) -> list[tuple[Row, int, int]]:
    """Strikes that could have been a Nummer."""
    return [
        (row, inning, strike)
        for row in side.team_rows()
        for inning, cells in enumerate(row.cells)
        for strike, cell in enumerate(cells)
        if cell.isdigit() and value(cell) in ZONE
    ]


def place_nummern(striking: Side, count: int, rng: Random) -> None:
    for row, inning, strike in rng.sample(fieldable(striking), count):
        row.cells[inning][strike] += "N"


def play(
    people: dict[str, Person],
    home: str,
    away: str,
    season: int,
    weather: tuple[str, int, int],
    rng: Random,
) -> tuple[Side, Side, tuple[LineUp, LineUp]]:
    _, bonus, haze = weather
    lined = tuple(line_up(people, team, season, rng) for team in (home, away))
    day = [rng.randint(-6, 6) + bonus for _ in range(2)]
    sides = tuple(
        play_side(team, season, lined[number], day[number], rng)
        for number, team in enumerate((home, away))
    )
    place_nummern(sides[1], nummern_count(home, haze, rng), rng)
    place_nummern(sides[0], nummern_count(away, haze, rng), rng)
    return sides[0], sides[1], (lined[0], lined[1])
