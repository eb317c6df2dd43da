"""The page of one match: its result, how it went, who struck what, and where that is known from."""

from collections.abc import Iterable, Iterator, Sequence

from riesbuch.pages.drawings import Drawing, images
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
from riesbuch.trade.course import Lead, first_inning, leads
from riesbuch.trade.ids import PlayerId, SideName
from riesbuch.trade.match import (
    PLAYER_KEYS,
    Correction,
    Depth,
    Match,
    Outcome,
    Row,
    Seal,
    Side,
    Source,
)
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import Strike, StrikeKind, write_strike
from riesbuch.trade.tally import OUTCOMES_IN_TABLES, SideTally


def match_text(
    wording: Wording,
    results: CompetitionResults,
    recorded: RecordedMatch,
    story: Markdown = NOTHING,
    drawings: Sequence[Drawing] = (),
) -> str:
    """``story`` tells the match in a paragraph, and stands below its result."""
    match, year = recorded.match, results.year
    here = match_page(match.sheet)
    known = results.competition.part(match.part)
    part = [escape(known.name)] if known else []
    return wording.page(
        here,
        joined([wording.sides(match.home.team, match.away.team), *part]),
        sentences(
            strong(wording.say("Result:")),
            outcome_sentence(wording, recorded),
            _deciding_figures(wording, recorded, has_story=story != NOTHING),
        ),
        story,
        _figures(wording, results, recorded, here),
        bullets(_around(wording, match, part)),
        _course(wording, recorded, results.rules, images(here, drawings)),
        _side(wording, match, "home", recorded.tally.home, results.rules),
        _side(wording, match, "away", recorded.tally.away, results.rules),
        _legend(wording, match),
        *_provenance(wording, here, recorded),
        ways=[
            wording.competition_title(year, results.competition, here),
            wording.season_title(year, here),
        ],
    )


def _figures(
    wording: Wording, results: CompetitionResults, recorded: RecordedMatch, here: str
) -> Markdown:
    tally = recorded.tally
    if tally.outcome not in OUTCOMES_IN_TABLES:
        return NOTHING
    rank_points: PageColumn[SideTally] = wording.figure_column(
        "Rank points", lambda side: side.rank_points if tally.counts else None
    )
    return table(
        [tally.home, tally.away],
        wording.column("Team", lambda side: wording.team(side.team, here)),
        wording.figure_column("Nummern", lambda side: side.nummern),
        wording.figure_column("Points", lambda side: side.points),
        rank_points if is_league(results) else None,
    )


def _around(wording: Wording, match: Match, part: Sequence[Markdown]) -> list[Markdown]:
    """Date, round or part, and whatever else is known of the day."""
    day = joined([wording.date(match.date), *part])
    if not part and match.round is not None:
        day = wording.say("{date}, round {number}", date=day, number=Markdown(str(match.round)))
    items = [wording.say("Date: {date}", date=day)]
    if match.ground is not None:
        items.append(wording.say("Ground: {text}", text=wording.text(match.ground, match.season)))
    if match.weather is not None:
        items.append(wording.say("Weather: {text}", text=wording.text(match.weather, match.season)))
    if match.notes is not None:
        items.append(wording.say("Notes: {text}", text=wording.text(match.notes, match.season)))
    if match.referees:
        names = joined(wording.text(name, match.season) for name in match.referees)
        items.append(
            wording.counted(
                len(match.referees), "Referee: {names}", "Referees: {names}", names=names
            )
        )
    if match.home.rows is not None and match.away.rows is not None:
        first = match.side(match.strikes_first).team
        items.append(wording.say("Struck first: {team}", team=wording.team(first)))
    return items


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


def _deciding_figures(wording: Wording, recorded: RecordedMatch, *, has_story: bool) -> Markdown:
    """The figures that settled it, as far as there are any to add to the sentence. A story
    below begins with the Nummern that settled it."""
    tally = recorded.tally
    if tally.winner not in ("home", "away"):
        return NOTHING
    mine, theirs = tally.home, tally.away
    if tally.winner == "away":
        mine, theirs = theirs, mine
    if tally.decided_by == "nummern" and not has_story:
        return wording.say(
            "It conceded {winner}, the other side {loser}.",
            winner=wording.number(mine.nummern),
            loser=wording.number(theirs.nummern),
        )
    if tally.decided_by == "points" and mine.points is not None and theirs.points is not None:
        return wording.counted(
            mine.points - theirs.points,
            "It was {count} point ahead.",
            "It was {count} points ahead.",
        )
    return NOTHING


