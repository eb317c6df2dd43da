"""The invented clubs of the Oberhang, present and past."""

from __future__ import annotations

from .model import Club

CLUBS = [
    Club(
        "aarwald",
        "Aarwald",
        1911,
        "Aarwald common",
        {"a": "Aarwald A", "b": "Aarwald B"},
        12,
        3,
        formerly=[("Aarwald-Berg", 1954)],
        merged_from=["oberaar"],
    ),
    Club(
        "birkenfluh",
        "Birkenfluh",
        1908,
        "Birkenfluh, below the Fluh",
        {"a": "Birkenfluh A"},
        15,
        2,
        formerly=[("Birkenfluh-Rain", 1948)],
    ),
    Club(
        "nebelschwand",
        "Nebelschwand",
        1927,
        "Schwandmoos",
        {"a": "Nebelschwand A"},
        4,
        4,
        formerly=[("Nebelschwand-Egg", 1963)],
    ),
    Club("fuchsmattigen", "Fuchsmattigen", 1934, "Fuchsmatt", {"a": "Fuchsmattigen A"}, -6, 1),
    Club("eschlisried", "Eschlisried", 1949, "Unteres Ried", {"a": "Eschlisried A"}, 0, 2),
    Club("sommerhubel", "Sommerhubel", 1919, "Hubelweid", {"a": "Sommerhubel A"}, -12, 3),
    Club(
        "ginsterwil",
        "Ginsterwil",
        1961,
        "Ginsterwil, behind the saw mill",
        {"a": "Ginsterwil A"},
        7,
        1,
        formerly=[("Ginsterwil-Dorf", 1979)],
    ),
    Club(
        "tiefenschuer",
        "Tiefenschür",
        1976,
        "Schürallmend",
        {"a": "Tiefenschür A"},
        -18,
        2,
        comment="youngest club of the league, hence no older years to copy",
    ),
    Club(
        "oberaar",
        "Oberaar",
        1923,
        "Oberaar meadow",
        {"a": "Oberaar A"},
        2,
        2,
        comment="joined Aarwald in 1974; kept for the old seasons",
    ),
    Club(
        "steinhubelmoos",
        "Steinhubelmoos",
        1931,
        "Moosweid",
        {"a": "Steinhubelmoos A"},
        -4,
        1,
        comment="wound up in 1983, the boards were sold to Sommerhubel",
    ),
]

BY_STEM = {club.stem: club for club in CLUBS}
PRESENT = [club.stem for club in CLUBS[:8]]
TEAMS = [f"{stem}-a" for stem in PRESENT]


def club_of(team: str) -> Club:
    return BY_STEM[team.rpartition("-")[0]]
