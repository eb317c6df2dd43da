"""Faults in the strikes of a sheet."""

from tests.clubfolder import FIRST, RULES, SECOND, Replace
from tests.problem_cases.model import Case, NearMiss

_RUEDI = "aebi-ruedi: [[18, 20], [17, 19]]"
_JONAS = "bigler-jonas: [[15, 0], [16N, 14]]"
_ROSA = "sahli-rosa: [[8, 13], [11, 10]]"
_ABANDONED = Replace(FIRST, "round: 1", "round: 1\noutcome: abandoned")


def _ruedi(row: str) -> Replace:
    return Replace(FIRST, _RUEDI, f"aebi-ruedi: {row}")


CASES = (
    Case(
        code="strike-unreadable",
        title="A letter stands for a digit.",
        edits=[_ruedi("[[l8, 20], [17, 19]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[l8, 20], [17, 19]]",
        points_at="l8",
        says="`l8` in `home.strikes.aebi-ruedi` is not a strike",
        advises="did you mean 18?",
        near_miss=NearMiss(
            title="A Nummer with a small letter, and a zero in front.",
            edits=[_ruedi("[[18n, 20], [017, 19]]")],
        ),
    ),
    Case(
        code="strike-too-high",
        title="The digits of a strike are swapped.",
        edits=[_ruedi("[[81, 20], [17, 19]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[81, 20], [17, 19]]",
        points_at="81",
        says="`home.strikes.aebi-ruedi.1.1` is 81; the highest strike is 35",
        advises="did you mean 18?",
        near_miss=NearMiss(title="The highest strike.", edits=[_ruedi("[[35, 20], [17, 19]]")]),
    ),
    Case(
        code="nummer-on-nothing",
        title="A strike that scored nothing is marked as a Nummer.",
        edits=[Replace(FIRST, _JONAS, "bigler-jonas: [[15, 0N], [16, 14]]")],
        path=FIRST,
        excerpt="    bigler-jonas: [[15, 0N], [16, 14]]",
        points_at="0N",
        says="`home.strikes.bigler-jonas.1.2` is 0N: a strike that scored nothing is no Nummer",
        advises="write the points of the zone where the nouss came down, or 0",
        near_miss=NearMiss(
            title="A Nummer on the shortest strike, beside a Nuller.",
            edits=[
                Replace(FIRST, _JONAS, "bigler-jonas: [[1N, 0], [16, 14]]"),
                Replace(
                    FIRST, "  team: birkenfluh-a", "  team: birkenfluh-a\n  paper: {nummern: 1}"
                ),
            ],
        ),
    ),
    Case(
        code="nummer-outside-zone",
        title="A Nummer is farther out than the strip reaches.",
        edits=[_ruedi("[[18, 20N], [17, 19]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[18, 20N], [17, 19]]",
        points_at="20N",
        says="`home.strikes.aebi-ruedi.1.2` is 20N: a Nummer falls between 1 and 18 points",
        near_miss=NearMiss(
            title="A Nummer in the last zone.", edits=[_ruedi("[[18N, 20], [17, 19]]")]
        ),
    ),
    Case(
        code="innings-count",
        title="A player's second inning is missing.",
        edits=[_ruedi("[[18, 20]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[18, 20]]",
        points_at="aebi-ruedi",
        says="`home.strikes.aebi-ruedi` has 1 inning; a match has 2",
        advises="write x for strikes not struck",
        near_miss=NearMiss(
            title="The match was abandoned after one inning.",
            edits=[
                _ABANDONED,
                _ruedi("[[18, 20]]"),
                Replace(FIRST, _JONAS, "bigler-jonas: [[15, 0]]"),
                Replace(FIRST, "kipfer-urs: [[14, 9], [12, 16]]", "kipfer-urs: [[14, 9]]"),
                Replace(FIRST, _ROSA, "sahli-rosa: [[8, 13]]"),
            ],
        ),
    ),
    Case(
        code="strikes-count",
        title="An inning has a strike too many.",
        edits=[_ruedi("[[18, 20, 3], [17, 19]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[18, 20, 3], [17, 19]]",
        points_at="[18, 20, 3]",
        says="`home.strikes.aebi-ruedi` has 3 strikes in the first inning; each inning has 2",
        advises="delete the extra strike",
        near_miss=NearMiss(
            title="The match was abandoned during the second inning.",
            edits=[_ABANDONED, _ruedi("[[18, 20], [17]]")],
        ),
    ),
    Case(
        code="too-many-strikes",
        title="Three players strike for a team of two.",
        edits=[Replace(FIRST, _JONAS, f"{_JONAS}\n    zaugg-lena: [[11, 12], [9, 13]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[18, 20], [17, 19]]\n    bigler-jonas: [[15, 0], [16N, 14]]\n"
        "    zaugg-lena: [[11, 12], [9, 13]]",
        points_at="aebi-ruedi",
        says="`home` has more strikes than a team of 2: 3 in Ries 1 (first inning, first strike), "
        "3 in Ries 2",
        advises="players beyond the team size belong under `supernumeraries`",
        near_miss=NearMiss(
            title="The third player comes in for one who leaves.",
            edits=[
                Replace(
                    FIRST,
                    _JONAS,
                    "bigler-jonas: [[15, 0], [x, x]]\n    zaugg-lena: [[x, x], [9N, 13]]",
                )
            ],
        ),
    ),
    Case(
        code="repeated-player",
        title="A player of the batting order is listed as a supernumerary too.",
        edits=[
            Replace(
                FIRST,
                _JONAS,
                f"{_JONAS}\n  supernumeraries:\n    bigler-jonas: [[11, 12], [9, 13]]",
            )
        ],
        path=FIRST,
        excerpt="    bigler-jonas: [[11, 12], [9, 13]]",
        points_at="bigler-jonas",
        says="`bigler-jonas` stands twice in `home` with strikes in the same column",
        advises="a supernumerary who came in strikes in one row where the other has x",
        near_miss=NearMiss(
            title="A supernumerary comes in for a player who leaves.",
            edits=[
                Replace(
                    FIRST,
                    _JONAS,
                    "bigler-jonas: [[15, 0], [x, x]]\n    zaugg-lena: [[x, x], [9N, 13]]\n"
                    "  supernumeraries:\n    zaugg-lena: [[11, 12], [x, x]]",
                )
            ],
        ),
    ),
    Case(
        code="player-on-both-sides",
        title="A player stands in both teams.",
        edits=[Replace(FIRST, _ROSA, "aebi-ruedi: [[8, 13], [11, 10]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[8, 13], [11, 10]]",
        points_at="aebi-ruedi",
        says="`aebi-ruedi` stands in `away`, but also in `home`, line 9",
        near_miss=NearMiss(
            title="A player makes replacement strikes for the own team.",
            edits=[
                Replace(
                    FIRST,
                    f"    {_ROSA}\n",
                    "  replacements:\n    - {by: kipfer-urs, strikes: [[8, 13], [11, 10]]}\n",
                )
            ],
        ),
    ),
    Case(
        code="short-handed",
        title="A side has fewer players than a team.",
        edits=[Replace(FIRST, f"    {_ROSA}\n", "")],
        path=FIRST,
        excerpt="    kipfer-urs: [[14, 9], [12, 16]]",
        points_at="kipfer-urs",
        severity="warning",
        says="`away` has fewer strikes than a team of 2: 1 in Ries 1, 1 in Ries 2, 1 in Ries 3, "
        "1 in Ries 4",
        advises="strikes made for missing players belong under `replacements`",
        near_miss=NearMiss(
            title="A rule set with a smaller team.",
            edits=[
                Replace(RULES, "team_size = 2", "team_size = 1"),
                Replace(FIRST, f"    {_ROSA}\n", ""),
                Replace(FIRST, f"    {_RUEDI}\n", ""),
            ],
        ),
    ),
    Case(
        code="few-player-points",
        title="Of a team only one player's points are given.",
        edits=[Replace(SECOND, "ries: [24, 21, 22, 20]", "player_points: {sahli-rosa: 48}")],
        path=SECOND,
        excerpt="  player_points: {sahli-rosa: 48}",
        points_at="{sahli-rosa: 48}",
        severity="warning",
        says="`home.player_points` names 1 of 2 players, and their sum counts as the side's points",
        advises="give all players; where not all are known, write the side's `points`, and under"
        " `named` those whose points are known",
        near_miss=NearMiss(
            title="The points of all players of a team.",
            edits=[
                Replace(
                    SECOND,
                    "ries: [24, 21, 22, 20]",
                    "player_points: {sahli-rosa: 48, kipfer-urs: 41}",
                )
            ],
        ),
    ),
    Case(
        code="supernumeraries-and-replacements",
        title="A side lists a supernumerary although it was short of a player.",
        edits=[
            Replace(
                FIRST,
                f"    {_JONAS}\n",
                "  replacements:\n    - {by: aebi-ruedi, strikes: [[15, 0], [16N, 14]]}\n"
                "  supernumeraries:\n    zaugg-lena: [[11, 12], [9, 13]]\n",
            )
        ],
        path=FIRST,
        excerpt="    zaugg-lena: [[11, 12], [9, 13]]",
        points_at="zaugg-lena",
        severity="warning",
        says="`home` lists supernumeraries although replacement strikes were made",
        advises="a supernumerary comes in for a missing player with a row under `strikes`",
        near_miss=NearMiss(
            title="One side has a supernumerary, the other replacement strikes.",
            edits=[
                Replace(
                    FIRST,
                    _JONAS,
                    f"{_JONAS}\n  supernumeraries:\n    zaugg-lena: [[11, 12], [9, 13]]",
                ),
                Replace(
                    FIRST,
                    f"    {_ROSA}\n",
                    "  replacements:\n    - {by: kipfer-urs, strikes: [[8, 13], [11, 10]]}\n",
                ),
            ],
        ),
    ),
    Case(
        code="player-returned",
        title="A player who was replaced strikes again.",
        edits=[
            Replace(
                FIRST,
                _JONAS,
                "bigler-jonas: [[15, x], [16N, 14]]\n    zaugg-lena: [[x, 12], [x, x]]",
            )
        ],
        path=FIRST,
        excerpt="    bigler-jonas: [[15, x], [16N, 14]]",
        points_at="bigler-jonas",
        severity="warning",
        says="`home.strikes.bigler-jonas` has strikes after an x; a player who left does not "
        "return",
        near_miss=NearMiss(
            title="A player comes in late and stays.",
            edits=[
                Replace(
                    FIRST,
                    _JONAS,
                    "bigler-jonas: [[15, x], [x, x]]\n    zaugg-lena: [[x, 12], [9N, 14]]",
                )
            ],
        ),
    ),
    Case(
        code="draft",
        title="Strikes are still to be entered.",
        edits=[_ruedi("[[18, _], [17, _]]")],
        path=FIRST,
        excerpt="    aebi-ruedi: [[18, _], [17, _]]",
        points_at="_",
        severity="draft",
        says="2 strikes are not entered yet; the sheet is a draft and counts nowhere",
        near_miss=NearMiss(
            title="A strike that scored nothing is entered.", edits=[_ruedi("[[18, 0], [17, 0]]")]
        ),
    ),
)
