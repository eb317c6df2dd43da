"""Faults between files: sheets, their season, and the register."""

from tests.clubfolder import (
    AARWALD,
    CLUB_FOLDER,
    FIRST,
    FIRST_SHEET,
    FIXTURES,
    HANS,
    LENA,
    MATCHES,
    RUEDI,
    RULES,
    SEASON,
    SECOND,
    Delete,
    Replace,
    Write,
)
from tests.problem_cases.model import Case, NearMiss

_COPY = f"{MATCHES}/2026-04-12-birkenfluh-a-aarwald-a.yaml"
_ELSEWHERE = f"{MATCHES}/2026-04-12-aarwald-b-birkenfluh-a.yaml"


def _for_the_second_team(date: str) -> Write:
    return Write(
        _ELSEWHERE,
        f"""\
competition: oberhang-1
date: {date}
home:
  team: aarwald-b
  player_points: {{aebi-ruedi: 66, zaugg-lena: 51}}
  nummern: 0
away:
  team: birkenfluh-a
  points: 88
  nummern: 0
""",
    )


_PARTS = """\

[[competition.parts]]
id = "morning"
name = "First part"
rules = "2026"

[[competition.parts]]
id = "afternoon"
name = "Second part"
rules = "2026"
"""
IN_PARTS = Write(SEASON, CLUB_FOLDER[SEASON] + _PARTS)
_OF_CUP = Replace(SECOND, "oberhang-1", "oberhang-cup")

_RULINGS = "seasons/2026/rulings.toml"


def _ruling(figure: str) -> Write:
    return Write(
        _RULINGS,
        f"""\
[[ruling]]
competition = "oberhang-1"
on = 2026-06-20
by = "match commission"
team = "aarwald-a"
{figure}
reason = "player without a licence in round 2"
""",
    )


_PUT_OFF = f"{MATCHES}/2026-04-12-aarwald-a-birkenfluh-a-put-off.yaml"


def _put_off(moved_to: str) -> str:
    return f"""\
competition: oberhang-1
round: 1
date: 2026-04-12
outcome: postponed
moved_to: {moved_to}
home: {{team: aarwald-a}}
away: {{team: birkenfluh-a}}
"""


def _add_fixture(
    round_line: str, date: str, home: str, away: str, competition: str = "oberhang-1"
) -> Write:
    return Write(
        FIXTURES,
        f"""\
{CLUB_FOLDER[FIXTURES]}
[[fixture]]
competition = "{competition}"
{round_line}
date = {date}
home = "{home}"
away = "{away}"
""",
    )


_WOMEN = Write(
    RULES,
    f"""\
{CLUB_FOLDER[RULES]}
[[classes]]
id = "women"
name = "Women"

[[classes]]
id = "youth-2"
name = "Youth, level 2"
ages = {{from = 11, to = 13}}
""",
)

