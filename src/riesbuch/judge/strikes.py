"""Rules for the strikes of one sheet."""

from collections.abc import Iterator

from riesbuch.trade.cells import ordinal, ries_words
from riesbuch.trade.ids import PlayerId, Position
from riesbuch.trade.match import Match, Outcome, Row, RowTraits, ShortRow, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Finding, finding, in_a_row
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import Inning, Strike, StrikeKind, write_innings, write_strike
from riesbuch.trade.tally import columns, is_unfinished

_ALL_STRUCK = frozenset({StrikeKind.STRUCK, StrikeKind.UNKNOWN})


def has_whole_rows(side: Side, match: Match, rules: RuleSet) -> bool:
    """Whether every row has the innings and strikes of the rule set, so that columns line up."""
    if side.incomplete:
        return False
    return _is_whole(side, rules) or all([_row_fits(row, match, rules) for row in side.team_rows])


def _is_whole(side: Side, rules: RuleSet) -> bool:
    return side.traits.shapes <= {(rules.strikes_per_inning,) * rules.innings}


def _row_fits(row: Row, match: Match, rules: RuleSet) -> bool:
    innings = row.innings
    if len(innings) == rules.innings and all(
        [len(inning) == rules.strikes_per_inning for inning in innings]
    ):
        return True
    lengths = [len(inning) for inning in innings]
    if match.outcome is Outcome.ABANDONED:
        # It may end early, so only the inning in which it ended may be short.
        whole = [rules.strikes_per_inning] * max(len(lengths) - 1, 0)
        return (
            len(lengths) <= rules.innings
            and lengths[:-1] == whole
            and all(length <= rules.strikes_per_inning for length in lengths)
        )
    return False


