"""Pictures of all sorts of data, ordinary and not; `python -m tests.picture_cases` prints their
digest."""

import hashlib
from fractions import Fraction

from riesbuch.language.catalogue import catalogue
from riesbuch.pages.pictures.canvas import Picture
from riesbuch.pages.pictures.over_years import Place, career_picture, places_picture
from riesbuch.pages.pictures.season_course import (
    TeamCourse,
    season_course_picture,
)
from riesbuch.pages.pictures.strip import StripStrikes, strip_picture

ENGLISH, GERMAN = catalogue("en", "reports"), catalogue("de", "reports")
LONG = "Hornussergesellschaft Oberhang-Hinterwald und Umgebung B"
STRIKES = StripStrikes(
    zones={0: 4, 3: 1, 9: 12, 12: 40, 13: 52, 14: 52, 17: 30, 21: 7, 24: 1},
    nummern={3: 1, 13: 12},
    unknown=3,
)


def season(teams: int, rounds: int, planned: int = 0) -> tuple[list[str], list[TeamCourse]]:
    """Ranks that go up and down, many of them shared, and the rounds to come."""
    points = [
        [sum((team * 7 + each * each * 3) % 5 for each in range(number + 1)) for number in
         range(rounds)]
        for team in range(teams)
    ]  # fmt: skip
    return (
        [str(number + 1) for number in range(max(rounds, planned))],
        [
            TeamCourse(
                team=LONG if team == 3 else f"Nebelschwand {team}",
                ranks=[
                    1 + sum(other[number] > points[team][number] for other in points)
                    for number in range(rounds)
                ],
                rank_points=points[team],
            )
            for team in range(teams)
        ],
    )


def career(
    first: int, last: int, *missing: int
) -> tuple[dict[int, Fraction], dict[int, Fraction], dict[int, int]]:
    """Averages, means and matches by year."""
    years = [year for year in range(first, last + 1) if year not in missing]
    return (
        {year: Fraction(1100 + year * 37 % 613, 100) for year in years},
        {year: Fraction(1300 + year * 11 % 97, 100) for year in years},
        {year: year % 9 + 1 for year in years},
    )


def places(first: int, last: int, *missing: int, team: int = 0) -> dict[int, Place]:
    """Up and down through three divisions of twelve."""
    found = {}
    for year in range(first, last + 1):
        if year not in missing:
            division, rank = divmod((year * (5 + 2 * team)) % 36, 12)
            found[year] = Place(division, rank + 1, 12, "on record" if year % 10 == 0 else "")
    return found


DIVISIONS = ["First division", "Second division", "Third division"]
TEAMS = {
    "Aarwald A": places(1970, 2025),
    "Aarwald B": places(1978, 2025, 1990, 1991, team=1),
    "Aarwald C": places(1995, 2019, team=2),
}


def all_cases() -> dict[str, Picture]:
    found = {
        "strip": strip_picture(STRIKES, "Aarwald A 2026", ENGLISH),
        "strip, one strike": strip_picture(
            StripStrikes(zones={14: 1}, nummern={}), "Robert Wydmatter", GERMAN
        ),
        "strip, nothing but noughts": strip_picture(
            StripStrikes(zones={0: 3}, nummern={}), "Robert Wydmatter", GERMAN
        ),
        "strip, fifty seasons": strip_picture(
            StripStrikes(
                zones={zone: 12_345 + zone * 977 for zone in range(36)},
                nummern={zone: 99 + zone * 7 for zone in range(1, 19)},
                unknown=12_345_678,
            ),
            LONG * 3,
            GERMAN,
        ),
        "strip, short": strip_picture(
            StripStrikes(zones={2: 1, 999: 4}, nummern={2: 1}, last_zone=12), "Short", ENGLISH
        ),
        "strip, long": strip_picture(
            StripStrikes(zones={40: 5}, nummern={40: 5}, last_zone=99), "Long", ENGLISH
        ),
        "season": season_course_picture(*season(6, 10), "Oberhang League 2026", ENGLISH),
        "season, half of it played": season_course_picture(
            *season(12, 11, 22), "Oberhang League 2026", ENGLISH
        ),
        "season, its first round": season_course_picture(
            *season(8, 1, 14), "Oberhang-Liga 2026", GERMAN
        ),
        "season, fourteen teams": season_course_picture(
            *season(14, 26), "Oberhang-Liga 2026", GERMAN
        ),
        "season, one round": season_course_picture(*season(5, 1), "Oberhang-Liga", GERMAN),
        "season, one team": season_course_picture(*season(1, 3), "Alone", ENGLISH),
        "season, many": season_course_picture(*season(40, 90), LONG * 3, ENGLISH),
        "season, long names of rounds": season_course_picture(
            ["12 April 2026", "19 April 2026", "26 April 2026", "3 May 2026"],
            season(3, 4)[1],
            "Dates",
            ENGLISH,
        ),
        "season, unknown": season_course_picture(
            ["1", "2", "3"],
            [
                TeamCourse(team="Late", ranks=[None, 2, 2], rank_points=[None, 1, 1]),
                TeamCourse(team="Gone", ranks=[1, None, None], rank_points=[4, None, None]),
                TeamCourse(team="Never", ranks=[None] * 3, rank_points=[None] * 3),
                TeamCourse(team="Gap", ranks=[2, None, 1], rank_points=[2, None, None]),
                TeamCourse(team="There", ranks=[3, 1, 3], rank_points=[0, 4, 0]),
            ],
            "Gaps",
            ENGLISH,
        ),
        "career": career_picture(
            *career(1958, 2026, 1966, 1967, 1980, 2001), "Robert Wydmatter", ENGLISH
        ),
        "career, five seasons": career_picture(
            *career(2020, 2026, 2022, 2025), "Nina Unterholzer", GERMAN
        ),
        "career, one season": career_picture(*career(2026, 2026), "Nina Unterholzer", GERMAN),
        "career, two far apart": career_picture(
            {1900: Fraction(3), 2026: Fraction(7)}, {}, {}, LONG * 3, GERMAN
        ),
        "career, hardly differing": career_picture(
            {2024: Fraction(1301, 100), 2025: Fraction(1302, 100)},
            {2024: Fraction(1300, 100), 2025: Fraction(1300, 100)},
            {},
            "Even",
            ENGLISH,
        ),
        "career, noughts": career_picture(
            dict.fromkeys(range(2000, 2004), Fraction()), {}, {}, "Noughts", ENGLISH
        ),
        "places": places_picture(DIVISIONS, TEAMS, "Aarwald", GERMAN),
        "places, two years": places_picture(
            ["First division"], {LONG: {1900: Place(0, 2, 2), 2025: Place(0, 1, 1)}}, LONG, ENGLISH
        ),
        "places, seven teams": places_picture(
            [LONG * 2, "Second", "Third"],
            {f"{LONG} {each}": places(1900, 2025, team=each) for each in range(7)},
            LONG,
            GERMAN,
        ),
    }
    return {name: picture for name, picture in found.items() if picture is not None}


if __name__ == "__main__":
    digest = hashlib.sha256()
    for each in all_cases().values():
        digest.update(each.svg.encode("utf-8"))
    print(digest.hexdigest())
