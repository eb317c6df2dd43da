"""Spreadsheets as different clubs would have them, each imported by one command and one round of
decisions, and compared with sheets written out by hand. All clubs, people and results are invented.
"""

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.commandline import invoke
from tests.exchange.test_import import contents, decide

SEASON = """\
[[competition]]
id = "oberhang-1"
name = "Oberhang League"
kind = "league"
rules = "old"
"""
LEAGUE = {"league.toml": 'name = "Oberhang League"\n', "rules/old.toml": "team_size = 3\n"}
REGISTER = {
    **LEAGUE,
    "clubs/aarwald.yaml": "name: Aarwald\nteams: {a: Aarwald A, b: Aarwald B}\n"
    "formerly: [{name: Aarwald-Berg, until: 1954}]\n",
    **{
        f"clubs/{club}.yaml": f"name: {name}\nteams: {{a: {name} A}}\n"
        for club, name in (
            ("birkenfluh", "Birkenfluh"), ("ginsterwil", "Ginsterwil"),
            ("sommerhubel", "Sommerhubel"), ("tiefenschuer", "Tiefenschür"),
        )
    },
    **{
        f"players/{player}.yaml": f"name: {name}\n"
        for player, name in (
            ("aebi-ruedi", "Ruedi Aebi"), ("bigler-jonas", "Jonas Bigler"),
            ("kipfer-urs", "Urs Kipfer"), ("sahli-rosa", "Rosa Sahli"),
            ("zaugg-lena", "Lena Zaugg"),
        )
    },
    **{
        f"seasons/{year}/season.toml": f"season = {year}\n\n{SEASON}"
        for year in (1952, 1962, 1987, 1994, 2003)
    },
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Messy:
    """``files`` are those that are made, by path; of references only file and row are compared."""

    text: str
    encoding: str = "utf-8"
    options: tuple[str, ...] = ("--competition", "oberhang-1")
    decisions: Mapping[str, str] = field(default_factory=dict)
    folder: Mapping[str, str] = field(default_factory=lambda: REGISTER)
    remarks: tuple[str, ...] = ()
    files: Mapping[str, str]


MESSY = {
    "titles, merged days, thousands and a total": Messy(
        text="""\
Hornussergesellschaft Aarwald;;;;;;;
Resultate der Saison 1987;;;;;;;

Datum;Runde;Heim;Gast;Schlagpunkte Heim;Schlagpunkte Gast;Nummern Heim;Nummern Gast
So, 12. April 1987;1;Aarwald A;Birkenfluh;1’191;1’150;0;1
;;Ginsterwil;Tiefenschür;1'011;990;0;0
So, 26. April 1987;2;Birkenfluh;Aarwald A;1’044;1’101,0;2;1
Total;;;;3’246;3’241;2;2
""".replace("\n", "\r\n"),
        encoding="cp1252",
        remarks=(
            "column `Datum`, row 6: empty, taken from above",
            "column `Runde`, row 6: empty, taken from above",
            "passed over: row 8 `Total | 3’246 | 3’241 | 2 | 2`",
        ),
        files={
            "seasons/1987/matches/1987-04-12-aarwald-a-birkenfluh-a.yaml": """\
competition: oberhang-1
round: 1
date: 1987-04-12

home:
  team: aarwald-a
  points: 1191
  nummern: 0

away:
  team: birkenfluh-a
  points: 1150
  nummern: 1
source: {kind: other, reference: "old.csv, row 5"}
""",
            "seasons/1987/matches/1987-04-12-ginsterwil-a-tiefenschuer-a.yaml": """\
competition: oberhang-1
round: 1
date: 1987-04-12

home:
  team: ginsterwil-a
  points: 1011
  nummern: 0

away:
  team: tiefenschuer-a
  points: 990
  nummern: 0
source: {kind: other, reference: "old.csv, row 6"}
""",
            "seasons/1987/matches/1987-04-26-birkenfluh-a-aarwald-a.yaml": """\
competition: oberhang-1
round: 2
date: 1987-04-26

home:
  team: birkenfluh-a
  points: 1044
  nummern: 2

away:
  team: aarwald-a
  points: 1101
  nummern: 1
source: {kind: other, reference: "old.csv, row 7"}
""",
        },
    ),
    "a club's own view, days without a year, an average": Messy(
        text="""\
Unsere Resultate 2003;;;;;;
Tag;Gegner;H/A;Wir;Sie;Nr. wir;Nr. sie
27.4.;Aarwald A;H;812;799;0;1
So 4. Mai;Ginsterwil;A;790;845;2;0
11.05.;Tiefenschuer;Heim;801;801;0;0
Schnitt;;;801;815;0,7;0,3
""",
        encoding="utf-8-sig",
        options=("--competition", "oberhang-1", "--club", "birkenfluh", "--season", "2003"),
        remarks=("passed over: row 6 `Schnitt | 801 | 815 | 0,7 | 0,3`",),
        files={
            "seasons/2003/matches/2003-04-27-birkenfluh-a-aarwald-a.yaml": """\
competition: oberhang-1
date: 2003-04-27

home:
  team: birkenfluh-a
  points: 812
  nummern: 0

away:
  team: aarwald-a
  points: 799
  nummern: 1
source: {kind: other, reference: "old.csv, row 3"}
""",
            "seasons/2003/matches/2003-05-04-ginsterwil-a-birkenfluh-a.yaml": """\
competition: oberhang-1
date: 2003-05-04

home:
  team: ginsterwil-a
  points: 845
  nummern: 0

away:
  team: birkenfluh-a
  points: 790
  nummern: 2
source: {kind: other, reference: "old.csv, row 4"}
""",
            "seasons/2003/matches/2003-05-11-birkenfluh-a-tiefenschuer-a.yaml": """\
competition: oberhang-1
date: 2003-05-11

home:
  team: birkenfluh-a
  points: 801
  nummern: 0

away:
  team: tiefenschuer-a
  points: 801
  nummern: 0
source: {kind: other, reference: "old.csv, row 5"}
""",
        },
    ),
    "a club's own view in English, quoted": Messy(
        text="""\
"Ginsterwil, season of 1994",,,,,
Date,Opponent,Home or away,We,They,Remarks
Sunday 1 May,Aarwald B,home,"1,191","1,150","wind, and ""cold"" at that"
"Sunday, May 8th",Sommerhubel,away,"1,002","1,003",
Average,,,"1,096.5","1,076.5",
""",
        options=("--competition", "Oberhang League", "--club", "Ginsterwil", "--season", "1994"),
        remarks=("passed over: row 5 `Average | 1,096.5 | 1,076.5`",),
        files={
            "seasons/1994/matches/1994-05-01-ginsterwil-a-aarwald-b.yaml": """\
competition: oberhang-1
date: 1994-05-01
notes: wind, and "cold" at that

home:
  team: ginsterwil-a
  points: 1191

away:
  team: aarwald-b
  points: 1150
source: {kind: other, reference: "old.csv, row 3"}
""",
            "seasons/1994/matches/1994-05-08-sommerhubel-a-ginsterwil-a.yaml": """\
competition: oberhang-1
date: 1994-05-08

home:
  team: sommerhubel-a
  points: 1003

away:
  team: ginsterwil-a
  points: 1002
source: {kind: other, reference: "old.csv, row 4"}
""",
        },
    ),
    "both teams in a cell, results as newspapers print them": Messy(
        text="""\
Heim - Gast\tDatum\tResultat
Aarwald-Berg A - Tiefenschür\t4.5.52\t0 Nr. 881 – 1 Nr. 936
Tiefenschür–Sommerhubel\t11.5.1952\t1’002 Punkte (2 Nr.) : 998 (0 Nr.)
Birkenfluh : Aarwald-Berg A\t18. Mai 1952\t1 Nr. 1’044-0 Nr. 1’044
""",
        options=("--competition", "oberhang-1", "--season", "1952"),
        files={
            "seasons/1952/matches/1952-05-04-aarwald-a-tiefenschuer-a.yaml": """\
competition: oberhang-1
date: 1952-05-04

home:
  team: aarwald-a
  points: 881
  nummern: 0

away:
  team: tiefenschuer-a
  points: 936
  nummern: 1
source: {kind: other, reference: "old.csv, row 2"}
""",
            "seasons/1952/matches/1952-05-11-tiefenschuer-a-sommerhubel-a.yaml": """\
competition: oberhang-1
date: 1952-05-11

home:
  team: tiefenschuer-a
  points: 1002
  nummern: 2

away:
  team: sommerhubel-a
  points: 998
  nummern: 0
source: {kind: other, reference: "old.csv, row 3"}
""",
            "seasons/1952/matches/1952-05-18-birkenfluh-a-aarwald-a.yaml": """\
competition: oberhang-1
date: 1952-05-18

home:
  team: birkenfluh-a
  points: 1044
  nummern: 1

away:
  team: aarwald-a
  points: 1044
  nummern: 0
source: {kind: other, reference: "old.csv, row 4"}
""",
        },
    ),
    "a head of two lines, repeated on the next page, and a bye": Messy(
        text="""\
Rangliste und Spiele;;;;;;;
;;Heim;;;Gast;;
Datum;Ort;Mannschaft;Punkte;Nr.;Mannschaft;Punkte;Nr.
03.05.1987;Aarwald;Aarwald A;1191;0;Sommerhubel;1150;1
10.05.1987;;Aarwald B;;;spielfrei;;
Seite 2;;;;;;;
;;Heim;;;Gast;;
Datum;Ort;Mannschaft;Punkte;Nr.;Mannschaft;Punkte;Nr.
17.05.1987;Bei der Käserei;Sommerhubel;0 Nr. 990;;Aarwald B;1 Nr. 881;
""",
        encoding="cp1252",
        remarks=("passed over: row 5 `10.05.1987 | Aarwald B | spielfrei`, row 6 `Seite 2`",),
        files={
            "seasons/1987/matches/1987-05-03-aarwald-a-sommerhubel-a.yaml": """\
competition: oberhang-1
date: 1987-05-03
ground: Aarwald

home:
  team: aarwald-a
  points: 1191
  nummern: 0

away:
  team: sommerhubel-a
  points: 1150
  nummern: 1
source: {kind: other, reference: "old.csv, row 4"}
""",
            "seasons/1987/matches/1987-05-17-sommerhubel-a-aarwald-b.yaml": """\
competition: oberhang-1
date: 1987-05-17
ground: Bei der Käserei

home:
  team: sommerhubel-a
  points: 990
  nummern: 0

away:
  team: aarwald-b
  points: 881
  nummern: 1
source: {kind: other, reference: "old.csv, row 9"}
""",
        },
    ),
    "a row a player, all else merged, sums between": Messy(
        text="""\
Datum;Heim;Gast;Mannschaft;Schläger;1. Streich;2. Streich;3. Streich;4. Streich;Total
10.05.1987;Sommerhubel;Ginsterwil;Sommerhubel;Kipfer Urs;14;9;12;16;51
;;;;Sahli Rosa;8;13;11;10;42
;;;;Zaugg L.;11;x;9N;14;34
;;;;Total Sommerhubel;33;22;32;40;127
;;;Ginsterwil;Aebi Ruedi;18;20;17;19;74
;;;;"Bigler, Jonas";15;0;16N;14;45
;;;;Beste zwei;;;;;119
;;;;;33;20;33;33;119
""",
        encoding="cp1252",
        decisions={
            "Zaugg L.": "Lena Zaugg",
            "Beste zwei": "ignore",
            "33 | 20 | 33 | 33 | 119": "ignore",
        },
        files={
            "seasons/1987/matches/1987-05-10-sommerhubel-a-ginsterwil-a.yaml": """\
competition: oberhang-1
date: 1987-05-10

home:
  team: sommerhubel-a
  strikes:
    kipfer-urs: [[14, 9], [12, 16]]
    sahli-rosa: [[8, 13], [11, 10]]
    zaugg-lena: [[11, x], [9N, 14]]

away:
  team: ginsterwil-a
  strikes:
    aebi-ruedi: [[18, 20], [17, 19]]
    bigler-jonas: [[15, 0], [16N, 14]]
source: {kind: other, reference: "old.csv, row 2"}
""",
        },
    ),
    "days on lines of their own, the teams by `gegen`": Messy(
        text="""\
"Spiele und Resultate, Oberhang 1962",,,
Datum,Partie,Resultat,Sieger
"So 6. Mai 1962, 13:30 Uhr",,,
,Aarwald A gegen Birkenfluh,95:90,
,Ginsterwil gegen Sommerhubel,-,Sommerhubel
Rückrunde,,,
"Sonntag, den 13. Mai 1962",,,
,Birkenfluh gegen Ginsterwil,88:88.0,unentschieden
""",
        decisions={},
        files={
            "seasons/1962/matches/1962-05-06-aarwald-a-birkenfluh-a.yaml": """\
competition: oberhang-1
date: 1962-05-06

home:
  team: aarwald-a
  points: 95

away:
  team: birkenfluh-a
  points: 90
source: {kind: other, reference: "old.csv, row 4"}
""",
            "seasons/1962/matches/1962-05-06-ginsterwil-a-sommerhubel-a.yaml": """\
competition: oberhang-1
date: 1962-05-06
winner: away

home:
  team: ginsterwil-a

away:
  team: sommerhubel-a
source: {kind: other, reference: "old.csv, row 5"}
""",
            "seasons/1962/matches/1962-05-13-birkenfluh-a-ginsterwil-a.yaml": """\
competition: oberhang-1
date: 1962-05-13
winner: draw

home:
  team: birkenfluh-a
  points: 88

away:
  team: ginsterwil-a
  points: 88
source: {kind: other, reference: "old.csv, row 8"}
""",
        },
    ),
    "a valley of which nothing is on record": Messy(
        text="""\
Saison;Wettbewerb;Datum;Heim;Gast;Mannschaft;Vorname;Name;Punkte
1978;Talmeisterschaft;3.9.;Neuwil;Hinterberg A;Neuwil;Fritz;Moosmann;74
;;;;;;Karl;Odermatter;70
;;;;;Hinterberg A;Emma;Siegrist;81
Summe;;;;;;;;225
""",
        options=("--create",),
        folder=LEAGUE,
        files={
            "clubs/hinterberg.yaml": "name: Hinterberg\nteams: {a: Hinterberg A}\n",
            "clubs/neuwil.yaml": "name: Neuwil\nteams: {a: Neuwil}\n",
            "players/moosmann-fritz.yaml": "name: Fritz Moosmann\n",
            "players/odermatter-karl.yaml": "name: Karl Odermatter\n",
            "players/siegrist-emma.yaml": "name: Emma Siegrist\n",
            "seasons/1978/season.toml": """\
season = 1978

[[competition]]
id = "talmeisterschaft"
name = "Talmeisterschaft"
kind = "league"
rules = "old"
teams = ["hinterberg-a", "neuwil-a"]
cycles = 1
""",
            "seasons/1978/matches/1978-09-03-neuwil-a-hinterberg-a.yaml": """\
competition: talmeisterschaft
date: 1978-09-03

home:
  team: neuwil-a
  player_points:
    moosmann-fritz: 74
    odermatter-karl: 70

away:
  team: hinterberg-a
  player_points:
    siegrist-emma: 81
source: {kind: other, reference: "old.csv, row 2"}
""",
        },
    ),
    "a club's own view with both results in a cell": Messy(
        text="""\
sep=;
Datum;Mannschaft;Gegner;Heim/Gast;Resultat;Sieger
04/05/2003;B;Birkenflu;Heim;812:799;S
11/05/2003;A;Ginsterwil;Gast;845:790;N
""",
        options=("--competition", "oberhang-1", "--club", "aarwald"),
        decisions={
            "with slashes": "day first",
            "both in one cell": "home first",
            "Birkenflu": "Birkenfluh A",
        },
        files={
            "seasons/2003/matches/2003-05-04-aarwald-b-birkenfluh-a.yaml": """\
competition: oberhang-1
date: 2003-05-04
winner: home

home:
  team: aarwald-b
  points: 812

away:
  team: birkenfluh-a
  points: 799
source: {kind: other, reference: "old.csv, row 2"}
""",
            "seasons/2003/matches/2003-05-11-ginsterwil-a-aarwald-a.yaml": """\
competition: oberhang-1
date: 2003-05-11
winner: home

home:
  team: ginsterwil-a
  points: 845

away:
  team: aarwald-a
  points: 790
source: {kind: other, reference: "old.csv, row 3"}
""",
        },
    ),
    "a head of two lines in a club's own view, a cell of two lines": Messy(
        text="""\
Datum,Liga,Gegner,Wo,Resultat,,Nummern,,Bemerkung
,,,,wir,sie,wir,sie,
12.04.1987,Oberhang League,Birkenfluh,h,1’191,1’150,0,1,"Beginn 13:30
Wind von ""links"", kalt"
26.4.1987,,Sommerhubel,a,990.0,1 002,–,?,
""",
        options=("--club", "Aarwald A"),
        remarks=("column `Liga`, row 4: empty, taken from above",),
        files={
            "seasons/1987/matches/1987-04-12-aarwald-a-birkenfluh-a.yaml": r"""
competition: oberhang-1
date: 1987-04-12
notes: "Beginn 13:30\nWind von \"links\", kalt"

home:
  team: aarwald-a
  points: 1191
  nummern: 0

away:
  team: birkenfluh-a
  points: 1150
  nummern: 1
source: {kind: other, reference: "old.csv, row 3"}
""".lstrip(),
            "seasons/1987/matches/1987-04-26-sommerhubel-a-aarwald-a.yaml": """\
competition: oberhang-1
date: 1987-04-26

home:
  team: sommerhubel-a
  points: 1002

away:
  team: aarwald-a
  points: 990
source: {kind: other, reference: "old.csv, row 4"}
""",
        },
    ),
}


@pytest.mark.parametrize("messy", MESSY.values(), ids=MESSY)
def test_messy_files_become_the_sheets_that_one_would_write(messy: Messy, tmp_path: Path) -> None:
    folder, decisions = tmp_path / "club", tmp_path / "decisions.csv"
    for path, text in messy.folder.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(text, encoding="utf-8")
    file = tmp_path / "old.csv"
    file.write_bytes(messy.text.encode(messy.encoding))
    before = contents(folder)
    command = ("--folder", folder, "import", file, "--decisions", decisions, *messy.options)
    if messy.decisions:
        refused = invoke(*command)
        assert refused.status == 1
        with decisions.open(encoding="utf-8-sig", newline="") as listed:
            text = listed.read()
        delimiter = ";" if text.startswith("what;") else ","
        asked = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter)
        assert {row["written"] for row in asked} == messy.decisions.keys()
        decide(decisions, messy.decisions)
    outcome = invoke(*command)
    assert outcome.status == 0, outcome.err
    if not messy.decisions:
        assert not decisions.exists()
    for remark in messy.remarks:
        assert remark in outcome.err.splitlines()
    made = {
        path: re.sub(r" \([0-9a-f]{8}\)", "", content.decode())
        for path, content in contents(folder).items()
        if path not in before
    }
    assert made == messy.files
    checked = invoke("--folder", folder, "check", "--format", "json")
    assert [p for p in checked.data["problems"] if p["severity"] == "error"] == []
    assert invoke(*command).out == "", "the same file once more adds nothing"
