"""The page of one match: how it ended and went, who struck what, and where that is known from."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    bullets,
    escape,
    joined,
    link,
    section,
    sentences,
    strong,
    table,
)
from riesbuch.pages.outcomes import outcome_sentence
from riesbuch.pages.paths import match_page
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.agreement import Correction, Seal
from riesbuch.trade.course import first_inning
from riesbuch.trade.ids import PlayerId, SideName
from riesbuch.trade.match import PLAYER_KEYS, Depth, Match, Outcome, Row, Source
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.signing import Proof, SealVerdict
from riesbuch.trade.strikes import Strike, StrikeKind, write_strike
from riesbuch.trade.tally import OUTCOMES_IN_TABLES, Tally

_STRUCK = (Outcome.PLAYED, Outcome.ABANDONED)
_BESIDE = "\u202f·\u202f"
"""Between strikes, which stay on one line."""


def match_text(
    wording: Wording,
    results: CompetitionResults,
    recorded: RecordedMatch,
    story: Markdown = NOTHING,
) -> str:
    """``story`` tells the match and how it ended; without one a sentence says that."""
    match, year = recorded.match, results.year
    here = match_page(match.sheet)
    known = results.competition.part(match.part)
    part = [escape(known.name)] if known else []
    return wording.page(
        here,
        joined([_heading(wording, recorded.tally), *part]),
        story or outcome_sentence(wording, recorded),
        _side_by_side(wording, results, recorded, here),
        _depths(wording, match),
        bullets(_around(wording, match, part)),
        _side(wording, match, "home", results.rules),
        _side(wording, match, "away", results.rules),
        _legend(wording, match),
        *_provenance(wording, here, recorded),
        ways=[
            wording.competition_title(year, results.competition, here),
            wording.season_title(year, here),
        ],
    )


def _heading(wording: Wording, tally: Tally) -> Markdown:
    """The teams with the score, and with the Nummern where they decided."""
    home, away = tally.home, tally.away
    sides = wording.sides(home.team, away.team)
    if tally.outcome not in _STRUCK:
        return sides
    nummern = NOTHING
    if tally.decided_by == "nummern":
        score = wording.pair(home.nummern, away.nummern)
        nummern = wording.say("(Nummern {score})", score=score)
    if home.points is None and away.points is None:
        return sentences(sides, nummern)
    return sentences(sides, wording.pair(home.points, away.points), nummern)


class _Figures(NamedTuple):
    title: Markdown
    home: Markdown
    away: Markdown


def _side_by_side(
    wording: Wording, results: CompetitionResults, recorded: RecordedMatch, here: str
) -> Markdown:
    """The figures of both sides: each Ries, and what they come to."""
    tally = recorded.tally
    if tally.outcome not in OUTCOMES_IN_TABLES:
        return NOTHING
    lines = [*_ries(wording, recorded.match, tally, results.rules)]

    points, unmarked = wording.say("Points"), Markdown
    figures = [
        (strong if lines else unmarked, points, tally.home.points, tally.away.points),
        (unmarked, wording.say("Nummern"), tally.home.nummern, tally.away.nummern),
    ]
    if tally.counts and is_league(results):
        rank_points = wording.say("Rank points")
        figures.append((unmarked, rank_points, tally.home.rank_points, tally.away.rank_points))
    lines += (
        _Figures(*map(mark, (title, wording.number(home), wording.number(away))))
        for mark, title, home, away in figures
        if home is not None or away is not None
    )
    return table(
        lines,
        wording.column("Side", lambda line: line.title),
        # To the left, so that a phone shows them though two long names should be too wide for it.
        PageColumn(wording.team(tally.home.team, here), lambda line: line.home),
        PageColumn(wording.team(tally.away.team, here), lambda line: line.away),
    )


def _ries(wording: Wording, match: Match, tally: Tally, rules: RuleSet) -> Iterator[_Figures]:
    """The Ries totals as far as any is known, and how it stood after the first inning. Nobody was
    ahead after a Ries, which adds up strikes from all over an inning."""
    home, away = (tally.side(name).ries or side.ries for name, side in match.sides)
    if match.outcome not in _STRUCK or not (home or away):
        return
    after_first = first_inning(match, tally, rules)
    for number in range(rules.ries_count):
        inning, strike = divmod(number, rules.strikes_per_inning)
        if inning == 1 and strike == 0 and after_first is not None:
            yield _Figures(
                wording.say("After the first inning"),
                *(wording.number(points) for points in (after_first.home, after_first.away)),
            )
        yield _Figures(
            wording.say("Ries {inning}.{strike}", inning=Markdown(f"{inning + 1}"),
                        strike=Markdown(f"{strike + 1}")),
            *(wording.number(ries[number] if number < len(ries) else None)
              for ries in (home or (), away or ())),
        )  # fmt: skip


def _depths(wording: Wording, match: Match) -> Markdown:
    """What is known of each side, where that is less than its strikes."""
    if match.outcome not in _STRUCK:
        return NOTHING
    if match.home.depth is match.away.depth and not (match.home.named or match.away.named):
        return _depth(wording, match.home.depth, wording.say("both sides"))
    return sentences(
        *(
            _depth(wording, side.depth, wording.team(side.team))
            for _, side in match.sides
            if not side.named
        )
    )


def _depth(wording: Wording, depth: Depth, of: Markdown) -> Markdown:
    say = wording.say
    return {
        Depth.STRIKES: NOTHING,
        Depth.PLAYERS: say("Of {side} only the points of each player are known.", side=of),
        Depth.RIES: say("Of {side} only the Ries totals are known.", side=of),
        Depth.POINTS: say("Of {side} only the points in all are known.", side=of),
        Depth.NONE: say("Of {side} no figures are known.", side=of),
    }[depth]


def _around(wording: Wording, match: Match, part: Sequence[Markdown]) -> Iterator[Markdown]:
    """Date, round or part, and whatever else is known of the day."""
    day = joined([wording.date(match.date), *part])
    if not part and match.round is not None:
        day = wording.say("{date}, round {number}", date=day, number=Markdown(str(match.round)))
    yield wording.say("Date: {date}", date=day)
    if match.ground is not None:
        yield wording.say("Ground: {text}", text=wording.text(match.ground, match.season))
    if match.weather is not None:
        yield wording.say("Weather: {text}", text=wording.text(match.weather, match.season))
    if match.notes is not None:
        yield wording.say("Notes: {text}", text=wording.text(match.notes, match.season))
    if match.referees:
        names = joined(wording.text(name, match.season) for name in match.referees)
        yield wording.counted(
            len(match.referees), "Referee: {names}", "Referees: {names}", names=names
        )
    if match.home.rows is not None and match.away.rows is not None:
        first = match.side(match.strikes_first).team
        yield wording.say("Struck first: {team}", team=wording.team(first))


def _legend(wording: Wording, match: Match) -> Markdown:
    kinds = {
        strike.kind
        for _, side in match.sides
        for row in side.team_rows + side.supernumeraries
        for strike in row.strikes
    }
    if not kinds:
        return NOTHING
    return sentences(
        wording.say(
            "2.1 is the first strike of the second inning. **16N** is a strike of 16 points"
            " that came down in the strip, a Nummer against the fielders; 0 is a Nuller; x"
            " was not struck."
        ),
        wording.say("A ? was struck, but its points are not known.")
        if StrikeKind.UNKNOWN in kinds
        else NOTHING,
    )


def _player(wording: Wording, match: Match, player: PlayerId) -> Markdown:
    return wording.player(player, match.season, match_page(match.sheet))


def _side(wording: Wording, match: Match, name: SideName, rules: RuleSet) -> Markdown:
    """A team with nothing to be said of it needs no heading: it stands in the title."""
    side = match.side(name)
    rows = [(_player(wording, match, row.player), row) for row in side.rows or ()]
    for row in side.replacements:
        replacing = _player(wording, match, row.player)
        rows.append((wording.say("{name}, for a missing player", name=replacing), row))
    blocks = [_strikes(wording, rules, rows)]
    if side.captain is not None:
        captain = _player(wording, match, side.captain)
        blocks.insert(0, wording.say("Captain: {name}", name=captain))
    if side.named:
        known_as = wording.named_by(match.source_kind)
        blocks.append(
            wording.say("Players {named}; the points of the others are not known:", named=known_as)
        )
    blocks.append(
        table(
            side.by_points,
            wording.column("Player", lambda known: _player(wording, match, known.player)),
            wording.figure_column("Points", lambda known: known.points),
        )
    )
    if side.supernumeraries:
        remark = wording.say("They score for themselves, not for the team.")
        rows = [(_player(wording, match, row.player), row) for row in side.supernumeraries]
        strikes = _strikes(wording, rules, rows)
        blocks.append(wording.titled("Supernumeraries", remark, strikes, level=3))
    return section(2, wording.team(side.team), *blocks)


def _strikes(wording: Wording, rules: RuleSet, rows: Sequence[tuple[Markdown, Row]]) -> Markdown:
    """A column for the strikes of an inning, so that a phone has room for everything."""
    return table(
        rows,
        wording.column("Player", lambda line: line[0]),
        *(_inning_column(wording, rules, inning) for inning in range(rules.innings)),
        wording.figure_column("Pts", lambda line: line[1].total if line[1].took_part else None),
    )


def _inning_column(
    wording: Wording, rules: RuleSet, inning: int
) -> PageColumn[tuple[Markdown, Row]]:
    """Empty after an abandoned match's end."""

    def cell(line: tuple[Markdown, Row]) -> Markdown:
        innings = line[1].innings
        return joined(map(_strike, innings[inning] if inning < len(innings) else ()), _BESIDE)

    numbers = (Markdown(f"{inning + 1}.{n + 1}") for n in range(rules.strikes_per_inning))
    return wording.figures(joined(numbers, " "), cell)