def row_lengths(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A row has as many innings as the rule set says and as many strikes in each; in an
    abandoned match it may end early."""
    if all(
        [_is_whole(side, rules) and not side.supernumeraries for side in (match.home, match.away)]
    ):
        return
    for place, row in match.placed_rows:
        if _row_fits(row, match, rules):
            continue
        if isinstance(row.cells, ShortRow):
            yield _short_row_length(place, row, row.cells, rules)
            continue
        strikes, size = row.strikes, rules.strikes_per_inning
        if len(strikes) == rules.ries_count and StrikeKind.UNREADABLE not in row.kinds:
            yield finding(
                row.inning_positions[0],
                "innings-count",
                "the strikes of `{place}` are not parted into innings of {size}",
                "write {row}",
                place=place,
                size=size,
                row=write_innings(strikes[at : at + size] for at in range(0, len(strikes), size)),
            )
            continue
        if len(row.innings) != rules.innings and match.outcome is not Outcome.ABANDONED:
            yield finding(
                row.position,
                "innings-count",
                Message.plural(
                    len(row.innings),
                    "`{place}` has {count} inning; a match has {innings}",
                    "`{place}` has {count} innings; a match has {innings}",
                    place=place,
                    innings=rules.innings,
                ),
                "write x for strikes not struck",
            )
        elif len(row.innings) > rules.innings:
            yield finding(
                row.position,
                "innings-count",
                Message.plural(
                    len(row.innings),
                    "`{place}` has {count} inning; a match has at most {innings}",
                    "`{place}` has {count} innings; a match has at most {innings}",
                    place=place,
                    innings=rules.innings,
                ),
            )
        for number, inning in enumerate(row.innings, start=1):
            ended_here = match.outcome is Outcome.ABANDONED and number == len(row.innings)
            short_allowed = ended_here and len(inning) < rules.strikes_per_inning
            if len(inning) != rules.strikes_per_inning and not short_allowed:
                yield finding(
                    row.inning_positions[number - 1],
                    "strikes-count",
                    Message.plural(
                        len(inning),
                        "`{place}` has {count} strike in the {inning} inning; each inning has"
                        " {strikes}",
                        "`{place}` has {count} strikes in the {inning} inning; each inning has"
                        " {strikes}",
                        place=place,
                        inning=ordinal(number),
                        strikes=rules.strikes_per_inning,
                    ),
                    Message("write x for a strike not struck")
                    if len(inning) < rules.strikes_per_inning
                    else Message("delete the extra strike, or begin the next inning with `], [`"),
                )


def _short_row_length(place: str, row: Row, typed: ShortRow, rules: RuleSet) -> Finding:
    wanted = rules.ries_count
    padded = [strike.written for strike in row.strikes] + ["x"] * wanted
    return finding(
        typed.position,
        "strikes-count",
        Message.plural(
            len(row.strikes),
            "`{place}` has {count} strike; a match has {wanted}",
            "`{place}` has {count} strikes; a match has {wanted}",
            place=place,
            wanted=wanted,
        ),
        "write all of them in order, x for one not struck: {row}"
        if len(row.strikes) < wanted
        else "delete the extra strike",
        row=" ".join(padded[:wanted]),
    )


def strike_values(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A strike is at most the rule set's highest, and a Nummer falls in the Nummer zone."""
    highest, zone = rules.highest_points, rules.nummer_zone

    def is_allowed(traits: RowTraits | Inning) -> bool:
        return traits.highest <= highest and (
            not traits.nummern
            or (zone.first <= min(traits.nummern) and max(traits.nummern) <= zone.last)
        )

    if all(map(is_allowed, match.traits)):
        return
    for place, row in match.placed_rows:
        if all(map(is_allowed, row.innings)):
            continue
        for at, position, strike in _placed_strikes(place, row):
            written = write_strike(strike)
            if strike.points > highest:
                yield finding(
                    position,
                    "strike-too-high",
                    "`{at}` is {written}; the highest strike is {highest}",
                    swapped_digits(strike.points, highest),
                    at=at,
                    written=written,
                    highest=highest,
                )
            if strike.nummer and strike.points == 0 < zone.first:
                yield finding(
                    position,
                    "nummer-on-nothing",
                    "`{at}` is {written}: a strike that scored nothing is no Nummer",
                    "write the points of the zone where the nouss came down, or 0",
                    at=at,
                    written=written,
                )
            elif strike.nummer and not zone.first <= strike.points <= zone.last:
                yield finding(
                    position,
                    "nummer-outside-zone",
                    "`{at}` is {written}: a Nummer falls between {first} and {last} points",
                    at=at,
                    written=written,
                    first=zone.first,
                    last=zone.last,
                )


def _placed_strikes(place: str, row: Row) -> Iterator[tuple[str, Position, Strike]]:
    for inning, strikes in enumerate(row.innings):
        for number, strike in enumerate(strikes):
            position = row.strike_positions[inning][number]
            yield f"{place}.{inning + 1}.{number + 1}", position, strike


def swapped_digits(points: int, highest: int) -> str:
    swapped = int(str(points)[::-1])
    return Message("did you mean {near}?", near=swapped) if 0 < swapped <= highest else ""


def column_sizes(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A column holds no more struck strikes than the team size, and a whole side no fewer."""
    for name, side in match.sides:
        if not side.rows or not has_whole_rows(side, match, rules):
            continue
        position = match.position(f"{name}.strikes")
        struck = _struck_by_column(side, rules)
        over = [index for index, count in enumerate(struck) if count > rules.team_size]
        if over:
            details = in_a_row(
                Message("{count} in {ries}", count=struck[index], ries=ries_words(index, rules))
                for index in over
            )
            yield finding(
                position,
                "too-many-strikes",
                "`{name}` has more strikes than a team of {team_size}: {details}",
                "players beyond the team size belong under `supernumeraries`; write x"
                " where somebody came in for another",
                name=name,
                team_size=rules.team_size,
                details=details,
            )
        short = [index for index, count in enumerate(struck) if count < rules.team_size]
        if short and not is_unfinished(side) and match.outcome is Outcome.PLAYED:
            details = in_a_row(
                Message("{count} in Ries {number}", count=struck[index], number=index + 1)
                for index in short
            )
            yield finding(
                position,
                "short-handed",
                "`{name}` has fewer strikes than a team of {team_size}: {details}",
                "strikes made for missing players belong under `replacements`",
                name=name,
                team_size=rules.team_size,
                details=details,
            )


def player_points_of_all(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Players' points that add up to a side's are those of a whole team."""
    if match.outcome not in (Outcome.PLAYED, Outcome.ABANDONED):
        return
    for name, side in match.sides:
        given = len(side.player_points or ())
        if side.player_points is not None and given < rules.team_size:
            yield finding(
                match.position(f"{name}.player_points"),
                "few-player-points",
                "`{name}.player_points` names {given} of {team_size} players, and their"
                " sum counts as the side's points",
                "give all players; where not all are known, write the side's `points`, and under"
                " `named` those whose points are known",
                name=name,
                given=given,
                team_size=rules.team_size,
            )


def _struck_by_column(side: Side, rules: RuleSet) -> list[int]:
    rows = side.team_rows
    if not _is_whole(side, rules):
        return [sum([strike.is_struck for strike in column]) for column in columns(rows)]
    struck = [len(rows)] * rules.ries_count
    if not side.kinds <= _ALL_STRUCK:
        for row in rows:
            if not row.kinds <= _ALL_STRUCK:
                for index, strike in enumerate(row.strikes):
                    struck[index] -= not strike.is_struck
    return struck


def players_once(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Nobody strikes twice for a side in one column, and nobody for both sides."""
    everybody = [row.player for row in match.all_rows]
    everybody += [line.player for _, side in match.sides for line in side.by_points]
    if len(set(everybody)) == len(everybody):
        return
    seen: dict[PlayerId, tuple[str, Position]] = {}
    for name, side in match.sides:
        struck: dict[PlayerId, set[int]] = {}
        mentions = [
            (row.player, row.position, _struck_columns(row)) for row in side.individual_rows
        ]
        mentions += [(line.player, line.position, set()) for line in side.by_points]
        for player, position, struck_columns in mentions:
            if struck.setdefault(player, set()) & struck_columns:
                yield finding(
                    position,
                    "repeated-player",
                    "`{player}` stands twice in `{name}` with strikes in the same column",
                    "a supernumerary who came in strikes in one row where the other has x",
                    player=player,
                    name=name,
                )
            struck[player] |= struck_columns
        mentions += [(row.player, row.position, set()) for row in side.replacements]
        for player, position, _ in mentions:
            other_name, other_position = seen.setdefault(player, (name, position))
            if other_name != name:
                yield finding(
                    position,
                    "player-on-both-sides",
                    "`{player}` stands in `{name}`, but also in `{other_name}`, line {line}",
                    player=player,
                    name=name,
                    other_name=other_name,
                    line=other_position[0],
                )


def _struck_columns(row: Row) -> set[int]:
    if row.kinds <= _ALL_STRUCK:
        return set(range(len(row.strikes)))
    return {index for index, strike in enumerate(row.strikes) if strike.is_struck}


def supernumeraries_beside_replacements(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Supernumeraries are listed only where no replacement strikes are made: a side that is
    short has nobody over."""
    for name, side in match.sides:
        if side.supernumeraries and side.replacements:
            yield finding(
                match.position(f"{name}.supernumeraries"),
                "supernumeraries-and-replacements",
                "`{name}` lists supernumeraries although replacement strikes were made",
                "a supernumerary comes in for a missing player with a row under `strikes`",
                name=name,
            )


def nobody_returns(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A replaced player does not return."""
    if StrikeKind.NOT_STRUCK not in match.kinds or not any(map(_returns, match.all_rows)):
        return
    for place, row in match.placed_rows:
        if ".replacements." not in place and _returns(row):
            yield finding(
                row.position,
                "player-returned",
                "`{place}` has strikes after an x; a player who left does not return",
                place=place,
            )


def _returns(row: Row) -> bool:
    """Whether strikes follow an x that follows strikes."""
    kinds = row.kinds
    if StrikeKind.NOT_STRUCK not in kinds or len(kinds) == 1:
        return False
    absent = [strike.kind is StrikeKind.NOT_STRUCK for strike in row.strikes]
    after = absent[absent.index(False) :]
    return True in after and False in after[after.index(True) :]