def _course(
    wording: Wording, recorded: RecordedMatch, rules: RuleSet, pictures: Sequence[Markdown]
) -> Markdown:
    """The match Ries by Ries; nothing where the Ries totals are not known."""
    tally = recorded.tally
    steps = [*enumerate(leads(tally), start=1)]
    remarks = [*_nummern(wording, recorded.match), *_best(wording, recorded.match)]
    after_first = None if steps else first_inning(recorded.match, tally, rules)
    if tally.outcome not in (Outcome.PLAYED, Outcome.ABANDONED):
        return NOTHING
    if not (steps or remarks or after_first):
        return NOTHING
    names = {"home": wording.team(tally.home.team), "away": wording.team(tally.away.team)}

    def in_front(lead: Lead) -> Markdown:
        if lead.leader == "draw":
            return wording.say("level")
        return wording.say(
            "{team} by {points}",
            team=names[lead.leader],
            points=wording.number(abs(lead.home - lead.away)),
        )

    if after_first is not None:
        remarks.insert(
            0,
            wording.say(
                "After the first inning: {home} {home_points}, {away} {away_points}.",
                home=names["home"],
                home_points=wording.number(after_first.home),
                away=names["away"],
                away_points=wording.number(after_first.away),
            ),
        )
    return wording.titled(
        "The course of the match",
        *pictures,
        table(
            steps,
            wording.figure_column("After Ries", lambda step: step[0]),
            wording.figures(names["home"], lambda step: step[1].home),
            wording.figures(names["away"], lambda step: step[1].away),
            wording.column("In front", lambda step: in_front(step[1])),
        ),
        bullets(remarks),
    )


def _nummern(wording: Wording, match: Match) -> Iterator[Markdown]:
    """Off whose strikes there were Nummern, and in which."""
    for _, side in match.sides:
        struck = [
            wording.say(
                "{name} ({strikes})",
                name=_player(wording, match, row.player),
                strikes=Markdown(", ".join(_places(row))),
            )
            for row in side.team_rows
            if row.nummern
        ]
        if struck:
            yield wording.say(
                "Nummern off the strikes of {team}: {strikes}",
                team=wording.team(side.team),
                strikes=Markdown("; ".join(struck)),
            )


def _places(row: Row) -> Iterator[str]:
    for inning, strikes in enumerate(row.innings, start=1):
        for number, strike in enumerate(strikes, start=1):
            if strike.nummer:
                yield f"{inning}.{number}"


def _best(wording: Wording, match: Match) -> Iterator[Markdown]:
    points: dict[Markdown, int] = {}
    for _, side in match.sides:
        for row in side.rows or ():
            total = row.total if row.took_part else None
            if total is not None:
                points[_player(wording, match, row.player)] = total
        for known in side.player_points or ():
            if known.points is not None:
                points[_player(wording, match, known.player)] = known.points
    most = max(points.values(), default=0)
    if most:
        best = [name for name, total in points.items() if total == most]
        yield wording.say(
            "Most points: {names}, {points}",
            names=wording.listed(best),
            points=wording.number(most),
        )


def _player(wording: Wording, match: Match, player: PlayerId) -> Markdown:
    return wording.player(player, match.season, match_page(match.sheet))


