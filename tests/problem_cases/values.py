"""Faults of keys and values."""

from tests.clubfolder import (
    AARWALD,
    CLUB_FOLDER,
    FIRST,
    FIXTURES,
    LEAGUE,
    LENA,
    RULES,
    SEASON,
    Replace,
    Write,
)
from tests.problem_cases.model import Case, NearMiss

_RUEDI = "aebi-ruedi: [[18, 20], [17, 19]]"
_JONAS = "bigler-jonas: [[15, 0], [16N, 14]]"


def _at(time: str) -> Write:
    return Write(FIXTURES, f'{CLUB_FOLDER[FIXTURES]}time = "{time}"\n')


def _from(url: str) -> Write:
    return Write(LEAGUE, f'{CLUB_FOLDER[LEAGUE]}\n[[from]]\nclub = "aarwald"\nurl = "{url}"\n')


def _with_rules(ages: str, award: str = "") -> Write:
    return Write(
        RULES,
        f"{CLUB_FOLDER[RULES]}\n"
        f'[[classes]]\nid = "youth-2"\nname = "Youth, level 2"\nages = {ages}\n{award}',
    )


_COWBELL = '\n[[awards]]\nname = "cowbell"\nfirst = 2\nfor = "teams"\n'


CASES = (
    Case(
        code="duplicate-key",
        title="A player has two lines.",
        edits=[Replace(FIRST, _JONAS, "aebi-ruedi: [[15, 0], [16N, 14]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[15, 0], [16N, 14]]",
        points_at="aebi-ruedi",
        says="`aebi-ruedi` stands here a second time, first in line 9",
        advises="delete one of the two, or write what is meant here",
        near_miss=NearMiss(
            title="One key in both sides.",
            edits=[Replace(FIRST, "birkenfluh-a", "birkenfluh-a\n  captain: kipfer-urs")],
        ),
    ),
    Case(
        code="unknown-key",
        title="A key is misspelt.",
        edits=[Replace(FIRST, "captain:", "capitain:")],
        path=FIRST,
        excerpt="  capitain: aebi-ruedi",
        points_at="capitain",
        says="`capitain` is not a key that belongs in a side",
        advises="did you mean captain?",
        near_miss=NearMiss(
            title="The same word as a value.",
            edits=[Replace(FIRST, "round: 1", "round: 1\nnotes: capitain")],
        ),
    ),
    Case(
        code="missing-key",
        title="A player has no name.",
        edits=[Write(LENA, "born: 1990\n")],
        path=LENA,
        excerpt="born: 1990",
        says="the key `name` is missing in a player's file",
        near_miss=NearMiss(
            title="A player of whom only the name is known.",
            edits=[Write(LENA, "name: Lena Zaugg\n")],
        ),
    ),
    Case(
        code="wrong-shape",
        title="A player's line gives the points where the strikes belong.",
        edits=[Replace(FIRST, _RUEDI, "aebi-ruedi: 74")],
        path=FIRST,
        excerpt="    aebi-ruedi: 74",
        points_at="74",
        says="`home.strikes.aebi-ruedi` must be a list of innings, each a list of strikes",
        advises="write it like [[18, 20], [17, 19]]",
        near_miss=NearMiss(
            title="The list of innings written below one another.",
            edits=[Replace(FIRST, _RUEDI, "aebi-ruedi:\n      - [18, 20]\n      - [17, 19]")],
        ),
    ),
    Case(
        code="bad-text",
        title="A text is empty.",
        edits=[Replace(AARWALD, "founded: 1911", 'ground: ""')],
        path=AARWALD,
        excerpt='ground: ""',
        points_at='""',
        says="`ground` has no text",
        advises="fill it in or leave it out",
        near_miss=NearMiss(
            title="A text that elsewhere would mean something else.",
            edits=[Replace(AARWALD, "founded: 1911", "ground: no")],
        ),
    ),
    Case(
        code="bad-identifier",
        title="A name stands where an identifier belongs.",
        edits=[Replace(FIRST, "captain: aebi-ruedi", "captain: Ruedi Aebi")],
        path=FIRST,
        excerpt="  captain: Ruedi Aebi",
        points_at="Ruedi Aebi",
        says="`home.captain` is `Ruedi Aebi`, which is not an identifier",
        advises="did you mean aebi-ruedi?",
        near_miss=NearMiss(
            title="A name where names belong.",
            edits=[Replace(FIRST, "round: 1", "round: 1\nreferees: [Ruedi Aebi]")],
        ),
    ),
    Case(
        code="bad-number",
        title="A number is written as a word.",
        edits=[Replace(FIRST, "round: 1", "round: first")],
        path=FIRST,
        excerpt="round: first",
        points_at="first",
        says="`round` is `first`; a whole number from 1 on is needed",
        near_miss=NearMiss(
            title="A number with a zero in front.",
            edits=[Replace(FIRST, "round: 1", "round: 01")],
        ),
    ),
    Case(
        code="bad-date",
        title="A date is written the usual way of the country.",
        edits=[Replace(FIRST, "2026-04-12", "12.4.2026")],
        path=FIRST,
        excerpt="date: 12.4.2026",
        points_at="12.4.2026",
        says="`date` is `12.4.2026`, which is not a date",
        advises="write 2026-04-12",
        near_miss=NearMiss(
            title="A date in quotes.",
            edits=[Replace(FIRST, "2026-04-12", '"2026-04-12"')],
        ),
    ),
    Case(
        code="bad-time",
        title="A time of day is written with a point.",
        edits=[_at("13.30")],
        path=FIXTURES,
        excerpt='time = "13.30"',
        says="`time` must be a time of day, not `13.30`",
        advises='time = "13:30"',
        near_miss=NearMiss(title="A time before ten.", edits=[_at("9:30")]),
    ),
    Case(
        code="bad-choice",
        title="A word is none of those that may stand there.",
        edits=[Replace(FIRST, "round: 1", "round: 1\nstrikes_first: hom")],
        path=FIRST,
        excerpt="strikes_first: hom",
        points_at="hom",
        says="`strikes_first` is `hom`; it must be home or away",
        advises="did you mean home?",
        near_miss=NearMiss(
            title="One of the words in quotes.",
            edits=[Replace(FIRST, "round: 1", 'round: 1\nstrikes_first: "home"')],
        ),
    ),
    Case(
        code="bad-url",
        title="A folder is to be gathered by a program that the address names.",
        edits=[_from("ext::sh -c ls")],
        path=LEAGUE,
        excerpt='url = "ext::sh -c ls"',
        says="nothing is fetched from this address: git would start another program for it",
        advises="write a path such as ../aarwald-folder",
        near_miss=NearMiss(title="A folder on another computer.", edits=[_from("host:folder.git")]),
    ),
    Case(
        code="listed-twice",
        title="A competition lists a team twice.",
        edits=[Replace(SEASON, '"aarwald-b"', '"aarwald-a"')],
        path=SEASON,
        excerpt='teams = ["aarwald-a", "aarwald-a", "birkenfluh-a"]',
        says="`aarwald-a` stands twice in `teams`",
        near_miss=NearMiss(
            title="Two competitions list the same team.",
            edits=[
                Replace(
                    SEASON, 'name = "Oberhang Cup"', 'name = "Oberhang Cup"\nteams = ["aarwald-a"]'
                )
            ],
        ),
    ),
    Case(
        code="zone-upside-down",
        title="The Nummer zone ends before it begins.",
        edits=[Replace(RULES, "{from = 1, to = 18}", "{from = 18, to = 1}")],
        path=RULES,
        excerpt="nummer_zone = {from = 18, to = 1}",
        says="the zone begins at 18 and ends before it, at 1",
        near_miss=NearMiss(
            title="A zone of a single distance.",
            edits=[Replace(RULES, "{from = 1, to = 18}", "{from = 16, to = 16}")],
        ),
    ),
    Case(
        code="ages-upside-down",
        title="A class begins at a higher age than it ends.",
        edits=[_with_rules("{from = 13, to = 11}")],
        path=RULES,
        excerpt="ages = {from = 13, to = 11}",
        says="the class `youth-2` is from 13 to 11 years, so it takes in nobody",
        advises="`ages = {from = 11, to = 13}`",
        near_miss=NearMiss(title="A class of a single year.", edits=[_with_rules("{to = 10}")]),
    ),
    Case(
        code="class-of-teams",
        title="An award for teams is for a class.",
        edits=[_with_rules("{to = 10}", _COWBELL + 'class = "youth-2"\n')],
        path=RULES,
        excerpt='class = "youth-2"',
        says="the award is for teams, but classes are of individuals",
        advises="delete `class`, or `for`",
        near_miss=NearMiss(title="One for all teams.", edits=[_with_rules("{to = 10}", _COWBELL)]),
    ),
)
