"""What the secretaries noted beside the figures."""

from __future__ import annotations

from .model import dice

# wording, tenths of a point a strike, how hard the nouss is to see
WEATHER = [
    ("clear, light cross wind", 0, 0),
    ("sunny and dry, hardly a breath", 4, 0),
    ("overcast, no wind", 2, 0),
    ("Bise, cold and steady", -7, 0),
    ("Föhn, gusts from the left", -4, 1),
    ("drizzle until the break", -7, 1),
    ("low cloud and a white sky, the nouss hard to see", -4, 3),
    ("bright, sun in the fielders' eyes", 4, 2),
    ("morning fog, clearing by ten", -3, 2),
    ("warm, tail wind", 10, 0),
    ("light rain in the second inning", -6, 1),
    ("fresh after a wet night, soft ground", -2, 0),
    ("hazy", 0, 1),
    ("hot, thunder far off", 3, 1),
    ("changeable", 0, 0),
    ("grey but dry", 0, 0),
    ("head wind, freshening", -11, 0),
    ("westerly, strong at times", -7, 1),
    ("cool and still", 2, 0),
    ("sun and fat clouds", 2, 1),
]

NOTES = [
    "start put off by half an hour, the strip was still wet",
    "second Bock borrowed from the hosts",
    "two boards broken, the captains agreed to share",
    "school brass played in the break",
    "coffee and Nussgipfel from the Landfrauen",
    "four nousse lost in the maize",
    "first match on the new Bock",
    "sheet signed in pencil, gone over in ink at home",
    "long search in the hay, forty minutes lost",
    "a good crowd, two hundred or so",
    "cows moved off the strip at a quarter past twelve",
    "flag at half mast for old Kobi, who kept the clay for thirty years",
    "stakes at 15 and 16 reset in the break",
    "a glider landed behind the strip, everybody waved",
    "visitors came by bicycle",
    "church fair next door, bells during the first inning",
    "the clay was too dry, water fetched twice",
    "television crew on the meadow, left before the second inning",
    "played on the lower strip",
    "one strike repeated with both captains' consent",
    "hosts' tent blown over, nothing broken",
    "cake raffle for the juniors brought in 412 francs",
    "third attempt needed more often than anyone liked",
    "second inning begun at half past three",
    "finished by floodlight of two tractors",
    "the old Ries poles used for the last time",
    "supper of Älplermagronen for both sides",
    "everybody home in time for the milking",
    "the fielders asked for a longer pause, granted",
    "juniors ran the figures on the board, without a slip",
    "mown only on Saturday, long grass behind the 20",
    "half an hour's wait for a balloon to pass",
    "song and glass of white wine afterwards",
    "anniversary match, old sheets shown in the barn",
    "two strips in use, the second team played beside",
    "a stray dog took a nouss at the 8 and kept it",
    "tractor stuck at the 12, pulled out in the break",
    "Schiedsrichter measured the strip again, all in order",
    "meal at the Kreuz, speeches short",
    "the new Schindeln are lighter, opinions divided",
]

CLEAN_NOTES = [
    "clean on both sides",
    "no Nummer all day, loud applause from the old ones",
    "sauber hier und dort",
    "every nouss stopped, so the points had to settle it",
    "both sides without a Nummer",
]

NUMMER_NOTES = [
    "poor sight, Nummern in both innings",
    "a black day at the boards",
    "white sky, half of the Nummern were never seen coming",
    "the fielding broke down in the middle of the order",
    "long faces in the strip",
]

OPENINGS = [
    "typed from the paper sheet on Monday evening",
    "copied by the home secretary, read back to the visitors by phone",
    "second copy, the first one got rained on",
    "from the carbon copy",
    "typed at the table in the clubhouse",
    "abgeschrieben am Montag",
    "paper sheet in the season folder, green binder",
    "entered in the train home",
    "copied twice and compared",
    "the visitors' copy, ours is with the referee",
]