def _strike(strike: Strike) -> Markdown:
    if strike.kind is StrikeKind.UNKNOWN:
        return Markdown("?")
    written = escape(write_strike(strike))
    return strong(written) if strike.nummer else written


def _provenance(wording: Wording, here: str, recorded: RecordedMatch) -> list[Markdown]:
    match = recorded.match
    items = []
    if match.source is not None:
        source = _source(wording, match.source, match.season)
        items.append(wording.say("Source: {source}", source=source))
    if match.seal is not None:
        items.append(_seal(wording, match, match.seal))
        verdict = recorded.proven()
        items += [] if verdict is None else [_proof(wording, verdict)]
    items.append(link(here, recorded.path, wording.say("Match sheet")))
    doubts = (
        joined(
            [place_in_words(wording, match, doubt.at), wording.text(doubt.note, match.season)], ": "
        )
        for doubt in match.doubts
    )
    corrections = (_correction(wording, match, correction) for correction in match.corrections)
    return [
        wording.titled("The record", bullets(items)),
        wording.titled("Doubtful", bullets(doubts), level=3),
        wording.titled("Corrections", bullets(corrections), level=3),
    ]


def _source(wording: Wording, source: Source, season: int) -> Markdown:
    parts = wording.source(source.kind, source.reference, season)
    if source.transcribed_by is not None:
        name = wording.text(source.transcribed_by, season)
        parts.append(
            wording.say(
                "copied by {name}" if source.on is None else "copied by {name} on {date}",
                name=name,
                date=wording.date(source.on),
            )
        )
    elif source.on is not None:
        parts.append(wording.say("copied on {date}", date=wording.date(source.on)))
    return joined(parts)


