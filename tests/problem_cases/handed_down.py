"""Faults in what is handed down."""

from tests.clubfolder import SEASON, Replace, Write
from tests.problem_cases.model import Case, NearMiss

PATH = "seasons/1936/handed-down.toml"
BESIDE_SHEETS = "seasons/2026/handed-down.toml"
_ONLY_TWO = Replace(SEASON, '"aarwald-b", ', "")


def table(*rows: str, path: str = PATH, more: str = "") -> Write:
    listed = "".join(f"  {{{row}}},\n" for row in rows)
    return Write(
        path,
        f"""\
[[table]]
competition = "oberhang-1"
name = "Oberhang League"
source = {{kind = "minute-book", reference = "minute book 2, page 114"}}
rows = [
{listed}]
{more}""",
    )


def _champion(team: str) -> str:
    return f"""
[[honour]]
what = "champion"
competition = "oberhang-1"
team = "{team}"
source = {{kind = "other", reference = "engraved on the trophy"}}
"""


def _striker(player: str) -> Write:
    row = f'player = "{player}", points = 321'
    content = table(row).content
    assert isinstance(content, str)
    return Write(PATH, content.replace("[[table]]", "[[striker_table]]"))


CASES = (
    Case(
        code="holder-unclear",
        title="A row has a team and a name.",
        edits=[table('rank = 1, team = "aarwald-a", name = "Hinterwil"')],
        path=PATH,
        excerpt='{rank = 1, team = "aarwald-a", name = "Hinterwil"}',
        points_at='name = "Hinterwil"',
        says="`team` and `name` both say whose this is",
        advises="keep one of them",
        near_miss=NearMiss(
            title="A team that no club declares has a name alone.",
            edits=[table('rank = 1, name = "Hinterwil"')],
        ),
    ),
    Case(
        code="rank-impossible",
        title="Rank 3 below two rows of rank 2.",
        edits=[
            table(
                'rank = 1, team = "aarwald-a"',
                'rank = 2, team = "birkenfluh-a"',
                'rank = 2, name = "Hinterwil"',
                'rank = 3, name = "Vorderwil"',
            )
        ],
        path=PATH,
        excerpt='{rank = 3, name = "Vorderwil"}',
        points_at="rank = 3",
        says="there cannot be a rank 3 below 2 rows of rank 2",
        advises="1, 2, 2, 4",
        near_miss=NearMiss(
            title="The next rank is left out.",
            edits=[
                table(
                    'rank = 2, team = "birkenfluh-a"',
                    'rank = 2, name = "Hinterwil"',
                    'rank = 4, name = "Vorderwil"',
                )
            ],
        ),
    ),
    Case(
        code="rank-order",
        title="The second has more rank points than the first.",
        edits=[
            table(
                'rank = 1, team = "aarwald-a", rank_points = 38',
                'rank = 2, team = "birkenfluh-a", rank_points = 41',
            )
        ],
        path=PATH,
        excerpt='{rank = 2, team = "birkenfluh-a", rank_points = 41}',
        points_at="rank = 2",
        severity="warning",
        says="birkenfluh-a stands behind aarwald-a, but `rank_points` is 41 to 38",
        advises="where another rule decided, leave it",
        near_miss=NearMiss(
            title="Only one of them is known.",
            edits=[
                table(
                    'rank = 1, team = "aarwald-a"',
                    'rank = 2, team = "birkenfluh-a", rank_points = 41',
                )
            ],
        ),
    ),
    Case(
        code="sum-impossible",
        title="A team has more results than matches.",
        edits=[table('rank = 1, team = "aarwald-a", played = 10, won = 8, drawn = 0, lost = 3')],
        path=PATH,
        excerpt='{rank = 1, team = "aarwald-a", played = 10, won = 8, drawn = 0, lost = 3}',
        points_at="played = 10",
        says="`played` is 10, but `won`, `drawn` and `lost` add up to 11",
        near_miss=NearMiss(
            title="Nobody knows how many it lost.",
            edits=[table('rank = 1, team = "aarwald-a", played = 10, won = 8, drawn = 0')],
        ),
    ),
    Case(
        code="honour-differs",
        title="The champion is not the first of the table beside it.",
        edits=[
            table(
                'rank = 1, team = "aarwald-a"',
                'rank = 2, team = "birkenfluh-a"',
                more=_champion("birkenfluh-a"),
            )
        ],
        path=PATH,
        excerpt='competition = "oberhang-1"\nteam = "birkenfluh-a"',
        points_at="team =",
        severity="warning",
        says="`champion` is birkenfluh-a here, but rank 1 of the table is aarwald-a",
        advises="set what is wrong of the two",
        near_miss=NearMiss(
            title="Two share the first rank.",
            edits=[
                table(
                    'rank = 1, team = "aarwald-a"',
                    'rank = 1, team = "birkenfluh-a"',
                    more=_champion("birkenfluh-a"),
                )
            ],
        ),
    ),
    Case(
        code="handed-down-differs",
        title="A chronicle has other points than the sheets.",
        edits=[_ONLY_TWO, table('team = "aarwald-a", points = 210', path=BESIDE_SHEETS)],
        path=BESIDE_SHEETS,
        excerpt='{team = "aarwald-a", points = 210}',
        points_at="points = 210",
        severity="warning",
        says="`points` of aarwald-a is 210 here, by the sheets 209",
        advises="the sheets stand",
        near_miss=NearMiss(
            title="More than the sheets have, while some are missing.",
            edits=[table('team = "aarwald-a", played = 3, points = 310', path=BESIDE_SHEETS)],
        ),
    ),
    Case(
        code="not-born-yet",
        title="A striker of 1936 was born in 1961.",
        edits=[_striker("aebi-ruedi")],
        path=PATH,
        excerpt='{player = "aebi-ruedi", points = 321}',
        points_at='player = "aebi-ruedi"',
        severity="warning",
        says="`aebi-ruedi` was born in 1961, too late for the season 1936",
        advises="put in whoever is meant, or mend `born` in players/aebi-ruedi.yaml",
        near_miss=NearMiss(title="Nobody knows when he was born.", edits=[_striker("aebi-hans")]),
    ),
)