CASES = (
    Case(
        code="unknown-competition",
        title="A sheet's competition is not in its season.",
        edits=[Replace(SECOND, "oberhang-1", "oberhang-2")],
        path=SECOND,
        excerpt="competition: oberhang-2",
        points_at="oberhang-2",
        says="season 2026 has no competition `oberhang-2`",
        advises="did you mean oberhang-1",
        near_miss=NearMiss(
            title="Another competition of the season.",
            edits=[Replace(SECOND, "oberhang-1", "oberhang-cup")],
            also=("fixture-differs",),
        ),
    ),
    Case(
        code="unknown-part",
        title="A sheet of a festival in parts does not say which.",
        edits=[IN_PARTS, _OF_CUP],
        path=SECOND,
        excerpt="competition: oberhang-cup",
        points_at="oberhang-cup",
        says="`oberhang-cup` is struck in parts, and it is not said which this is",
        advises="write `part: morning`; its parts are morning, afternoon",
        also=("fixture-differs",),
        near_miss=NearMiss(
            title="It says its part.",
            edits=[IN_PARTS, Replace(SECOND, "oberhang-1", "oberhang-cup\npart: afternoon")],
            also=("fixture-differs",),
        ),
    ),
    Case(
        code="unknown-team",
        title="A sheet names a team that no club has.",
        edits=[Replace(SECOND, "team: aarwald-a", "team: aarwald-c")],
        path=SECOND,
        excerpt="  team: aarwald-c",
        points_at="aarwald-c",
        says="no club declares the team `aarwald-c`",
        advises="did you mean aarwald-",
        near_miss=NearMiss(
            title="The club declares the team, and the season lists it.",
            edits=[
                Replace(SECOND, "team: aarwald-a", "team: aarwald-c"),
                Replace(AARWALD, "b: Aarwald B", "b: Aarwald B, c: Aarwald C"),
                Replace(SEASON, '"aarwald-b", ', '"aarwald-b", "aarwald-c", '),
                Replace(SECOND, "date: 2026-05-10", "date: 2026-05-03"),
            ],
        ),
    ),
    Case(
        code="team-not-in-competition",
        title="A sheet's team does not play in its competition.",
        edits=[
            Replace(SECOND, "team: birkenfluh-a", "team: birkenfluh-b"),
            Replace(SECOND, "round: 2", "round: 3"),
            Replace(SECOND, "2026-05-10", "2026-05-03"),
        ],
        path=SECOND,
        excerpt="  team: birkenfluh-b",
        points_at="birkenfluh-b",
        says="`birkenfluh-b` does not play in `oberhang-1`",
        advises="season.toml lists aarwald-a, aarwald-b, birkenfluh-a",
        near_miss=NearMiss(
            title="A competition that lists no teams is open to all.",
            edits=[
                Replace(SECOND, "team: birkenfluh-a", "team: birkenfluh-b"),
                Replace(SECOND, "oberhang-1", "oberhang-cup"),
            ],
        ),
    ),
    Case(
        code="unknown-player",
        title="A player's identifier is misspelt.",
        edits=[Replace(FIRST, "    aebi-ruedi:", "    aebi-rudi:")],
        path=FIRST,
        excerpt="    aebi-rudi: [[18, 20], [17, 19]]",
        points_at="aebi-rudi",
        says="the player `aebi-rudi` has no file in players/",
        advises="did you mean aebi-ruedi (Ruedi Aebi)",
        near_miss=NearMiss(
            title="The player has a file.",
            edits=[
                Replace(FIRST, "    aebi-ruedi:", "    aebi-rudi:"),
                Write("players/aebi-rudi.yaml", "name: Rudi Aebi\n"),
            ],
        ),
    ),
    Case(
        code="date-outside-season",
        title="A sheet lies in the wrong year.",
        edits=[Replace(SECOND, "date: 2026-05-10", "date: 2025-05-10")],
        path=SECOND,
        excerpt="date: 2025-05-10",
        points_at="2025-05-10",
        says="2025-05-10 is not in the season 2026",
        advises="a sheet of that year belongs in seasons/2025/matches/",
        near_miss=NearMiss(
            title="The last day of the year.",
            edits=[Replace(SECOND, "date: 2026-05-10", "date: 2026-12-31")],
            also=("fixture-differs",),
        ),
    ),
    Case(
        code="same-match-twice",
        title="A match was entered by both clubs.",
        edits=[
            Write(
                _COPY,
                FIRST_SHEET.replace("round: 1\n", "")
                .replace("home:", "AWAY:")
                .replace("away:", "home:")
                .replace("AWAY:", "away:"),
            )
        ],
        path=_COPY,
        excerpt="date: 2026-04-12",
        points_at="2026-04-12",
        says=f"this match already has a sheet: {FIRST}",
        advises="delete one of the two, or set the right date, round or teams",
        near_miss=NearMiss(
            title="The two met again on another day, without a round.",
            edits=[
                Write(
                    _COPY,
                    FIRST_SHEET.replace("round: 1\n", "").replace("2026-04-12", "2026-04-19"),
                )
            ],
        ),
    ),
    Case(
        code="unknown-club",
        title="A player belongs to a club without a file.",
        edits=[Replace(RUEDI, "club: aarwald", "club: arwald")],
        path=RUEDI,
        excerpt="clubs: [{club: arwald, from: 1979}]",
        points_at="{club",
        says="the club `arwald` has no file in clubs/",
        advises="did you mean aarwald?",
        near_miss=NearMiss(
            title="The club has a file, though no teams.",
            edits=[
                Replace(RUEDI, "club: aarwald", "club: arwald"),
                Write("clubs/arwald.yaml", "name: Arwald\n"),
            ],
        ),
    ),
    Case(
        code="unknown-parent",
        title="A player's mother has no file.",
        edits=[Replace(RUEDI, "[aebi-hans]", "[aebi-hans, aebi-vreni]")],
        path=RUEDI,
        excerpt="parents: [aebi-hans, aebi-vreni]",
        points_at="aebi-vreni",
        says="the parent `aebi-vreni` has no file in players/",
        advises="did you mean aebi-",
        near_miss=NearMiss(
            title="She has one.",
            edits=[
                Replace(RUEDI, "[aebi-hans]", "[aebi-hans, aebi-vreni]"),
                Write("players/aebi-vreni.yaml", "name: Vreni Aebi\n"),
            ],
        ),
    ),
    Case(
        code="unknown-class",
        title="A player is listed in a class that no rule set knows.",
        edits=[_WOMEN, Replace(LENA, "Zaugg\n", "Zaugg\nclasses: [woman]\n")],
        path=LENA,
        excerpt="classes: [woman]",
        points_at="woman",
        severity="warning",
        says="no rule set knows the class `woman`",
        advises="did you mean women?",
        near_miss=NearMiss(
            title="A rule set knows it.",
            edits=[_WOMEN, Replace(LENA, "Zaugg\n", "Zaugg\nclasses: [women]\n")],
        ),
    ),
    Case(
        code="class-by-age",
        title="A player is listed in a class that goes by age.",
        edits=[_WOMEN, Replace(LENA, "Zaugg\n", "Zaugg\nclasses: [women, youth-2]\n")],
        path=LENA,
        excerpt="classes: [women, youth-2]",
        points_at="youth-2",
        severity="warning",
        says="the class `youth-2` goes by age, so listing somebody in it does nothing",
        advises="delete it here; who is in it is decided by `born`",
        near_miss=NearMiss(
            title="Another rule set has the class by listing.",
            edits=[
                _WOMEN,
                Replace(LENA, "Zaugg\n", "Zaugg\nclasses: [youth-2]\n"),
                Write("rules/1994.toml", '[[classes]]\nid = "youth-2"\nname = "Youth"\n'),
            ],
        ),
    ),
    Case(
        code="parents-in-a-circle",
        title="Father and son are each other's fathers.",
        edits=[Write(HANS, "name: Hans Aebi\nparents: [aebi-ruedi]\n")],
        path=HANS,
        excerpt="parents: [aebi-ruedi]",
        points_at="aebi-ruedi",
        says="by way of `aebi-ruedi`, `aebi-hans` is among their own ancestors",
        also=("parents-in-a-circle",),
        near_miss=NearMiss(
            title="Three generations, one after the other.",
            edits=[Replace("players/zaugg-lena.yaml", "Zaugg\n", "Zaugg\nparents: [aebi-ruedi]\n")],
        ),
    ),
    Case(
        code="mergers-in-a-circle",
        title="Two clubs, each of which is said to carry on the other.",
        edits=[
            Replace(
                "clubs/aarwald.yaml",
                "name: Aarwald\n",
                "name: Aarwald\nmerged_from: [birkenfluh]\n",
            ),
            Replace(
                "clubs/birkenfluh.yaml",
                "name: Birkenfluh\n",
                "name: Birkenfluh\nmerged_from: [aarwald]\n",
            ),
        ],
        path="clubs/aarwald.yaml",
        excerpt="merged_from: [birkenfluh]",
        points_at="birkenfluh",
        says="by way of `birkenfluh`, `aarwald` would be among its own predecessors",
        also=("mergers-in-a-circle",),
        near_miss=NearMiss(
            title="A club that carries on another.",
            edits=[
                Replace(
                    "clubs/aarwald.yaml",
                    "name: Aarwald\n",
                    "name: Aarwald\nmerged_from: [birkenfluh]\n",
                )
            ],
        ),
    ),
    Case(
        code="unknown-rules",
        title="A competition points at a rule set without a file.",
        edits=[Replace(SEASON, 'kind = "cup"\nrules = "2026"', 'kind = "cup"\nrules = "2025"')],
        path=SEASON,
        excerpt='rules = "2025"',
        says="the rule set `2025` has no file in rules/",
        advises="did you mean 2026?",
        near_miss=NearMiss(
            title="A rule set that leaves everything out.",
            edits=[
                Replace(SEASON, 'kind = "cup"\nrules = "2026"', 'kind = "cup"\nrules = "2025"'),
                Write("rules/2025.toml", ""),
            ],
        ),
    ),
    Case(
        code="wrong-season",
        title="A season's file was copied and its year not changed.",
        edits=[Replace(SEASON, "season = 2026", "season = 2025")],
        path=SEASON,
        excerpt="season = 2025",
        says="the file says season 2025 but stands in seasons/2026",
        advises="write `season = 2026`, or move the folder",
        near_miss=NearMiss(
            title="Both were changed.",
            edits=[Write("seasons/2025/season.toml", "season = 2025\n")],
        ),
    ),
    Case(
        code="decision-incomplete",
        title="Who goes up is named, but not why.",
        edits=[Replace(SEASON, "cycles = 2", 'cycles = 2\npromoted = ["birkenfluh-a"]')],
        path=SEASON,
        excerpt='promoted = ["birkenfluh-a"]',
        says="`promoted` names teams, but nothing says why",
        advises='add a line promotion_note = "why"',
        near_miss=NearMiss(
            title="Who goes up is named with the reason.",
            edits=[
                Replace(
                    SEASON,
                    "cycles = 2",
                    'cycles = 2\npromoted = ["birkenfluh-a"]\npromotion_note = "the first may not"',
                )
            ],
        ),
    ),
    Case(
        code="ruling-without-figure",
        title="A ruling adds nothing.",
        edits=[_ruling("rank_points = 0")],
        path=_RULINGS,
        excerpt='team = "aarwald-a"',
        says="the ruling changes no figure of the table",
        advises="say what is added: rank_points = -2, or nummern or points",
        near_miss=NearMiss(
            title="Nummern are a figure too.", edits=[_ruling("rank_points = 0\nnummern = 1")]
        ),
    ),
    Case(
        code="two-teams-one-day",
        title="A player strikes for two teams on one day.",
        edits=[_for_the_second_team("2026-04-12")],
        path=_ELSEWHERE,
        excerpt="  player_points: {aebi-ruedi: 66, zaugg-lena: 51}",
        points_at="aebi-ruedi",
        severity="warning",
        says=f"`aebi-ruedi` also played for `aarwald-a` on 2026-04-12, in {FIRST}",
        near_miss=NearMiss(
            title="The player helps out a week later.", edits=[_for_the_second_team("2026-04-19")]
        ),
    ),
    Case(
        code="fixture-without-sheet",
        title="A fixture has no sheet although later ones have.",
        edits=[Delete(FIRST)],
        path="seasons/2026/fixtures.toml",
        excerpt="date = 2026-04-12",
        severity="warning",
        says="aarwald-a against birkenfluh-a on 2026-04-12 has no sheet, but later matches of "
        "`oberhang-1` have",
        advises=f"the sheet would be {FIRST}",
        near_miss=NearMiss(title="The last fixture is still to come.", edits=[Delete(SECOND)]),
    ),
    Case(
        code="sheet-without-fixture",
        title="A sheet has home and away exchanged.",
        edits=[
            Replace(SECOND, "team: aarwald-a", "team: aarwald-z"),
            Replace(SECOND, "team: birkenfluh-a", "team: aarwald-a"),
            Replace(SECOND, "team: aarwald-z", "team: birkenfluh-a"),
        ],
        path=SECOND,
        excerpt="date: 2026-05-10",
        points_at="2026-05-10",
        severity="warning",
        says="aarwald-a against birkenfluh-a on 2026-05-10 is not in fixtures.toml",
        advises="there birkenfluh-a is at home, in line 11",
        near_miss=NearMiss(
            title="The match was put off, and the other side had the ground on the new day.",
            edits=[
                Replace(FIRST, "date: 2026-04-12", "date: 2026-04-19"),
                Replace(FIRST, "round: 1\n", ""),
                Replace(FIRST, "home:", "AWAY:"),
                Replace(FIRST, "away:", "home:"),
                Replace(FIRST, "AWAY:", "away:"),
                Write(_PUT_OFF, _put_off("2026-04-19")),
            ],
        ),
    ),
    Case(
        code="fixture-differs",
        title="The day was mistyped in a sheet that is named by its fixture.",
        edits=[Replace(FIRST, "date: 2026-04-12", "date: 2026-12-04")],
        path=FIRST,
        excerpt="date: 2026-12-04",
        points_at="2026-12-04",
        severity="warning",
        says="the sheet says 2026-12-04, but its file's name and the fixture (fixtures.toml, line"
        " 4) say 2026-04-12",
        advises="set the right date; if the match was moved, rename the file by its new day",
        near_miss=NearMiss(
            title="The match was moved, and the file is named by its new day.",
            edits=[
                Delete(FIRST),
                Write(
                    f"{MATCHES}/2026-04-19-aarwald-a-birkenfluh-a.yaml",
                    FIRST_SHEET.replace("2026-04-12", "2026-04-19"),
                ),
            ],
        ),
    ),
    Case(
        code="fixture-twice",
        title="A fixture was entered again with another date.",
        edits=[_add_fixture("round = 1", "2026-04-26", "aarwald-a", "birkenfluh-a")],
        path=FIXTURES,
        excerpt="date = 2026-04-26",
        severity="warning",
        says="aarwald-a against birkenfluh-a stands in the list already, in line 4",
        advises="delete one of the two, or set the right date, round or teams",
        near_miss=NearMiss(
            title="The match was put off, and its new day was entered as one more fixture.",
            edits=[
                _add_fixture("round = 1", "2026-04-26", "aarwald-a", "birkenfluh-a"),
                Replace(FIRST, "date: 2026-04-12", "date: 2026-04-26"),
                Write(_PUT_OFF, _put_off("2026-04-26")),
            ],
        ),
    ),
    Case(
        code="team-twice-one-day",
        title="A cup match was planned for the day of a league match.",
        edits=[
            _add_fixture("round = 1", "2026-05-10", "birkenfluh-b", "aarwald-a", "oberhang-cup")
        ],
        path=FIXTURES,
        excerpt='date = 2026-05-10\nhome = "birkenfluh-b"',
        severity="warning",
        says="`aarwald-a` has another match on 2026-05-10: birkenfluh-a against aarwald-a in "
        "`oberhang-1`",
        advises="put one of the two on another day",
        near_miss=NearMiss(
            title="The league match was put off.",
            edits=[
                _add_fixture(
                    "round = 1", "2026-05-10", "birkenfluh-b", "aarwald-a", "oberhang-cup"
                ),
                Replace(
                    SECOND,
                    "date: 2026-05-10",
                    "date: 2026-05-10\noutcome: postponed\nmoved_to: 2026-06-21",
                ),
                Replace(SECOND, "  ries: [24, 21, 22, 20]\n  nummern: 0\n", ""),
                Replace(SECOND, "  points: 90\n  nummern: 1\n", ""),
            ],
        ),
    ),
    Case(
        code="unread-sheet",
        title="A sheet's name ends in `.yml`.",
        edits=[Write(f"{MATCHES}/2026-06-07-aarwald-b-birkenfluh-a.yml", FIRST_SHEET)],
        path=f"{MATCHES}/2026-06-07-aarwald-b-birkenfluh-a.yml",
        excerpt="competition: oberhang-1",
        says="this is not read: only files that end in .yaml are read in `matches`",
        advises="a sheet is seasons/YEAR/matches/NAME.yaml; move it there, or delete it",
        near_miss=NearMiss(
            title="The shadow that a system makes of a sheet, and a photograph of the paper.",
            edits=[
                Write(f"{MATCHES}/._2026-04-12-aarwald-a-birkenfluh-a.yaml", b"\0\5\x16\7"),
                Write(f"{MATCHES}/2026-04-12.jpg", b"\xff\xd8"),
            ],
        ),
    ),
    Case(
        code="stray-file",
        title="A file's name ends in `.yml`.",
        edits=[Write("players/zaugg-eva.yml", "name: Eva Zaugg\n")],
        path="players/zaugg-eva.yml",
        excerpt="name: Eva Zaugg",
        severity="warning",
        says="this is not read: only files that end in .yaml are read in `players`",
        near_miss=NearMiss(
            title="A picture and a note about the folder.",
            edits=[
                Write("players/zaugg-lena.jpg", b"\xff\xd8"),
                Write("players/README.md", "# Players\n"),
            ],
        ),
    ),
)

