"""Faults in a sheet's totals, and in what it says of the result."""

from tests.clubfolder import FIRST, SECOND, Replace, Write
from tests.problem_cases.model import Case, NearMiss

_JONAS = "    bigler-jonas: [[15, 0], [16N, 14]]\n"
_HOME_RIES = "ries: [24, 21, 22, 20]"


def _home_paper(paper: str) -> Replace:
    return Replace(FIRST, _JONAS, f"{_JONAS}  paper: {paper}\n")


def _named(players: str) -> Replace:
    return Replace(SECOND, _HOME_RIES, f"points: 87\n  named: {players}")


def _teams_alone(lines: str) -> Write:
    return Write(
        SECOND,
        f"competition: oberhang-1\nround: 2\ndate: 2026-05-10\n{lines}"
        "home: {team: birkenfluh-a}\naway: {team: aarwald-a}\n",
    )


def _away_nummern(count: int) -> Replace:
    return Replace(
        FIRST,
        "  strikes:\n    kipfer-urs: [[14, 9], [12, 16]]\n    sahli-rosa: [[8, 13], [11, 10]]\n",
        f"  points: 93\n  nummern: {count}\n",
    )


CASES = (
    Case(
        code="two-depths",
        title="A side gives its strikes and its points.",
        edits=[Replace(FIRST, _JONAS, f"{_JONAS}  points: 119\n")],
        path=FIRST,
        excerpt="  points: 119",
        points_at="119",
        says="`home` gives both `strikes` and `points`; a side gives one of strikes,",
        advises="totals that stand on the paper beside the strikes belong under `paper`",
        near_miss=NearMiss(
            title="The points of the paper beside the strikes.",
            edits=[_home_paper("{points: 119}")],
        ),
    ),
    Case(
        code="figures-misplaced",
        title="Nummern are given beside strikes, which show them.",
        edits=[Replace(FIRST, _JONAS, f"{_JONAS}  nummern: 0\n")],
        path=FIRST,
        excerpt="  nummern: 0",
        points_at="0",
        says="`home.nummern` stands beside strikes, from which Nummern are counted",
        advises="a total as written on the paper belongs under `paper`",
        near_miss=NearMiss(
            title="The Nummern of the paper beside the strikes.",
            edits=[_home_paper("{nummern: 0}")],
        ),
    ),
    Case(
        code="ries-count",
        title="A Ries total is missing.",
        edits=[Replace(SECOND, _HOME_RIES, "ries: [24, 21, 22]")],
        path=SECOND,
        excerpt="  ries: [24, 21, 22]",
        points_at="[24, 21, 22]",
        says="a match has 4 totals, and `home.ries` has 3",
        near_miss=NearMiss(
            title="The match was abandoned in the second inning.",
            edits=[
                Replace(SECOND, _HOME_RIES, "ries: [24, 21, 22]"),
                Replace(SECOND, "round: 2", "round: 2\noutcome: abandoned"),
            ],
        ),
    ),
    Case(
        code="ries-without-points",
        title="A Ries total is not known, and the points are not given.",
        edits=[Replace(SECOND, _HOME_RIES, "ries: [24, ~, 22, 20]")],
        path=SECOND,
        excerpt="  ries: [24, ~, 22, 20]",
        points_at="[24, ~, 22, 20]",
        says="`home.ries` has an unknown total, and the points of `home` are missing",
        advises="write `points` in a line below; where they are not known either, leave `ries` out",
        near_miss=NearMiss(
            title="The points stand beside Ries totals that are not all known.",
            edits=[Replace(SECOND, _HOME_RIES, "ries: [24, ~, 22, 20]\n  points: 87")],
        ),
    ),
    Case(
        code="ries-differ",
        title="The known Ries totals add up to more than the points.",
        edits=[Replace(SECOND, _HOME_RIES, "ries: [24, ~, 42, 22]\n  points: 87")],
        path=SECOND,
        excerpt="  ries: [24, ~, 42, 22]",
        points_at="[24, ~, 42, 22]",
        says="the known Ries totals of `home` alone add up to 88, more than its 87 points",
        advises="correct the one that is mistyped",
        near_miss=NearMiss(
            title="All Ries totals are known and add up to the points beside them.",
            edits=[Replace(SECOND, _HOME_RIES, f"{_HOME_RIES}\n  points: 87")],
        ),
    ),
    Case(
        code="named-above-points",
        title="The players of whom a newspaper tells have more points than their side.",
        edits=[_named("{sahli-rosa: 48, kipfer-urs: 41}")],
        path=SECOND,
        excerpt="  named: {sahli-rosa: 48, kipfer-urs: 41}",
        points_at="{sahli-rosa: 48, kipfer-urs: 41}",
        says="the players under `home.named` have 89 points together, more than the 87 of their"
        " side",
        advises="compare each with the source; a player of the other side belongs there",
        near_miss=NearMiss(
            title="They have just the points of their side.",
            edits=[_named("{sahli-rosa: 48, kipfer-urs: 39}")],
        ),
    ),
    Case(
        code="unknown-without-paper",
        title="A strike is illegible, and no totals of the paper are given.",
        edits=[Replace(FIRST, "[[15, 0], [16N, 14]]", "[[15, ~], [16N, 14]]")],
        path=FIRST,
        excerpt="    bigler-jonas: [[15, ~], [16N, 14]]",
        points_at="~",
        says="an unknown strike needs the totals of the paper: `home.paper` with `ries` or "
        "`points` and `away.paper` with `nummern`",
        advises="if nothing is known of the whole side, give `ries` or `points` instead",
        near_miss=NearMiss(
            title="The paper's totals fill the gap.",
            edits=[
                Replace(
                    FIRST,
                    _JONAS,
                    "    bigler-jonas: [[15, ~], [16N, 14]]\n  paper: {points: 119}\n",
                ),
                Replace(FIRST, "team: birkenfluh-a", "team: birkenfluh-a\n  paper: {nummern: 1}"),
            ],
        ),
    ),
    Case(
        code="paper-differs",
        title="The sheet does not add up to what is written on the paper.",
        edits=[_home_paper("{ries: [33, 20, 33, 38], nummern: 0}")],
        path=FIRST,
        excerpt="  paper: {ries: [33, 20, 33, 38], nummern: 0}",
        points_at="38",
        says="Ries 4 (second inning, second strike) of `home`: the paper has 38, but 33 adds up "
        "here; they differ by 5",
        advises="compare `home` with the paper, strike by strike",
        near_miss=NearMiss(
            title="It adds up.",
            edits=[_home_paper("{ries: [33, 20, 33, 33], points: 119, nummern: 0}")],
        ),
    ),
    Case(
        code="nummern-differ",
        title="A side's Nummern are not those that the other's strikes show.",
        edits=[_away_nummern(2)],
        path=FIRST,
        excerpt="  nummern: 2",
        points_at="2",
        says="`away.nummern` is 2, but the strikes of `home` show 1",
        near_miss=NearMiss(title="They are.", edits=[_away_nummern(1)]),
    ),
    Case(
        code="winner-contradicts",
        title="The winner given is not the one of the figures.",
        edits=[Replace(SECOND, "round: 2", "round: 2\nwinner: away")],
        path=SECOND,
        excerpt="winner: away",
        points_at="away",
        says="`winner` says `away`, but the sheet gives `home`: Nummern conceded 0 to 1",
        advises="leave `winner` out where the figures decide",
        near_miss=NearMiss(
            title="The winner of the figures, given all the same.",
            edits=[Replace(SECOND, "round: 2", "round: 2\nwinner: home")],
        ),
    ),
    Case(
        code="award-missing",
        title="A forfeited match does not say to whom it was awarded.",
        edits=[_teams_alone("outcome: forfeited\n")],
        path=SECOND,
        excerpt="outcome: forfeited",
        points_at="forfeited",
        says="a forfeited match needs `awarded: home` or `awarded: away`",
        advises="name the side that the match was awarded to",
        near_miss=NearMiss(
            title="It was awarded to the home side.",
            edits=[_teams_alone("outcome: forfeited\nawarded: home\n")],
        ),
    ),
    Case(
        code="award-without-forfeit",
        title="A match that was played is awarded to a side.",
        edits=[Replace(SECOND, "round: 2", "round: 2\nawarded: home")],
        path=SECOND,
        excerpt="awarded: home",
        points_at="home",
        says="`awarded` goes with `outcome: forfeited`, not with `outcome: played`",
        advises="the winner of a match that was played comes from its figures",
        near_miss=NearMiss(
            title="A forfeited match is awarded to the away side.",
            edits=[_teams_alone("outcome: forfeited\nawarded: away\n")],
        ),
    ),
    Case(
        code="moved-without-postponement",
        title="A match that was played has a day to which it was moved.",
        edits=[Replace(SECOND, "round: 2", "round: 2\nmoved_to: 2026-06-21")],
        path=SECOND,
        excerpt="moved_to: 2026-06-21",
        points_at="2026-06-21",
        says="`moved_to` goes with `outcome: postponed`, not with `outcome: played`",
        near_miss=NearMiss(
            title="A postponed match has one.",
            edits=[_teams_alone("outcome: postponed\nmoved_to: 2026-06-21\n")],
        ),
    ),
    Case(
        code="figures-without-play",
        title="A forfeited match has points.",
        edits=[
            Replace(SECOND, "round: 2", "round: 2\noutcome: forfeited\nawarded: home"),
            Replace(SECOND, "  points: 90\n  nummern: 1\n", ""),
        ],
        path=SECOND,
        excerpt="  team: birkenfluh-a\n  ries: [24, 21, 22, 20]",
        points_at="team",
        severity="warning",
        says="the figures of `home` count nowhere beside `outcome: forfeited`",
        advises="delete them, or set `outcome: played`",
        near_miss=NearMiss(
            title="A forfeited match without figures.",
            edits=[_teams_alone("outcome: forfeited\nawarded: home\n")],
        ),
    ),
    Case(
        code="result-unknown",
        title="Nothing tells who won.",
        edits=[_teams_alone("")],
        path=SECOND,
        excerpt="home: {team: birkenfluh-a}",
        points_at="{team",
        severity="warning",
        says="nothing here tells who won, so the match counts nowhere",
        advises="give figures of both sides, or `winner: home`, `away` or `draw`",
        near_miss=NearMiss(
            title="Only the winner is known.", edits=[_teams_alone("winner: draw\n")]
        ),
    ),
    Case(
        code="same-team-twice",
        title="A team meets itself.",
        edits=[Replace(SECOND, "team: aarwald-a", "team: birkenfluh-a")],
        path=SECOND,
        excerpt="  team: birkenfluh-a\n  points: 90",
        points_at="birkenfluh-a",
        says="`birkenfluh-a` stands on both sides",
        near_miss=NearMiss(
            title="Two teams of a club meet.",
            edits=[
                Replace(SECOND, "team: birkenfluh-a", "team: aarwald-b"),
                Replace(SECOND, "date: 2026-05-10", "date: 2026-05-03"),
            ],
        ),
    ),
    Case(
        code="doubt-nowhere",
        title="A doubt points at a strike that is not in the sheet.",
        edits=[
            Replace(
                FIRST,
                "round: 1",
                "round: 1\ndoubts: [{at: home.strikes.aebi-hans.2.1, note: blot}]",
            )
        ],
        path=FIRST,
        excerpt="doubts: [{at: home.strikes.aebi-hans.2.1, note: blot}]",
        points_at="home.strikes.aebi-hans.2.1",
        severity="warning",
        says="the sheet has no place `home.strikes.aebi-hans.2.1`",
        advises="a place is written home.strikes.PLAYER.INNING.STRIKE or home.points",
        near_miss=NearMiss(
            title="A doubt about a strike of the sheet.",
            edits=[
                Replace(
                    FIRST,
                    "round: 1",
                    "round: 1\ndoubts: [{at: home.strikes.aebi-ruedi.2.1, note: blot}]",
                )
            ],
        ),
    ),
)
