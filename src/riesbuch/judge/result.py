"""Rules for the totals and the result of one sheet."""

from collections.abc import Iterator

from riesbuch.judge.strikes import has_whole_rows
from riesbuch.trade.cells import find_place, ries_words
from riesbuch.trade.ids import SideName, opponent_of
from riesbuch.trade.match import Depth, Match, Outcome, Side, traits_of
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Finding, all_of, finding
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.strikes import StrikeKind
from riesbuch.trade.tally import (
    column_total,
    columns,
    is_unfinished,
    least_struck_nummern,
    strikes_totals,
    struck_nummern,
    tally,
)


def ries_counts(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A side has as many Ries totals as a match has strikes; an abandoned one may have fewer."""
    for name, side in match.sides:
        written = {
            f"{name}.ries": side.ries,
            f"{name}.paper.ries": side.paper.ries if side.paper else None,
        }
        for place, ries in written.items():
            if ries is None or len(ries) == rules.ries_count:
                continue
            is_open = match.outcome is Outcome.ABANDONED or match.blank_totals
            if len(ries) < rules.ries_count and is_open:
                continue
            yield finding(
                match.position(place),
                "ries-count",
                "a match has {ries_count} totals, and `{place}` has {ries}",
                place=place,
                ries=len(ries),
                ries_count=rules.ries_count,
            )


def ries_beside_points(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Ries totals beside the points of their side agree with them; where one is not known, the
    points are given."""
    for name, side in match.sides:
        known = [total for total in side.ries or () if total is not None]
        place = f"{name}.ries"
        if side.points is None:
            if len(known) < len(side.ries or ()) and f"{name}.points" not in match.positions:
                yield finding(
                    match.position(place),
                    "ries-without-points",
                    "`{place}` has an unknown total, and the points of `{name}` are missing",
                    "write `points` in a line below; where they are not known either, leave `ries`"
                    " out",
                    place=place,
                    name=name,
                )
        elif sum(known) > side.points or (side.whole_ries and sum(known) < side.points):
            yield finding(
                match.position(place),
                "ries-differ",
                "the Ries totals of `{name}` add up to {added}, but its `points` are {points}"
                if side.whole_ries
                else "the known Ries totals of `{name}` alone add up to {added}, more than its"
                " {points} points",
                "correct the one that is mistyped",
                name=name,
                added=sum(known),
                points=side.points,
            )


def named_within_points(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """The players named have no more points together than their side."""
    for name, side in match.sides:
        added = sum(known.points or 0 for known in side.named)
        ries = side.whole_ries
        points = side.points if ries is None or side.points is not None else sum(ries)
        if points is not None and added > points:
            yield finding(
                match.position(f"{name}.named"),
                "named-above-points",
                "the players under `{name}.named` have {added} points together, more than the"
                " {points} of their side",
                "compare each with the source; a player of the other side belongs there",
                name=name,
                added=added,
                points=points,
            )


def unknown_strikes(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """An unknown strike needs the paper's totals: of its own side Ries totals or points, of the
    opponent the Nummern."""
    if StrikeKind.UNKNOWN not in match.kinds or match.blank_totals:
        return
    for name, side in match.sides:
        everywhere = side.team_rows + side.supernumeraries
        if StrikeKind.UNKNOWN not in traits_of(everywhere).kinds:
            continue
        position = next(
            (
                position
                for row in everywhere
                for inning, positions in zip(row.innings, row.strike_positions, strict=True)
                for strike, position in zip(inning, positions, strict=True)
                if strike.kind is StrikeKind.UNKNOWN
            ),
            (1, 1),
        )
        missing = []
        if side.paper is None or (side.paper.ries is None and side.paper.points is None):
            missing.append(Message("`{name}.paper` with `ries` or `points`", name=name))
        opponent_name = opponent_of(name)
        opponent = match.side(opponent_name)
        conceded = (opponent.nummern, opponent.paper.nummern if opponent.paper else None)
        if conceded == (None, None):
            where = f"{opponent_name}.paper" if opponent.rows is not None else opponent_name
            missing.append(Message("`{where}` with `nummern`", where=where))
        if missing:
            yield finding(
                position,
                "unknown-without-paper",
                Message.plural(
                    len(missing),
                    "an unknown strike needs the totals of the paper: {missing} is missing",
                    "an unknown strike needs the totals of the paper: {missing} are missing",
                    missing=all_of(missing),
                ),
                "if nothing is known of the whole side, give `ries` or `points` instead"
                " of `strikes`",
            )


def paper_control(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Totals written on the paper agree with what the sheet itself adds up to."""
    for name, side in match.sides:
        if side.paper is None or not has_whole_rows(side, match, rules):
            continue
        in_ries = list(_ries_control(match, name, side, rules))
        yield from in_ries
        yield from _points_control(match, name, side, counted_already=bool(in_ries))
        if has_whole_rows(match.side(opponent_of(name)), match, rules):
            yield from _nummern_control(match, name, side)


def _differs(match: Match, place: str, paper: int, added: int, what: str) -> Finding:
    gap = abs(paper - added)
    return finding(
        match.position(place),
        "paper-differs",
        "{what}: the paper has {paper}, but {added} adds up here; they differ by {gap}",
        "compare `{side}` with the paper, strike by strike",
        what=what,
        paper=paper,
        added=added,
        gap=gap,
        side=place.partition(".")[0],
    )


def _ries_control(match: Match, name: SideName, side: Side, rules: RuleSet) -> Iterator[Finding]:
    assert side.paper is not None
    if side.paper.ries is None:
        return
    if side.ries is not None:
        totals: list[tuple[int | None, int]] = [(total, total or 0) for total in side.ries]
    elif side.depth is Depth.STRIKES:
        totals = [
            (column_total(column), sum(strike.points for strike in column))
            for column in columns(side.team_rows)
        ]
    else:
        return
    for index, (paper, (total, least)) in enumerate(zip(side.paper.ries, totals, strict=False)):
        place = f"{name}.paper.ries.{index + 1}"
        what = Message("{ries} of `{name}`", ries=ries_words(index, rules), name=name)
        if total is not None and total != paper:
            yield _differs(match, place, paper, total, what)
        elif total is None and least > paper:
            known = Message("{what}, already its known strikes", what=what)
            yield _differs(match, place, paper, least, known)


def _points_control(
    match: Match, name: SideName, side: Side, *, counted_already: bool
) -> Iterator[Finding]:
    """``counted_already`` is whether a Ries total is told to be another: where the points are the
    sum of the paper's totals all the same, that is the same mistake."""
    assert side.paper is not None
    paper = side.paper.points
    if paper is None:
        return
    place = f"{name}.paper.points"
    what = Message("points of `{name}`", name=name)
    added: int | None = None
    match side.depth:
        case Depth.STRIKES if side.holds(StrikeKind.UNKNOWN):
            known = sum(strike.points for row in side.team_rows for strike in row.strikes)
            if side.paper.ries is not None:
                added = sum(side.paper.ries)
                what = Message("points of `{name}`, by the paper's own Ries totals", name=name)
            elif known > paper:
                added = known
                what = Message("points of `{name}`, already the known strikes", name=name)
        case Depth.STRIKES if not is_unfinished(side):
            added = strikes_totals(side)[1]
        case Depth.PLAYERS if all(line.points is not None for line in side.player_points or ()):
            added = sum(line.points or 0 for line in side.player_points or ())
        case Depth.RIES:
            added = sum(side.whole_ries or ())
        case Depth.POINTS:
            added = side.points
        case _:
            pass
    if counted_already and paper == sum(side.paper.ries or ()):
        return
    if added is not None and added != paper:
        yield _differs(match, place, paper, added, what)


def _nummern_control(match: Match, name: SideName, side: Side) -> Iterator[Finding]:
    assert side.paper is not None
    paper = side.paper.nummern
    if paper is None:
        return
    opponent = match.side(opponent_of(name))
    counted = struck_nummern(opponent)
    least = least_struck_nummern(opponent)
    place = f"{name}.paper.nummern"
    what = Message(
        "Nummern that `{name}` conceded, off the strikes of `{opponent}`",
        name=name,
        opponent=opponent_of(name),
    )
    if counted is not None and counted != paper:
        yield _differs(match, place, paper, counted, what)
    elif counted is None and opponent.holds(StrikeKind.UNKNOWN) and least > paper:
        known = Message("{what}, already the known ones", what=what)
        yield _differs(match, place, paper, least, known)
    elif counted is None and side.nummern is not None and side.nummern != paper:
        yield _differs(
            match, place, paper, side.nummern, Message("Nummern that `{name}` conceded", name=name)
        )


def recorded_nummern(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Nummern recorded for a side are those that its opponent's strikes show."""
    for name, side in match.sides:
        if side.nummern is None or side.rows is not None:
            continue
        opponent = match.side(opponent_of(name))
        counted = struck_nummern(opponent) if has_whole_rows(opponent, match, rules) else None
        if counted is not None and counted != side.nummern:
            yield finding(
                match.position(f"{name}.nummern"),
                "nummern-differ",
                "`{name}.nummern` is {nummern}, but the strikes of `{opponent}` show {counted}",
                name=name,
                nummern=side.nummern,
                opponent=opponent_of(name),
                counted=counted,
            )


def awards(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """`awarded` goes with a forfeited match, `moved_to` with a postponed one."""
    if match.outcome is Outcome.FORFEITED and "awarded" not in match.positions:
        yield finding(
            match.position("outcome"),
            "award-missing",
            "a forfeited match needs `awarded: home` or `awarded: away`",
            "name the side that the match was awarded to",
        )
    outcome_is_read = match.outcome is not Outcome.PLAYED or "outcome" not in match.positions
    is_plain = outcome_is_read or match.whole
    if match.outcome is not Outcome.FORFEITED and "awarded" in match.positions and is_plain:
        yield finding(
            match.position("awarded"),
            "award-without-forfeit",
            "`awarded` goes with `outcome: forfeited`, not with `outcome: {outcome}`",
            "the winner of a match that was played comes from its figures",
            outcome=match.outcome,
        )
    if match.outcome is not Outcome.POSTPONED and "moved_to" in match.positions:
        yield finding(
            match.position("moved_to"),
            "moved-without-postponement",
            "`moved_to` goes with `outcome: postponed`, not with `outcome: {outcome}`",
            outcome=match.outcome,
        )


def recorded_winner(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A given `winner` does not contradict the figures, nor the award."""
    if match.winner is None or match.is_draft:
        return
    if match.outcome is Outcome.POSTPONED:
        yield finding(
            match.position("winner"),
            "winner-contradicts",
            "a postponed match has no winner yet",
            "leave `winner` out, or set `outcome: played`",
        )
        return
    added_up = tally(match, rules, CompetitionKind.FRIENDLY)
    if added_up.winner is None or added_up.winner == match.winner:
        return
    given, found = (
        Message("a draw") if winner == "draw" else f"`{winner}`"
        for winner in (match.winner, added_up.winner)
    )
    why = {
        "nummern": Message(
            "Nummern conceded {home} to {away}",
            home=added_up.home.nummern,
            away=added_up.away.nummern,
        ),
        "points": Message(
            "points {home} to {away}", home=added_up.home.points, away=added_up.away.points
        ),
        "longest_ries": Message("the best Ries totals"),
        "award": Message("the award"),
    }.get(added_up.decided_by or "", Message("figures level throughout"))
    nummern_unknown = None in (added_up.home.nummern, added_up.away.nummern)
    yield finding(
        match.position("winner"),
        "winner-contradicts",
        "`winner` says {given}, but the sheet gives {found}: {why}",
        Message("Nummern decide before points: give the `nummern` of both sides")
        if nummern_unknown and added_up.decided_by == "points"
        else Message("leave `winner` out where the figures decide"),
        given=given,
        found=found,
        why=why,
    )


def known_result(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A match that was played has a result, from its figures or recorded."""
    if match.outcome is not Outcome.PLAYED or match.is_draft:
        return
    sides = (match.home, match.away)
    if any([is_unfinished(side) or side.holds(StrikeKind.UNKNOWN) for side in sides]):
        return
    if match.home.rows and match.away.rows:
        # Every figure of both sides is known, so that they are a win or a draw.
        return
    if tally(match, rules, CompetitionKind.FRIENDLY).winner is None:
        yield finding(
            match.position("home"),
            "result-unknown",
            "nothing here tells who won, so the match counts nowhere",
            "give figures of both sides, or `winner: home`, `away` or `draw`",
        )


def figures_without_play(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A forfeited or postponed match has no figures."""
    if match.outcome not in (Outcome.FORFEITED, Outcome.POSTPONED):
        return
    for name, side in match.sides:
        if side.depth is not Depth.NONE or side.ries or side.named:
            yield finding(
                match.position(name),
                "figures-without-play",
                "the figures of `{name}` count nowhere beside `outcome: {outcome}`",
                "delete them, or set `outcome: played`",
                name=name,
                outcome=match.outcome,
            )


def different_teams(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A team does not meet itself."""
    if match.home.team is not None and match.home.team == match.away.team:
        yield finding(
            match.position("away.team"),
            "same-team-twice",
            "`{team}` stands on both sides",
            team=match.away.team,
        )


def doubted_places(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A doubt points at a place that is in the sheet."""
    for doubt in match.doubts:
        in_doubt = doubt.at.partition(".")[0]
        if any(name == in_doubt and side.incomplete for name, side in match.sides):
            continue
        if find_place(match, doubt.at) is None:
            yield finding(
                doubt.position,
                "doubt-nowhere",
                "the sheet has no place `{at}`",
                "a place is written home.strikes.PLAYER.INNING.STRIKE or home.points",
                at=doubt.at,
            )


def draft_blanks(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A sheet with blanks is a draft and counts nowhere."""
    if not match.is_draft:
        return
    blanks, totals = list(match.blank_positions()), match.blank_totals
    if blanks:
        yield finding(
            blanks[0],
            "draft",
            Message.plural(
                len(blanks),
                "{count} strike is not entered yet; the sheet is a draft and counts nowhere",
                "{count} strikes are not entered yet; the sheet is a draft and counts nowhere",
            ),
        )
    else:
        yield finding(
            totals[0],
            "draft",
            Message.plural(
                len(totals),
                "{count} total of the paper is not entered yet; the sheet is a draft and counts"
                " nowhere",
                "{count} totals of the paper are not entered yet; the sheet is a draft and counts"
                " nowhere",
            ),
            "write what stands on the paper, or delete the line `paper`",
        )
