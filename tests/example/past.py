"""The older seasons, pieced together from what survived."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from .clubs import club_of
from .match import nummern_count
from .model import Person, Sheet, Side, dice
from .prose import Deck
from .schedule import LEAGUE, two_cycles

SIDE = 16
LONGEST_RIES_SINCE = 1979
DRAWN = (1958, 1988)
BEST_NAMED = "1988-09-18-aarwald-a-eschlisried-a"


@dataclass(frozen=True)
class OldSeason:
    year: int
    teams: str
    first_sunday: date
    sheets: int
    rules: str
    kinds: str  # how the sources are spread, one letter each

    def team_list(self) -> list[str]:
        return [f"{club}-a" for club in self.teams.split()]

    @property
    def columns(self) -> int:
        return 6 if self.rules == "1958" else 4


# p paper-sheet, n newspaper, b minute-book, l letter, m memory
OLD_SEASONS = [
    OldSeason(
        1958,
        "aarwald birkenfluh oberaar nebelschwand steinhubelmoos",
        date(1958, 4, 20),
        17,
        "1958",
        "pppppnnnnbbbllmmm",
    ),
    OldSeason(
        1965,
        "birkenfluh aarwald steinhubelmoos nebelschwand oberaar fuchsmattigen",
        date(1965, 4, 25),
        17,
        "1958",
        "ppppnnnbbbbbblmmm",
    ),
    OldSeason(
        1971,
        "aarwald oberaar birkenfluh sommerhubel eschlisried nebelschwand",
        date(1971, 4, 18),
        16,
        "1958",
        "ppppppnnnbbbllmm",
    ),
    OldSeason(
        1979,
        "aarwald birkenfluh nebelschwand fuchsmattigen sommerhubel steinhubelmoos",
        date(1979, 4, 22),
        18,
        "1979",
        "ppppppppnnnnbbblmm",
    ),
    OldSeason(
        1988,
        "birkenfluh aarwald nebelschwand eschlisried ginsterwil fuchsmattigen",
        date(1988, 4, 17),
        16,
        "1979",
        "ppnnnnnnnbblllmm",
    ),
    OldSeason(
        1996,
        "aarwald ginsterwil birkenfluh nebelschwand sommerhubel tiefenschuer",
        date(1996, 4, 14),
        18,
        "1979",
        "pppppppppnnnnbblmm",
    ),
]

KINDS = {"p": "paper-sheet", "n": "newspaper", "b": "minute-book", "l": "letter", "m": "memory"}

REFERENCES = {
    "p": [
        "binder {binder}, sheet {number}",
        "binder {binder}, sheet {number}, both sides",
        "binder {binder}, sheet {number}",
        "loose sheet, found in binder {binder}",
        "folded sheet, back of binder {binder}",
        "carbon copy, binder {binder}, {number}",
    ],
    "n": [
        "Oberhanger Bote, Tuesday after the match",
        "Hangtaler Volksblatt, sports page",
        "Oberhanger Bote, page 3, cutting without date",
        "Oberhanger Bote, clipped and pasted in",
        "Hangtaler Volksblatt, three lines at the foot of page {number}",
    ],
    "b": [
        "minute book, volume {binder}, page {number}",
        "minute book, volume {binder}, loose leaf",
        "treasurer's book, entry of the Monday",
        "minute book, volume {binder}, page {number}",
    ],
    "l": [
        "letter to a cousin overseas, two pages",
        "postcard, with the figures on the back",
        "letter of the captain, third page",
        "letter to the wife, who was away on the alp",
    ],
    "m": [
        "told in the Kreuz, and nobody at the table objected",
        "two people say the same, independently",
        "told by the daughter, who carried the boards",
        "remembered at a funeral, by the last of the sixteen",
    ],
}

NOTES = [
    "said to have lasted until dark",
    "protest mentioned, outcome of it unknown",
    "began after the sermon, at eleven",
    "played in the new shirts, a photograph exists",
    "moved to the upper meadow because of the hay",
    "the brass band played, it is said",
    "hailstones in the second inning",
    "the bell of Nebelschwand was cast that week",
    "a Bock broke, and another was fetched by horse",
    "first match with loudspeaker",
    "everyone went on foot",
    "the wine is praised at length, the strikes hardly",
    "supper for both sides in the barn",
    "gusts, boards blown out of hands",
]

SHEET_NOTES = [
    "sheet in two hands, pencil and ink",
    "the scribe of the time rounded nothing",
    "names abbreviated on paper, resolved with the families' help",
    "the sheet itself has no referee's name",
    "figures as given, not checked against anything",
    "back of the sheet has the bill for the supper",
    "totals added up once more, they hold",
]

DOUBTS = [
    "could also be read as {other}, ink faded",
    "{other} in the second column, corrected by a later hand",
    "torn at the fold, last figure a guess",
    "pencil, half rubbed out",
    "{other} according to the other club, which is unlikely",
    "smudged, but {other} would not fit",
    "overwritten, first figure was {other}",
]

OPENINGS = [
    "found in autumn, with three others",
    "the scan is with the league's archivist",
    "transcribed from a photograph",
    "read aloud to me, so spellings are mine",
    "copied once before, with mistakes",
    "to be compared with the other club's copy some day",
    "thanks to the family for the loan",
    "abgeschrieben im Dezember",
]

PLAYER_COMMENTS = [
    "initial only on paper",
    "written in later",
    "first name guessed from the family",
    "nickname only on paper",
    "on leave from the army",
    "last on the paper, added sideways",
    "family name only",
    "strike by strike illegible, the sum is clear",
]

POOLS = {
    "notes": NOTES,
    "sheet": SHEET_NOTES,
    "doubts": DOUBTS,
    "opening": OPENINGS,
    "player": PLAYER_COMMENTS,
} | REFERENCES

TRANSCRIBERS = ["Lena Zaugg", "Nadja Aebi", "Karin Fluhmatter"]


class Archive:
    """One older season's sheets."""

    def __init__(
        self, people: dict[str, Person], season: OldSeason, decks: dict[str, Deck]
    ) -> None:
        self.people = people
        self.season = season
        self.decks = decks
        self.numbers = dice("numbers", season.year).sample(range(3, 64), season.sheets)

    def sheets(self) -> list[Sheet]:
        rng = dice("archive", self.season.year)
        pairings = [
            (number, home, away)
            for number, pairs in enumerate(two_cycles(self.season.team_list()), 1)
            for home, away in pairs
        ]
        survived = sorted(rng.sample(range(len(pairings)), self.season.sheets))
        kinds = rng.sample(self.season.kinds, len(self.season.kinds))
        found = [
            self.sheet(*pairings[place], kind) for place, kind in zip(survived, kinds, strict=True)
        ]
        if self.season.year in DRAWN:
            level(next(sheet for sheet in found if by_points(sheet)))
        for sheet in found:
            if BEST_NAMED in sheet.path:
                for side, count in zip(sheet.sides(), (5, 2), strict=True):
                    self.name_best(side, count)
        return found

    def name_best(self, side: Side, count: int) -> None:
        """The best few, as a newspaper prints them beside the total."""
        rng = dice("named", self.season.year, side.team)
        best = [self.season.columns * rng.randint(118, 145) // 10 for _ in range(count)]
        chosen = rng.sample(self.eligible(side.team), count)
        names = [person.stem for person in chosen]
        side.named = list(zip(names, sorted(best, reverse=True), strict=True))

    def day(self, number: int) -> str:
        weeks = 2 * (number - 1) + (4 if number > 5 else 0)
        return (self.season.first_sunday + timedelta(weeks=weeks)).isoformat()

    def sheet(self, number: int, home: str, away: str, kind: str) -> Sheet:
        rng = dice("old match", self.season.year, number, home)
        sheet = Sheet(self.season.year, LEAGUE, number, self.day(number), Side(home), Side(away))
        for side, depth in zip(sheet.sides(), self.depths(sheet, kind, rng), strict=True):
            self.fill(side, depth, rng)
        self.settle(sheet, rng)
        self.around(sheet, kind, rng)
        return sheet

    def depths(self, sheet: Sheet, kind: str, rng: Random) -> list[str]:
        """How much the source still tells of either side."""
        if kind == "m":
            return ["none", "none"]
        if kind == "p":
            found = [self.best_depth(side) for side in sheet.sides()]
            if rng.randint(1, 4) == 1:
                found[rng.randrange(2)] = rng.choice(["ries", "points"])
            return found
        if kind == "n":
            return rng.choice([["points", "points"], ["points", "points"], ["ries", "ries"]])
        if kind == "b":
            return [rng.choice([self.best_depth(sheet.home), "ries", "points"]), "points"]
        return rng.choice([["points", "none"], ["none", "points"], ["points", "points"]])

    def best_depth(self, side: Side) -> str:
        return "players" if len(self.eligible(side.team)) >= SIDE else "ries"

    def eligible(self, team: str) -> list[Person]:
        year, club = self.season.year, club_of(team).stem
        return [
            person
            for person in self.people.values()
            if person.club_in(year) == club and 15 <= year - person.born <= 68
        ]

    def fill(self, side: Side, depth: str, rng: Random) -> None:
        if depth == "none":
            return
        level = 98 + club_of(side.team).strength + rng.randint(-9, 9)
        if depth == "players":
            self.fill_players(side, rng)
        else:
            ries = [
                SIDE * (level + rng.randint(-8, 8)) // 10 + rng.randint(-4, 4)
                for _ in range(self.season.columns)
            ]
            side.ries = ries if depth == "ries" else []
            side.points = sum(ries) if depth == "points" else None
        side.nummern = nummern_count(side.team, 1, rng)

    def fill_players(self, side: Side, rng: Random) -> None:
        chosen = rng.sample(self.eligible(side.team), SIDE)
        for person in chosen:
            each = person.strength_in(self.season.year) - 18
            points = self.season.columns * (each + rng.randint(-16, 16)) // 10
            side.player_points.append((person.stem, points, ""))
        if rng.randint(1, 3) == 1:
            spot = rng.randrange(SIDE)
            stem, points, _ = side.player_points[spot]
            side.player_points[spot] = (stem, points, self.decks["player"].deal())

    def settle(self, sheet: Sheet, rng: Random) -> None:
        """Names the winner where the figures cannot."""
        if all(side.nummern is not None for side in sheet.sides()):
            return
        strong = [club_of(side.team).strength + rng.randint(-15, 15) for side in sheet.sides()]
        draw = strong[0] == strong[1]
        sheet.text["winner"] = "draw" if draw else "home" if strong[0] > strong[1] else "away"

    def around(self, sheet: Sheet, kind: str, rng: Random) -> None:
        if rng.randint(1, 100) <= 35:
            sheet.text["notes"] = self.decks["sheet" if kind == "p" else "notes"].deal()
        if kind != "m" and rng.randint(1, 100) <= 25:
            sheet.above["competition"] = self.decks["opening"].deal()
        binder = 1 + (self.season.year - 1958) // 12
        reference = self.decks[kind].deal(binder=str(binder), number=str(self.numbers.pop()))
        sheet.source = {"kind": KINDS[kind], "reference": reference}
        if rng.randint(1, 3) == 1:
            sheet.source["transcribed_by"] = rng.choice(TRANSCRIBERS)
            sheet.source["on"] = f"2025-{rng.randint(10, 12)}-{rng.randint(10, 28)}"
        if kind != "m" and rng.randint(1, 100) <= 35:
            self.doubt(sheet, rng)

    def doubt(self, sheet: Sheet, rng: Random) -> None:
        key = rng.choice(["home", "away"])
        side = getattr(sheet, key)
        if side.player_points:
            stem, points, _ = side.player_points[rng.randrange(SIDE)]
            place = f"{key}.player_points.{stem}"
        elif side.points is not None:
            points, place = side.points, f"{key}.points"
        elif side.nummern is not None:
            points, place = side.nummern, f"{key}.nummern"
        else:
            return
        other = points + rng.choice([3, 4, 6, 10]) if points > 9 else points + 1
        sheet.doubts.append((place, self.decks["doubts"].deal(other=str(other))))


def by_points(sheet: Sheet) -> bool:
    known = all(side.points is not None for side in sheet.sides())
    return known and sheet.source["kind"] == "newspaper" and not sheet.doubts


def level(sheet: Sheet) -> None:
    """The same figures on both sides; where a Ries could decide, it is not known."""
    sheet.away.points, sheet.away.nummern = sheet.home.points, sheet.home.nummern
    if sheet.season >= LONGEST_RIES_SINCE:
        sheet.text["winner"] = "draw"
    sheet.text["notes"] = "unentschieden, the cutting says so in bold"


def old_sheets(people: dict[str, Person]) -> list[Sheet]:
    decks = {key: Deck(pool, "old", key) for key, pool in POOLS.items()}
    return [sheet for season in OLD_SEASONS for sheet in Archive(people, season, decks).sheets()]