_FESTIVAL = Replace(SEASON, 'kind = "league"', 'kind = "festival"')
_BY_FIGURES = Replace(RULES, "team_size", 'standings_order = ["nummern", "points"]\nteam_size')

OF_PARTS = (
    Case(
        code="ruling-without-figure",
        title="Rank points are taken away in a festival.",
        edits=[_FESTIVAL, _BY_FIGURES, _ruling("rank_points = -2")],
        path=_RULINGS,
        excerpt="rank_points = -2",
        says="`rank_points` changes nothing in `oberhang-1`, which is ranked by `nummern` and",
        advises="write one of these instead",
        near_miss=NearMiss(
            title="Points of a festival, by which it is ranked.",
            edits=[_FESTIVAL, _BY_FIGURES, _ruling("points = -20")],
        ),
    ),
    Case(
        code="unknown-part",
        title="A sheet names a part that its festival does not have.",
        edits=[IN_PARTS, Replace(SECOND, "oberhang-1", "oberhang-cup\npart: aftrenoon")],
        path=SECOND,
        excerpt="part: aftrenoon",
        points_at="aftrenoon",
        says="`oberhang-cup` has no part `aftrenoon`",
        advises="did you mean afternoon?",
        also=("fixture-differs",),
        near_miss=NearMiss(
            title="A part that cannot be read is not missed in its sheets.",
            edits=[
                Write(SEASON, CLUB_FOLDER[SEASON] + _PARTS.replace('id = "afternoon"\n', "")),
                Replace(SECOND, "oberhang-1", "oberhang-cup\npart: afternoon"),
            ],
            also=("fixture-differs", "missing-key"),
        ),
    ),
    Case(
        code="unknown-part",
        title="A sheet names a part where there are none.",
        edits=[Replace(SECOND, "oberhang-1", "oberhang-1\npart: morning")],
        path=SECOND,
        excerpt="part: morning",
        points_at="morning",
        says="`oberhang-1` is not struck in parts, but `morning` is named",
        advises="delete the line, or list the parts under `parts` in season.toml",
        near_miss=NearMiss(
            title="The sheet leaves it out, though another competition has parts.",
            edits=[IN_PARTS],
        ),
    ),
    Case(
        code="unknown-part",
        title="A fixture is of a part that its festival does not have.",
        edits=[
            IN_PARTS,
            Replace(
                FIXTURES,
                'competition = "oberhang-1"\nround = 2',
                'competition = "oberhang-cup"\npart = "evening"',
            ),
        ],
        path=FIXTURES,
        excerpt='part = "evening"',
        says="`oberhang-cup` has no part `evening`",
        advises="its parts are morning, afternoon",
        also=("fixture-differs",),
        near_miss=NearMiss(
            title="A fixture of such a festival that says no part.",
            edits=[
                IN_PARTS,
                Replace(
                    FIXTURES,
                    'competition = "oberhang-1"\nround = 2',
                    'competition = "oberhang-cup"',
                ),
            ],
            also=("fixture-differs",),
        ),
    ),
    Case(
        code="unknown-rules",
        title="A part of a festival points at a rule set without a file.",
        edits=[Write(SEASON, CLUB_FOLDER[SEASON] + _PARTS.replace("2026", "2025", 1))],
        path=SEASON,
        excerpt='rules = "2025"',
        says="the rule set `2025` has no file in rules/",
        advises="did you mean 2026?",
        near_miss=NearMiss(
            title="A rule set that only a part is scored by.",
            edits=[
                Write(SEASON, CLUB_FOLDER[SEASON] + _PARTS.replace("2026", "2025", 1)),
                Write("rules/2025.toml", "innings = 1\n"),
            ],
        ),
    ),
    Case(
        code="listed-twice",
        title="A festival lists a part twice.",
        edits=[Write(SEASON, CLUB_FOLDER[SEASON] + _PARTS.replace("afternoon", "morning"))],
        path=SEASON,
        excerpt='id = "morning"\nname = "Second part"',
        says="the part `morning` stands twice",
        near_miss=NearMiss(
            title="Two parts of one name.",
            edits=[
                Write(SEASON, CLUB_FOLDER[SEASON] + _PARTS.replace("Second part", "First part"))
            ],
        ),
    ),
)
"""What else is said of parts."""
