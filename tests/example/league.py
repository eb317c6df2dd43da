"""The seasons that are known strike by strike, with what was written around them."""

from __future__ import annotations

from random import Random

from . import specials
from .clubs import club_of
from .match import ZONE, LineUp, late_arrival, play
from .model import Person, Row, Sheet, Side, dice, nummern_struck, ries_totals, value
from .names import REFEREES
from .people import roster
from .prose import POOLS, WEATHER, Deck
from .schedule import FESTIVAL, LEAGUE, PLAYED_ROUNDS, SUNDAYS, Fixture, festival_fixtures, fixtures
from .sealing import Sealing


class Season:
    """One season's sheets; wordings are dealt from decks, so that none wears out."""

    def __init__(self, people: dict[str, Person], year: int, decks: dict[str, Deck]) -> None:
        self.people = people
        self.year = year
        self.decks = decks
        self.sealing = Sealing(people, year)

    def sheets(self) -> list[Sheet]:
        played = [
            fixture
            for fixture in fixtures(self.year)
            if fixture.competition == FESTIVAL
            or (fixture.competition == LEAGUE and fixture.round <= PLAYED_ROUNDS[self.year])
        ]
        return [self.sheet(fixture) for fixture in played]

    def sheet(self, fixture: Fixture) -> Sheet:
        rng = dice("match", fixture.competition, fixture.date, fixture.home)
        weather = self.weather(fixture)
        home, away, lined = play(self.people, fixture.home, fixture.away, self.year, weather, rng)
        sheet = Sheet(self.year, fixture.competition, fixture.round, fixture.date, home, away)
        special = specials.find(fixture)
        self.around(sheet, weather[0], rng)
        for side, part in zip(sheet.sides(), lined, strict=True):
            self.lines(side, part, rng)
            side.captain = self.captain(side)
        if special:
            special(sheet)
        if sheet.home.rows and special is not specials.draft:
            self.controls(sheet, rng)
            self.summary(sheet, rng)
        self.sealing.seal(sheet)
        return sheet

    def weather(self, fixture: Fixture) -> tuple[str, int, int]:
        rng = dice("weather", fixture.date)
        # the valley has one sky a day, with a variation here and there
        if dice("weather", fixture.date, fixture.home).randint(1, 3) == 1:
            rng = dice("weather", fixture.date, fixture.home, "own")
        return WEATHER[rng.randrange(len(WEATHER))]

    def around(self, sheet: Sheet, weather: str, rng: Random) -> None:
        if sheet.competition == FESTIVAL:
            homes = [f.home for f in festival_fixtures() if f.round == sheet.round]
            strip = homes.index(sheet.home.team) + 1
            sheet.text["ground"] = f"Oberhang festival field, strip {strip}"
        elif rng.randint(1, 10) <= 6:
            sheet.text["ground"] = club_of(sheet.home.team).ground
        if rng.randint(1, 10) <= 7:
            sheet.text["weather"] = weather
        if rng.randint(1, 10) <= 3:
            sheet.text["strikes_first"] = "away"
        if rng.randint(1, 10) <= 7:
            sheet.referees = rng.sample(REFEREES, rng.choice([1, 1, 1, 2]))
        if rng.randint(1, 10) <= 3:
            sheet.above["competition"] = self.decks["opening"].deal()

    def captain(self, side: Side) -> str:
        order = dice("captain", side.team, self.year)
        members = [
            person.stem
            for person in roster(self.people, club_of(side.team).stem, self.year)
            if self.year - person.born > 25
        ]
        chosen = order.sample(members, 2)
        if side.team == "aarwald-a":
            chosen = ["aebi-ruedi", "bigler-jonas"]
        there = [row.player for row in side.rows]
        return next((stem for stem in chosen if stem in there), "")

    def lines(self, side: Side, lined: LineUp, rng: Random) -> None:
        if lined.replaced and lined.substitute and rng.randint(1, 10) <= 7:
            self.handover(side, lined.replaced, lined.substitute)
        if lined.short and rng.randint(1, 10) <= 6:
            wording = self.decks["replacement"].deal(first=lined.missing[0].first)
            side.above["replacements"] = wording
        if side.supernumeraries and rng.randint(1, 10) <= 4:
            side.above["supernumeraries"] = self.decks["extra"].deal()
        ordinary = not (lined.short or lined.supernumerary or lined.substitute)
        if ordinary and rng.randint(1, 10) <= 3:
            late = late_arrival(side, rng)
            late.behind = self.decks["came_late"].deal()
        if rng.randint(1, 100) <= 30:
            self.remark(side.rows, rng)
        if rng.randint(1, 100) <= 8:
            side.behind["team"] = self.decks["team"].deal()
        if side.supernumeraries and rng.randint(1, 10) <= 2:
            self.supernumerary_nummer(side.supernumeraries[0])

    def handover(self, side: Side, left: Person, came: Person) -> None:
        row = side.row(left.stem)
        when = "_at_the_break" if row.cells[1] == ["x", "x"] and "x" not in row.cells[0] else ""
        row.behind = self.decks["went_out" + when].deal(first=came.first)
        side.row(came.stem).behind = self.decks["came_in" + when].deal(first=left.first)

    def supernumerary_nummer(self, row: Row) -> None:
        """Nummern off such strikes count for nobody, but they are written down."""
        inning = row.cells[1]
        if inning[0].isdigit() and value(inning[0]) in ZONE:
            inning[0] += "N"
            row.behind = self.decks["extra_nummer"].deal()

    def remark(self, rows: list[Row], rng: Random) -> None:
        row = rows[rng.randrange(len(rows))]
        if row.behind:
            return
        wording = self.decks["row"].deal()
        if rng.randint(1, 4) == 1:
            row.above = f"{self.people[row.player].first}: {wording}"
        else:
            row.behind = wording

    def controls(self, sheet: Sheet, rng: Random) -> None:
        """Totals from the signed paper; many secretaries copy them, some only in part."""
        if sheet.home.paper or "outcome" in sheet.text or rng.randint(1, 10) > 4:
            return
        kept = rng.choice(
            [
                "ries points nummern",
                "ries points nummern",
                "points nummern",
                "points",
                "ries points",
            ]
        ).split()
        for side, other in (sheet.sides(), sheet.sides()[::-1]):
            side.paper = {key: full_paper(side, other)[key] for key in kept}
            if rng.randint(1, 6) == 1:
                side.above["paper"] = self.decks["paper"].deal()

    def summary(self, sheet: Sheet, rng: Random) -> None:
        if "notes" in sheet.text:
            return
        count = nummern_struck(sheet.home) + nummern_struck(sheet.away)
        chance = rng.randint(1, 100)
        if count == 0 and chance <= 25:
            sheet.text["notes"] = self.decks["clean"].deal()
        elif count >= 5 and chance <= 60:
            sheet.text["notes"] = self.decks["nummern"].deal()
        elif chance <= 12:
            sheet.text["notes"] = self.best_striker(sheet)
        elif chance <= 48:
            sheet.text["notes"] = self.decks["notes"].deal()

    def best_striker(self, sheet: Sheet) -> str:
        rows = sheet.home.rows + sheet.away.rows
        points = [(sum(map(value, row.struck())), row.player) for row in rows]
        best, player = max(points)
        if [entry[0] for entry in points].count(best) > 1:
            return f"two and more at the top of the strikers with {best}"
        return f"best of the day: {self.people[player].name} with {best}"


def recent_sheets(people: dict[str, Person]) -> list[Sheet]:
    decks = {key: Deck(pool, key) for key, pool in POOLS.items()}
    return [sheet for year in SUNDAYS for sheet in Season(people, year, decks).sheets()]


def full_paper(side: Side, other: Side) -> dict[str, object]:
    totals = ries_totals(side)
    return {"ries": totals, "points": sum(totals), "nummern": nummern_struck(other)}