def _side(
    wording: Wording, match: Match, name: SideName, tally: SideTally, rules: RuleSet
) -> Markdown:
    """A team alone, with nothing to be said of it, needs no heading: it stands in the title."""
    side = match.side(name)
    blocks = []
    if side.captain is not None:
        captain = _player(wording, match, side.captain)
        blocks.append(wording.say("Captain: {name}", name=captain))
    if side.rows is None and match.outcome in (Outcome.PLAYED, Outcome.ABANDONED):
        ries = joined(map(wording.number, tally.ries or ()), " + ")
        points = wording.number(tally.points)
        if side.named and side.depth is not Depth.RIES:
            blocks.append(wording.say("Points of the whole side: {points}.", points=points))
        else:
            blocks.append(_depth(wording, side.depth, ries, points))
        if tally.ries is None and side.ries is not None:
            known = joined([wording.number(total) for total in side.ries], " + ")
            blocks.append(wording.say("Ries totals, as far as they are known: {ries}.", ries=known))
    if side.rows is not None:
        blocks.append(_strikes(wording, match, side, tally, rules))
    if side.named:
        known_as = wording.named_by(match.source_kind)
        blocks.append(
            wording.say("Players {named}; the points of the others are not known:", named=known_as)
        )
    if side.by_points:
        total = [strong(wording.say("Total")), strong(wording.number(tally.points))]
        blocks.append(
            table(
                side.by_points,
                wording.column("Player", lambda known: _player(wording, match, known.player)),
                wording.figure_column("Points", lambda known: known.points),
                closing=None if side.named else total,
            )
        )
    if side.supernumeraries:
        remark = wording.say("They score for themselves, not for the team.")
        rows = _strike_table(wording, rules, _numbered(wording, match, side.supernumeraries))
        blocks.append(wording.titled("Supernumeraries", remark, rows, level=3))
    return section(2, wording.team(side.team), *blocks)


def _depth(wording: Wording, depth: Depth, ries: Markdown, points: Markdown) -> Markdown:
    match depth:
        case Depth.STRIKES:
            return wording.say("Known strike by strike.")
        case Depth.PLAYERS:
            return wording.say("Of this side only the points of each player are known.")
        case Depth.RIES:
            return wording.say("Of this side only the Ries totals are known: {ries}.", ries=ries)
        case Depth.POINTS:
            return wording.say(
                "Of this side only the points in all are known: {points}.", points=points
            )
        case Depth.NONE:
            return wording.say("No figures are known of this side.")


_Line = tuple[Markdown, Markdown, Row]
"""A row of strikes with the number and the name that stand before it."""


def _numbered(wording: Wording, match: Match, rows: Iterable[Row]) -> list[_Line]:
    return [
        (wording.number(order), _player(wording, match, row.player), row)
        for order, row in enumerate(rows, start=1)
    ]


def _strike_table(
    wording: Wording,
    rules: RuleSet,
    lines: Sequence[_Line],
    closing: Sequence[Markdown] | None = None,
) -> Markdown:
    return table(
        lines,
        wording.figure_column("No.", lambda line: line[0]),
        wording.column("Player", lambda line: line[1]),
        *(
            _strike_column(wording, inning, number)
            for inning in range(rules.innings)
            for number in range(rules.strikes_per_inning)
        ),
        wording.figure_column("Points", lambda line: line[2].total if line[2].took_part else None),
        closing=closing,
    )


def _strike_column(wording: Wording, inning: int, number: int) -> PageColumn[_Line]:
    """Empty after an abandoned match's end."""

    def cell(line: _Line) -> Markdown:
        innings = line[2].innings
        struck = innings[inning] if inning < len(innings) else ()
        return _strike(struck[number]) if number < len(struck) else NOTHING

    return wording.figures(Markdown(f"{inning + 1}.{number + 1}"), cell)


def _strikes(
    wording: Wording, match: Match, side: Side, tally: SideTally, rules: RuleSet
) -> Markdown:
    lines = _numbered(wording, match, side.rows or ())
    for row in side.replacements:
        name = _player(wording, match, row.player)
        lines.append((NOTHING, wording.say("{name}, for a missing player", name=name), row))
    ries = [strong(wording.number(total)) for total in tally.ries or ()]
    ries += [NOTHING if ries else wording.unknown] * (rules.ries_count - len(ries))
    points = strong(wording.number(tally.points))
    closing = [NOTHING, strong(wording.say("Ries")), *ries, points]
    return _strike_table(wording, rules, lines, closing)


def _strike(strike: Strike) -> Markdown:
    if strike.kind is StrikeKind.UNKNOWN:
        return Markdown("?")
    written = escape(write_strike(strike))
    return strong(written) if strike.nummer else written


def _provenance(wording: Wording, here: str, recorded: RecordedMatch) -> list[Markdown]:
    match = recorded.match
    items = []
    if match.source is not None:
        items.append(
            wording.say("Source: {source}", source=_source(wording, match.source, match.season))
        )
    if match.seal is not None:
        items.append(_seal(wording, match, match.seal))
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
            words.append(
                wording.say(
                    "strike {inning}.{strike}", inning=escape(inning), strike=escape(strike)
                )
            )
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