CAME_IN = [
    "came in for {first}",
    "for {first} from here on",
    "took over from {first}",
    "für {first}",
    "relieved {first}",
    "entered when {first} left",
]

CAME_IN_AT_THE_BREAK = [
    "in for {first} after the break",
    "second inning in {first}'s place",
    "after the break for {first}",
    "second inning only",
]

WENT_OUT = [
    "left early",
    "had to be at the cheese dairy by four",
    "off to the brass band",
    "called home, calving",
    "fetched by the fire brigade",
    "had a train to catch",
    "",
    "changed with {first}",
    "called to the alp",
    "gave up the place for {first}",
    "on duty",
]

WENT_OUT_AT_THE_BREAK = [
    "first inning only",
    "left in the break",
    "to a christening in the afternoon",
    "gave up the place after the break",
    "up to the break, as agreed",
    "",
    "had to be home for the milking",
]

CAME_LATE = [
    "missed the bus, there from the second inning",
    "came late from the early shift",
    "arrived for the second inning",
    "stuck behind the cattle drive",
    "",
    "second inning only",
    "overslept, will hear of it",
    "there after the break",
    "straight from church",
]

ROW_COMMENTS = [
    "struck with the new Stecken",
    "back after a year abroad",
    "only two attempts needed all day",
    "struck last by own wish",
    "birthday",
    "borrowed Stecken",
    "nickname only on paper",
    "written in by hand at the foot of the sheet",
    "struck from the short Bock",
    "changed the Stecken after the first inning",
    "named as substitute on paper",
    "in good form",
    "order swapped with the neighbour",
    "long wait before the second strike",
    "paper has the first name wrong",
    "third attempt every time",
    "straight from the early shift",
    "kept the board at the 12",
    "grandmother's Stecken",
    "was not sure of a place until Saturday",
]

SUPERNUMERARY_NUMMER = [
    "the Nummer counts for nobody",
    "N not charged, struck beyond the eighteen",
    "",
    "",
    "",
]

REPLACEMENT_ABOVE = [
    "one short, Ersatzstreiche shared out",
    "only seventeen there",
    "for the missing eighteenth",
    "Ersatzstreiche, drawn by lot",
    "made for {first}, who was at a wedding",
    "strikes for {first}, away with the choir",
    "one place empty: {first} on holiday",
]

SUPERNUMERARY_ABOVE = [
    "beyond the eighteen",
    "Überzählige",
    "struck after the team",
    "for themselves only",
    "the juniors' turn",
    "also struck",
]

PAPER_ABOVE = [
    "as signed by both captains",
    "totals from the foot of the sheet",
    "paper, for the control",
    "what the signed sheet says",
]

TEAM_COMMENTS = [
    "black caps",
    "new shirts",
    "all there for once",
    "came with the small bus",
    "without their regular captain",
    "batting order by lot",
    "in last year's order",
]

POOLS = {
    "came_in": CAME_IN,
    "came_late": CAME_LATE,
    "clean": CLEAN_NOTES,
    "notes": NOTES,
    "nummern": NUMMER_NOTES,
    "opening": OPENINGS,
    "paper": PAPER_ABOVE,
    "replacement": REPLACEMENT_ABOVE,
    "row": ROW_COMMENTS,
    "extra": SUPERNUMERARY_ABOVE,
    "team": TEAM_COMMENTS,
    "went_out": WENT_OUT,
    "came_in_at_the_break": CAME_IN_AT_THE_BREAK,
    "went_out_at_the_break": WENT_OUT_AT_THE_BREAK,
    "extra_nummer": SUPERNUMERARY_NUMMER,
}


class Deck:
    """Deals wordings without repeating one before all have been out."""

    def __init__(self, wordings: list[str], *seed: object) -> None:
        self.wordings = wordings
        self.rng = dice("deck", *seed)
        self.left: list[str] = []

    def deal(self, **names: str) -> str:
        if not self.left:
            self.left = list(self.wordings)
            self.rng.shuffle(self.left)
        return self.left.pop().format(**names)
