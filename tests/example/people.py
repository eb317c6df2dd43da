"""The people: families over generations, club by club."""

from __future__ import annotations

from random import Random

from .clubs import BY_STEM, PRESENT
from .model import Person, dice
from .names import FAMILIES, LONG_FORMS, first_names, slug

# how many older people a club's books still know, family by family
OLD_FAMILIES = {"aarwald": 7, "birkenfluh": 7, "nebelschwand": 4}
SHAPES = ("line", "siblings", "couple", "siblings", "line", "couple", "line")
OBERAAR_FAMILY, OBERAAR_JOINED = "Oberstalder", 1974
FIRST_UNSHOWN = 2008  # minors keep their birth years to themselves

# the people the documentation speaks of: (family, role) -> (first name, woman, born)
FIXED = {
    ("Aebi", "b0"): ("Hans", False, 1932),
    ("Aebi", "c"): ("Ruedi", False, 1961),
    ("Aebi", "d"): ("Nadja", True, 1984),
    ("Aebi", "e"): ("Levin", False, 2010),
    ("Aebi", "a1"): ("Emil", False, 1914),
    ("Aebi", "b1"): ("Theo", False, 1940),
    ("Bigler", "b0"): ("Alexander", False, 1929),
    ("Bigler", "d0"): ("Jonas", False, 1992),
    ("Zaugg", "d"): ("Lena", True, 2001),
}

# who changed clubs: family, role, the new club, the year
MOVES = [
    ("Tieffenacher", "d1", "aarwald", 2025),
    ("Dorfacher", "d0", "eschlisried", 2025),
    ("Hubelmann", "e", "birkenfluh", 2026),
    ("Gfellmatter", "d0", "ginsterwil", 2018),
    ("Sägimann", "d1", "nebelschwand", 2021),
    ("Wegmüllner", "wife", "tiefenschuer", 2016),
    ("Lanzacher", "d0", "sommerhubel", 2019),
    ("Nussacher", "c", "fuchsmattigen", 1999),
    ("Hirsmatter", "d", "birkenfluh", 2022),
]

MINOR_COMMENTS = (
    "birth year left out: a minor",
    "birth year left out until of age",
    "still a minor, so no birth year",
)


class Register:
    """Collects the people and keeps their stems apart."""

    def __init__(self) -> None:
        self.people: dict[str, Person] = {}
        self.roles: dict[tuple[str, str], Person] = {}

    def add(
        self, club: str, family: str, role: str, born: int, woman: bool, parents: list[Person]
    ) -> Person:
        rng = dice("person", family, role)
        first = ""
        if (family, role) in FIXED:
            first, woman, born = FIXED[family, role]
        first = first or self.free_name(family, born, woman, rng)
        person = Person(
            stem=slug(f"{family}-{first}"),
            first=first,
            family=family,
            woman=woman,
            born=born,
            clubs=[(club, joined(club, born, woman, rng))],
            parents=[parent.stem for parent in parents],
            skill=skill(club, family, rng),
            show_born=born < FIRST_UNSHOWN and rng.randint(1, 100) > 6,
        )
        self.people[person.stem] = person
        self.roles[family, role] = person
        return person

    def free_name(self, family: str, born: int, woman: bool, rng: Random) -> str:
        reserved = [fixed[0] for (known, _), fixed in FIXED.items() if known == family]
        names = first_names(born, woman)
        rng.shuffle(names)
        return next(
            name
            for name in names
            if slug(f"{family}-{name}") not in self.people and name not in reserved
        )


def joined(club: str, born: int, woman: bool, rng: Random) -> int:
    year = born + rng.randint(9, 15)
    if woman:  # hardly a club took girls earlier
        year = max(year, 1990 + rng.randint(0, 6))
    return max(year, BY_STEM[club].founded)


def skill(club: str, family: str, rng: Random) -> int:
    of_family = dice("family", family).randint(-9, 9)
    return 116 + BY_STEM[club].strength + of_family + rng.randint(-24, 30)


def older_people(register: Register, club: str, family: str) -> Person:
    """Two brothers and their sons, long retired; the one today's line comes from."""
    rng = dice("old", family)
    home = "oberaar" if family == OBERAAR_FAMILY else club
    uncle = register.add(home, family, "a1", rng.randint(1911, 1919), False, [])
    father = register.add(home, family, "a0", rng.randint(1901, 1907), False, [])
    heir = register.add(home, family, "b0", father.born + rng.randint(22, 26), False, [father])
    register.add(home, family, "b1", uncle.born + rng.randint(24, 27), False, [uncle])
    if home == "oberaar":
        for role in ("a0", "a1", "b0", "b1"):
            person = register.roles[family, role]
            if person.born > 1908:
                person.clubs.append(("aarwald", OBERAAR_JOINED))
    return heir


