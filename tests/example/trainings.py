"""The Thursday evenings on which Aarwald trained in the season under way."""

from __future__ import annotations

from .layout import document, flow
from .match import one_strike
from .model import Person, dice
from .people import roster

CLUB, SEASON = "aarwald", 2026
EVENINGS = [
    "03-12",
    "03-19",
    "03-26",
    "04-02",
    "04-09",
    "04-16",
    "04-23",
    "04-30",
    "05-07",
    "05-21",
    "05-28",
    "06-04",
]
WINDS = ("from the left", "from the right", "against", "none", "gusts from behind")
NOTES = {"03-12": "first evening outdoors", "05-07": "two balls each from the new trestle"}
_LIKELY = (35, 60, 60, 80, 90)


def training_files(people: dict[str, Person]) -> dict[str, str]:
    return {f"trainings/{SEASON}/{SEASON}-{day}.yaml": _evening(people, day) for day in EVENINGS}


def _evening(people: dict[str, Person], day: str) -> str:
    rng = dice("training", day)
    struck: dict[str, str] = {}
    present: list[str] = []
    for person in roster(people, CLUB, SEASON):
        likely = dice("trains", person.stem).choice(_LIKELY)
        if rng.randint(1, 100) > likely:
            continue
        if rng.randint(1, 100) <= 6:
            present.append(person.stem)
            continue
        year = dice("year", person.stem, SEASON).randint(-7, 7)
        # Nobody counts on an evening, and the ball is hit a little more freely.
        strength = person.strength_in(SEASON) + year + 4
        cells = [one_strike(strength, rng) for _ in range(rng.choice((6, 8, 8, 8, 10, 12)))]
        if rng.randint(1, 100) <= 5:
            cells[rng.randrange(len(cells))] = "~"
        struck[person.stem] = " ".join(cells)
    lines = [f"date: {SEASON}-{day}", f"club: {CLUB}", f"wind: {rng.choice(WINDS)}"]
    lines += [f"notes: {NOTES[day]}"] if day in NOTES else []
    lines += ["strikes:", *(f"  {stem}: {strikes}" for stem, strikes in struck.items())]
    lines += [f"present: {flow(present)}"] if present else []
    return document(lines)