def _seal(wording: Wording, match: Match, seal: Seal) -> Markdown:
    return wording.say(
        "Sealed by {home} ({home_team}) and {away} ({away_team})"
        if seal.on is None
        else "Sealed on {date} by {home} ({home_team}) and {away} ({away_team})",
        date=wording.date(seal.on),
        home=wording.text(seal.home, match.season),
        home_team=wording.team(match.home.team),
        away=wording.text(seal.away, match.season),
        away_team=wording.team(match.away.team),
    )


def _proof(wording: Wording, verdict: SealVerdict) -> Markdown:
    clubs = joined(map(wording.club, verdict.signed_by))
    match verdict.proof:
        case Proof.SIGNED:
            return wording.say("Signed by {clubs}", clubs=clubs)
        case Proof.PARTLY:
            missing = joined(map(wording.club, verdict.missing))
            return wording.say("Signed by {clubs}, not by {others}", clubs=clubs, others=missing)
        case Proof.WRONG:
            wrong = joined(wording.club(each.placed.club) for each in verdict.signatures
                           if each.wrong)  # fmt: skip
            return wording.say("The signature of {clubs} is wrong", clubs=wrong)
    return wording.say("Named only, not signed")


def _correction(wording: Wording, match: Match, correction: Correction) -> Markdown:
    return wording.say(
        "By {name}, agreed by {clubs}: {reason} ({changed})"
        if correction.on is None
        else "{date}, by {name}, agreed by {clubs}: {reason} ({changed})",
        date=wording.date(correction.on),
        name=wording.text(correction.by, match.season),
        clubs=wording.listed(map(wording.club, correction.agreed)),
        reason=wording.text(correction.reason, match.season),
        changed=joined((_change(wording, match, change) for change in correction.changed), "; "),
    )


def _change(wording: Wording, match: Match, written: str) -> Markdown:
    """``home.strikes.bigler-jonas.2.1: 14 -> 15`` with the place in words."""
    at, colon, change = written.partition(": ")
    if not colon:
        return wording.text(written, match.season)
    values = [_value(wording, match, at, value.strip()) for value in change.split("->")]
    return joined([place_in_words(wording, match, at), joined(values, " → ")], ": ")


def _value(wording: Wording, match: Match, at: str, written: str) -> Markdown:
    if at.endswith((".captain", ".by")) and written in wording.register.players:
        return wording.player(PlayerId(written), match.season)
    return wording.text(written, match.season)


def place_in_words(wording: Wording, match: Match, at: str) -> Markdown:
    """A place in the sheet in words, as far as there are words for it; else as it is written."""
    side, _, inside = at.strip().partition(".")
    teams = {name: written.team for name, written in match.sides}
    if side not in teams or not inside:
        return wording.text(at, match.season)
    words = [wording.team(teams[side])]
    match inside.split("."):
        case [field, player] if field in PLAYER_KEYS:
            words.append(wording.player(PlayerId(player), match.season))
        case [field, player, inning, strike] if field in PLAYER_KEYS:
            words.append(wording.player(PlayerId(player), match.season))
            at_strike = {"inning": escape(inning), "strike": escape(strike)}
            words.append(wording.say("strike {inning}.{strike}", **at_strike))
        case [field, *rest] if (name := _field(wording, field)) is not None:
            words.append(joined([name, *map(escape, rest)], " "))
        case _:
            words.append(wording.text(inside, match.season))
    return joined(words)


def _field(wording: Wording, key: str) -> Markdown | None:
    return {
        "nummern": wording.say("Nummern"),
        "points": wording.say("points"),
        "ries": wording.say("Ries"),
        "team": wording.say("team"),
        "captain": wording.say("captain"),
    }.get(key)