def one_old_person(register: Register, club: str, family: str) -> Person:
    rng = dice("old", family)
    return register.add(club, family, "b0", rng.randint(1926, 1932), False, [])


def line(register: Register, club: str, family: str, parents: list[Person]) -> None:
    """Three generations in one team."""
    rng = dice("line", family)
    base = max([1951] + [parent.born + 23 for parent in parents])
    eldest = register.add(club, family, "c", base + rng.randint(0, 4), False, parents)
    middle = register.add(
        club, family, "d", eldest.born + rng.randint(23, 28), rng.random() < 0.35, [eldest]
    )
    register.add(club, family, "e", middle.born + rng.randint(24, 30), rng.random() < 0.5, [middle])


def siblings(register: Register, club: str, family: str, parents: list[Person]) -> None:
    rng = dice("siblings", family)
    woman = not parents and rng.random() < 0.25
    elder = register.add(club, family, "c", rng.randint(1961, 1969), woman, parents)
    first = elder.born + rng.randint(25, 31)
    register.add(club, family, "d0", first, rng.random() < 0.3, [elder])
    register.add(club, family, "d1", first + rng.randint(2, 6), rng.random() < 0.45, [elder])


def couple(
    register: Register, club: str, family: str, parents: list[Person], in_law: Person
) -> None:
    """A daughter of another family of the club, her husband and their child."""
    rng = dice("couple", family)
    born = max(rng.randint(1971, 1976), in_law.born + 21)
    husband = register.add(club, family, "c", born - rng.randint(0, 4), False, parents)
    wife = register.add(club, family, "wife", born, True, [in_law])
    wife.also_written.append(f"{wife.first} {in_law.family}")
    register.add(club, family, "d", born + rng.randint(25, 37), rng.random() < 0.5, [husband, wife])


def club_people(register: Register, club: str) -> None:
    families = FAMILIES[club].split()
    known = OLD_FAMILIES.get(club, 0)
    for number, (family, shape) in enumerate(zip(families, SHAPES, strict=True)):
        parents = []
        if number < known:
            older = older_people if known == 7 else one_old_person
            parents = [older(register, club, family)]
        if shape == "couple":
            origin = families[number - 1 if number == 5 else 0]
            in_law = register.roles.get((origin, "b0")) or register.roles[origin, "c"]
            couple(register, club, family, parents, in_law)
        else:
            shape_of = line if shape == "line" else siblings
            shape_of(register, club, family, parents)


def add_moves(register: Register) -> None:
    for family, role, club, year in MOVES:
        person = register.roles[family, role]
        person.clubs.append((club, max(year, person.clubs[-1][1] + 2)))


def add_spellings(register: Register) -> None:
    for person in register.people.values():
        long_form = LONG_FORMS.get(person.first)
        if long_form and dice("spelling", person.stem).random() < 0.5:
            person.also_written.append(f"{long_form} {person.family}")
            if person.born < 1950:
                person.also_written.append(f"{long_form[0]}. {person.family}")
    register.people["aebi-ruedi"].also_written = ["Rudolf Aebi", "R. Aebi"]
    register.people["aebi-ruedi"].clubs = [("aarwald", 1979)]
    register.people["aebi-ruedi"].skill = 152
    for stem in ("aebi-ruedi", "aebi-hans"):
        register.people[stem].show_born = True


def add_comments(register: Register) -> None:
    minors = [person for person in register.people.values() if person.born >= FIRST_UNSHOWN]
    for person, comment in zip(minors[::3], MINOR_COMMENTS, strict=False):
        person.comment = comment
    unsure = [
        person for person in register.people.values() if not person.show_born and person.born < 1990
    ]
    wordings = ("never gave a birth year", "birth year to be asked for", "year not in the old book")
    for person, comment in zip(unsure, wordings, strict=False):
        person.comment = comment
    register.roles[OBERAAR_FAMILY, "b0"].comment = "came over with the rest of Oberaar"


def all_people() -> dict[str, Person]:
    register = Register()
    for club in PRESENT:
        club_people(register, club)
    add_moves(register)
    add_spellings(register)
    add_comments(register)
    return register.people


def roster(people: dict[str, Person], club: str, year: int) -> list[Person]:
    """Who may play for a club's first team that year, in the order they bat."""
    members = [
        person
        for person in people.values()
        if person.club_in(year) == club and 12 <= year - person.born <= 78
    ]
    order = dice("order", club, year)
    keyed = [(order.randint(0, 999), person.stem, person) for person in members]
    return [person for _, _, person in sorted(keyed, key=lambda entry: entry[:2])]
