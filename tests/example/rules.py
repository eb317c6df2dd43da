# ruff: noqa: E501 - word lists and whole files read better unbroken
"""The files that are kept by hand as TOML or prose, word for word."""

RULES_2024 = """\
# In force since the delegates' meeting of February 2024.
# Every figure is written out, so that nobody has to look up a default.
name = "Two innings of two strikes"
team_size = 18
innings = 2
strikes_per_inning = 2
highest_points = 35
nummer_zone = {from = 1, to = 18}
result_order = ["nummern", "points", "longest_ries"]
standings_order = ["rank_points", "nummern", "points"]

[rank_points]
win = 2
draw = 1
clean = 2
more_points_in_defeat = 1          # a consolation for the better strikers

[forfeit]
winner = 4
loser = 0

[strikers]
best = 26
least = 1
order = ["rank_points", "points", "best"]
"""

RULES_1958 = """\
# As printed in the little grey book of 1957: six strikes a player,
# sixteen to a side, and nothing to be earned by a clean sheet.
name = "Two innings of three strikes, sixteen a side"
team_size = 16
innings = 2
strikes_per_inning = 3
highest_points = 30
nummer_zone = {from = 1, to = 15}
result_order = ["nummern", "points"]
standings_order = ["rank_points", "points"]

[rank_points]
win = 2
draw = 1
clean = 0
more_points_in_defeat = 0

[forfeit]
winner = 2
loser = 0

[strikers]
best = 20                          # only the first twenty earned anything to speak of
least = 0
order = ["rank_points", "points", "best"]
"""

RULES_1979 = """\
# 1979 to 1996. The third strike went, the clean sheet came in.
name = "Two innings of two strikes, sixteen a side"
team_size = 16
innings = 2
strikes_per_inning = 2
highest_points = 30
nummer_zone = {from = 1, to = 17}  # one zone longer than before
result_order = ["nummern", "points", "longest_ries"]
standings_order = ["rank_points", "nummern", "points"]

[rank_points]
win = 2
draw = 1
clean = 1
more_points_in_defeat = 0

[forfeit]
winner = 3
loser = 0

[strikers]
best = 30
least = 1
order = ["rank_points", "points", "best"]
"""

RULES_FESTIVAL = """\
# Festivals: everything together in one table, Nummern first, then points.
# What is not named here is as in the ordinary rules.
name = "Festival"
nummer_zone = {{from = 1, to = 18}}
standings_order = ["nummern", "points"]

[strikers]
order = ["points", "highest_strikes", "older"]

[[awards]]
name = "wreath"
points = {wreath}                       # over both matches

[[awards]]
name = "small wreath"
points = {small}                       # juniors and veterans like this one

[[awards]]
name = "veterans' horn"
first = 3                              # and who is level with the third
class = "veterans"

[[awards]]
name = "women's cup"
first = 1
class = "women"

[[classes]]
id = "juniors"
name = "Juniors"
ages = {{to = 20}}

[[classes]]
id = "veterans"
name = "Veterans"
ages = {{from = 60}}

[[classes]]
id = "women"
name = "Women"                         # by the players' own files
"""

RULES_ONE_INNING = """\
# The first part of a festival of one day.
name = "One inning of two strikes"
innings = 1
nummer_zone = {from = 1, to = 18}
standings_order = ["nummern", "points"]

[strikers]
order = ["points", "highest_strikes", "older"]
"""

RULES_HUBEL = """\
# The festival of one day: the second part, and the table over both.
name = "Hubel Festival"
nummer_zone = {from = 1, to = 18}
standings_order = ["nummern", "points"]

[strikers]
order = ["points", "highest_strikes", "older"]

[[awards]]
name = "sprig"
points = 88                            # over both parts, six strikes

[[awards]]
name = "boy's horn"                    # as it was called in 1961, whoever wins it
first = 2
class = "juniors"

[[awards]]
name = "horn"
first = 3
for = "teams"                          # the first three, over both parts

[[classes]]
id = "juniors"
name = "Juniors"
ages = {to = 20}

[[classes]]
id = "women"
name = "Women"
"""

PARTS = """\
parts = [
  {id = "morning", name = "First part", rules = "one-inning"},
  {id = "afternoon", name = "Second part", rules = "hubel-fest"},
]
"""

LEAGUE = """\
# Oberhang League, all clubs in one folder.
name = "Oberhang League"
language = "en"
register = "strict"                # every player has a file of his or her own
"""

SEASON_HEAD = {
    1958: "# From binder 1. Five clubs, home and away; three sheets have not turned up.",
    1965: "# Six clubs now. Most of it comes out of the minute book of Nebelschwand.",
    1971: "# What the moths left of binder 2.",
    1979: "# First year under the new rules. About half of the sheets survive.",
    1988: "# Cuttings and letters, the sheets went with the old clubhouse.",
    1996: "# Binder 4, water stains at the edges. More may come to light.",
    2024: "# First season kept strike by strike. The festival is one of a day, in two parts.",
    2025: "# League and festival.",
    2026: "# Under way: the first cycle is played, the second begins on 21 June.",
}

COMPETITION = """\
[[competition]]
id = "{id}"
name = "{name}"
kind = "{kind}"
rules = "{rules}"
"""

README = """\
# The Oberhang League, an example folder

**Everything in here is invented.** There is no Oberhang, and there are no clubs called Aarwald,
Birkenfluh or Tiefenschür; the people, families, matches, letters and newspapers are made up, and any
likeness to somebody living or dead is an accident.

The folder shows what a league archive looks like after a while: three seasons known strike by strike,
six older ones pieced together from binders, cuttings and memory, and two of which only a table is left.

| where | what |
|---|---|
| `league.toml` | name, report language, register policy |
| `rules/` | rule sets: `1958` (1958 to 1971), `1979` (1979 to 1996), `2024`, and those of the festivals: `festival`, `one-inning`, `hubel-fest` |
| `clubs/` | the eight clubs of today, and two of yesterday: Oberaar, which joined Aarwald in 1974, and Steinhubelmoos |
| `players/` | {people} people in families over three and four generations; minors without a birth year |
| `seasons/2024`, `2025`, `2026` | the league, eight teams, home and away; in 2024 a festival in two parts, in 2025 one of two days and a ruling of the match commission |
| `seasons/1958` … `1996` | {old} older matches: by players, by Ries, by points, or the winner alone; in 1996 a promotion against the table |
| `seasons/1936`, `1947` | `handed-down.toml`: tables, the best strikers and titles without a single sheet |
| `trainings/2026` | what Aarwald's members struck on twelve Thursday evenings; on no page |
| `reports/` | what `publish` makes of it all; never edited by hand |

{sheets} match sheets in all. **2026 stands in mid-season:** rounds 1 to 7 are played, one match of them
was postponed and one sheet is typed up only as far as the break; rounds 8 to 14 are fixtures.

Worth a look:

{sights}

The files are regenerated with `python -m tests.example` in the project's own checkout.
"""
