# ruff: noqa: E501 - whole files read better unbroken
"""What is known without sheets, and what the match commission decided, word for word."""

from __future__ import annotations

HANDED_DOWN = {
    1936: """\
# One of the league's first seasons. No sheet is left of it.

[[table]]
competition = "oberhang-1"
name = "Oberhang League"
kind = "league"
source = {kind = "minute-book", reference = "minute book, volume 1, page 114", transcribed_by = "Lena Zaugg", on = 2025-12-06}
rows = [
  {rank = 1, team = "birkenfluh-a", played = 8, won = 6, drawn = 1, lost = 1, nummern = 3, points = 7841, rank_points = 13},
  {rank = 2, team = "aarwald-a", played = 8, won = 5, drawn = 1, lost = 2, nummern = 5, points = 7702, rank_points = 11},
  {rank = 3, team = "oberaar-a", played = 8, won = 4, drawn = 0, lost = 4, nummern = 9, points = 7415, rank_points = 8},
  {rank = 4, name = "Hinterwil", played = 8, won = 2, drawn = 1, lost = 5, points = 6988, rank_points = 5},  # gave up in 1939
  {rank = 5, team = "nebelschwand-a", played = 8, won = 1, drawn = 1, lost = 6, nummern = 17, points = 6804, rank_points = 3},
]

[[striker_table]]
competition = "oberhang-1"
source = {kind = "newspaper", reference = "Oberhanger Bote, clipped and pasted into minute book 1"}
rows = [
  {rank = 1, player = "birchmatter-ernst", team = "birkenfluh-a", matches = 8, points = 631, best = 92},
  {rank = 2, player = "aebi-samuel", team = "aarwald-a", matches = 8, points = 618, best = 90},
  {rank = 3, name = "Alfred Hinterwiler", team_name = "Hinterwil", matches = 7, points = 566},
  {rank = 4, player = "bigler-otto", team = "aarwald-a", points = 559},
  {rank = 5, player = "kohliger-johann", team = "birkenfluh-a", points = 541},
]
""",
    1947: """\
# The order alone, and two names on pewter.

[[table]]
competition = "oberhang-1"
name = "Oberhang League"
kind = "league"
source = {kind = "letter", reference = "letter of the captain, third page"}
rows = [
  {rank = 1, team = "aarwald-a"},
  {rank = 2, team = "steinhubelmoos-a"},
  {rank = 3, team = "birkenfluh-a"},
  {rank = 4, team = "fuchsmattigen-a"},
  {rank = 4, team = "nebelschwand-a"},
  {rank = 6, team = "oberaar-a"},
]

[[honour]]
what = "champion"
competition = "oberhang-1"
team = "aarwald-a"
source = {kind = "other", reference = "engraved on the league's trophy"}

[[honour]]
what = "best-striker"
competition = "oberhang-1"
player = "aebi-emil"
source = {kind = "other", reference = "pewter plate in the Kreuz, with the year"}

[[honour]]
what = "award"
name = "Wreath of the Hangtal festival"
competition = "hangtal-fest"
competition_name = "Hangtal Festival"
kind = "festival"
holder = "Rosa Hinterwiler"
source = {kind = "memory", reference = "told by her granddaughter, who still has the wreath"}
""",
}

RULINGS = {
    2025: """\
[[ruling]]
competition = "oberhang-1"
on = 2025-07-14
by = "match commission"
team = "sommerhubel-a"
rank_points = -2
reason = "a supernumerary struck for the team in round 10"
"""
}

PROMOTED_1996 = """\
promoted = ["nebelschwand-a"]
promotion_note = "the first two had no strip long enough for the Hangtal League; decided by the match commission"
"""
