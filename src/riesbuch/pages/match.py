"""The page of one match: its result, how it went, who struck what, and where that is known from."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from riesbuch.pages.competition import competition_title, season_title
from riesbuch.pages.drawings import Drawing, shown
from riesbuch.pages.markdown import (
    NOTHING,
    Column,
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
    page,
    strong,
    table,
)
from riesbuch.pages.outcomes import outcome_sentence
from riesbuch.pages.paths import FRONT_PAGE, competition_page, match_page, season_page
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.course import leads
from riesbuch.trade.ids import PlayerId, SideName
from riesbuch.trade.match import Correction, Depth, Match, Outcome, Row, Seal, Side, Source
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import Strike, StrikeKind, write_strike
from riesbuch.trade.tally import OUTCOMES_IN_TABLES, SideTally, row_points


def match_text(
    wording: Wording,
    league: str,
    results: CompetitionResults,
    recorded: RecordedMatch,
    story: Markdown = NOTHING,
    drawings: Sequence[Drawing] = (),
) -> str:
    """``story`` tells the match in a paragraph, and stands below its result."""
    match = recorded.match
    here = match_page(match.sheet)
    competition = competition_page(results.year, results.competition.id)
    sides = [wording.team(match.home.team), wording.team(match.away.team)]
    names: tuple[SideName, SideName] = ("home", "away")
    return page(
        [
            heading(1, joined(sides, " – ")),
            joined(
                [
                    link(here, FRONT_PAGE, escape(league)),
                    link(
                        here,
                        competition,
                        competition_title(wording, results.year, results.competition),
                    ),
                    link(here, season_page(results.year), season_title(wording, results.year)),
                ],
                " · ",
            ),
            joined(
                [
                    strong(wording.say("Result:")),
                    outcome_sentence(wording, recorded),
                    *deciding_figures(wording, recorded, told=story != NOTHING),
                ],
                " ",
            ),
            story,
            _figures(wording, results, recorded, here),
            bullets(_around(wording, match)),
            *course_blocks(wording, recorded, *shown(here, drawings)),
            *(
                block
                for name in names
                for block in side_blocks(wording, here, recorded, name, results.rules)
            ),
            _legend(wording, match),
            *provenance(wording, here, recorded),
        ]
    )


def _figures(
    wording: Wording, results: CompetitionResults, recorded: RecordedMatch, here: str
) -> Markdown:
    tally = recorded.tally
    if tally.outcome not in OUTCOMES_IN_TABLES:
        return NOTHING
    columns = [wording.column("Team")]
    columns += [wording.figure_column("Nummern"), wording.figure_column("Points")]
    if is_league(results):
        columns.append(wording.figure_column("Rank points"))
    rows = []
    for side in (tally.home, tally.away):
        figures = [side.nummern, side.points]
        if is_league(results):
            figures.append(side.rank_points if tally.counts else None)
        rows.append(
            [wording.team(side.team, here), *(wording.number(figure) for figure in figures)]
        )
    return table(columns, rows)


def _around(wording: Wording, match: Match) -> list[Markdown]:
    """Date, round, and whatever else is known of the day."""
    day = wording.date(match.date)
    if match.round is not None:
        day = wording.say("{date}, round {number}", date=day, number=Markdown(str(match.round)))
    items = [wording.say("Date: {date}", date=day)]
    if match.ground is not None:
        items.append(wording.say("Ground: {text}", text=wording.text(match.ground)))
    if match.weather is not None:
        items.append(wording.say("Weather: {text}", text=wording.text(match.weather)))
    if match.notes is not None:
        items.append(wording.say("Notes: {text}", text=wording.text(match.notes)))
    if match.referees:
        names = joined(map(wording.text, match.referees))
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
    sentences = [
        wording.say(
            "2.1 is the first strike of the second inning. **16N** is a strike of 16 points"
            " that came down in the strip, a Nummer against the fielders; 0 is a Nuller; x"
            " was not struck."
        )
    ]
    if StrikeKind.UNKNOWN in kinds:
        sentences.append(wording.say("A ? was struck, but its points are not known."))
    return Markdown(" ".join(sentences))


def deciding_figures(
    wording: Wording, recorded: RecordedMatch, *, told: bool
) -> Iterator[Markdown]:
    """The figures that settled it, as far as there are any to add to the sentence. Where the match
    is ``told`` below, its story begins with the Nummern that settled it."""
    tally = recorded.tally
    if tally.winner not in ("home", "away"):
        return
    mine, theirs = tally.home, tally.away
    if tally.winner == "away":
        mine, theirs = theirs, mine
    if tally.decided_by == "nummern" and not told:
        yield wording.say(
            "It conceded {winner}, the other side {loser}.",
            winner=wording.number(mine.nummern),
            loser=wording.number(theirs.nummern),
        )
    elif tally.decided_by == "points" and mine.points is not None and theirs.points is not None:
        yield wording.counted(
            mine.points - theirs.points,
            "It was {count} point ahead.",
            "It was {count} points ahead.",
        )


def course_blocks(
    wording: Wording, recorded: RecordedMatch, picture: Markdown = NOTHING
) -> list[Markdown]:
    """The match Ries by Ries; nothing where the Ries totals are not known."""
    tally = recorded.tally
    steps = leads(tally)
    remarks = [*_nummern(wording, recorded.match), *_best(wording, recorded.match)]
    if tally.outcome not in (Outcome.PLAYED, Outcome.ABANDONED) or not (steps or remarks):
        return []
    blocks = [heading(2, wording.say("The course of the match")), picture]
    if steps:
        names = {"home": wording.team(tally.home.team), "away": wording.team(tally.away.team)}
        rows = []
        for number, step in enumerate(steps, start=1):
            lead = wording.say("level")
            if step.leader != "draw":
                lead = wording.say(
                    "{team} by {points}",
                    team=names[step.leader],
                    points=wording.number(abs(step.home - step.away)),
                )
            rows.append(
                [wording.number(number), wording.number(step.home), wording.number(step.away), lead]
            )
        columns = [
            wording.figure_column("After Ries"),
            Column(names["home"], figures=True),
            Column(names["away"], figures=True),
            wording.column("In front"),
        ]
        blocks.append(table(columns, rows))
    if remarks:
        blocks.append(bullets(remarks))
    return blocks


def _nummern(wording: Wording, match: Match) -> Iterator[Markdown]:
    """Off whose strikes there were Nummern, and in which."""
    for _, side in match.sides:
        struck = [
            wording.say(
                "{name} ({strikes})",
                name=_name(wording, match, row),
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
            total = row_points(row) if row.took_part else None
            if total is not None:
                points[_name(wording, match, row)] = total
        for each in side.player_points or ():
            if each.points is not None:
                points[wording.player(each.player, match.season, match_page(match.sheet))] = (
                    each.points
                )
    most = max(points.values(), default=0)
    if most:
        best = [name for name, total in points.items() if total == most]
        yield wording.say(
            "Most points: {names}, {points}",
            names=wording.listed(best),
            points=wording.number(most),
        )


def _name(wording: Wording, match: Match, row: Row) -> Markdown:
    return wording.player(row.player, match.season, match_page(match.sheet))


_EMPTY = Markdown("")


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What names are written by: the page that is being written, and its season."""

    wording: Wording
    here: str
    season: int

    def player(self, player: PlayerId) -> Markdown:
        return self.wording.player(player, self.season, self.here)


def side_blocks(
    wording: Wording, here: str, recorded: RecordedMatch, name: SideName, rules: RuleSet
) -> list[Markdown]:
    side, tally = recorded.match.side(name), recorded.tally.side(name)
    sheet = _Sheet(wording, here, recorded.match.season)
    blocks = [
        heading(2, wording.team(side.team)),
        *_facts(sheet, side, tally, recorded.match.outcome),
    ]
    if side.rows is not None:
        blocks.append(_strikes(sheet, side, tally, rules))
    if side.player_points is not None:
        blocks.append(_player_points(sheet, side, tally))
    if side.supernumeraries:
        blocks += [
            heading(3, wording.say("Supernumeraries")),
            wording.say("They score for themselves, not for the team."),
            table(
                _columns(wording, rules),
                [
                    _row(wording, wording.number(order), sheet.player(row.player), row, rules)
                    for order, row in enumerate(side.supernumeraries, start=1)
                ],
            ),
        ]
    # A team alone, with nothing to be said of it, needs no heading: it stands in the title.
    return blocks if len(blocks) > 1 else []


def _facts(sheet: _Sheet, side: Side, tally: SideTally, outcome: Outcome) -> list[Markdown]:
    wording = sheet.wording
    facts = []
    if side.captain is not None:
        facts.append(wording.say("Captain: {name}", name=sheet.player(side.captain)))
    if side.rows is None and outcome in (Outcome.PLAYED, Outcome.ABANDONED):
        ries = joined((wording.number(each) for each in tally.ries or ()), " + ")
        facts.append(_depth(wording, side.depth, ries, wording.number(tally.points)))
    return facts


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


def _columns(wording: Wording, rules: RuleSet) -> list[Column]:
    strikes = [
        Markdown(f"{inning + 1}.{strike + 1}")
        for inning in range(rules.innings)
        for strike in range(rules.strikes_per_inning)
    ]
    return [
        wording.figure_column("No."),
        wording.column("Player"),
        *(Column(title, figures=True) for title in strikes),
        wording.figure_column("Points"),
    ]


def _strikes(sheet: _Sheet, side: Side, tally: SideTally, rules: RuleSet) -> Markdown:
    wording = sheet.wording
    rows = [
        _row(wording, wording.number(order), sheet.player(row.player), row, rules)
        for order, row in enumerate(side.rows or (), start=1)
    ]
    rows += [
        _row(
            wording,
            _EMPTY,
            wording.say("{name}, for a missing player", name=sheet.player(row.player)),
            row,
            rules,
        )
        for row in side.replacements
    ]
    ries = [strong(wording.number(each)) for each in tally.ries or ()]
    ries += [_EMPTY if ries else wording.unknown] * (rules.ries_count - len(ries))
    rows.append([_EMPTY, strong(wording.say("Ries")), *ries, strong(wording.number(tally.points))])
    return table(_columns(wording, rules), rows)


def _row(
    wording: Wording, order: Markdown, name: Markdown, row: Row, rules: RuleSet
) -> list[Markdown]:
    points = wording.number(row_points(row)) if row.took_part else wording.unknown
    return [order, name, *_cells(wording, row.innings, rules), points]


def _cells(wording: Wording, innings: Sequence[Sequence[Strike]], rules: RuleSet) -> list[Markdown]:
    """A cell for every strike there could be; those after an abandoned match's end are empty."""
    cells: list[Markdown] = []
    for inning in range(rules.innings):
        struck = innings[inning] if inning < len(innings) else ()
        for index in range(rules.strikes_per_inning):
            cells.append(_strike(wording, struck[index]) if index < len(struck) else _EMPTY)
    return cells


def _strike(wording: Wording, strike: Strike) -> Markdown:
    if strike.kind is StrikeKind.UNKNOWN:
        return Markdown("?")
    written = escape(write_strike(strike))
    return strong(written) if strike.nummer else written


def _player_points(sheet: _Sheet, side: Side, tally: SideTally) -> Markdown:
    wording = sheet.wording
    rows = [
        [sheet.player(each.player), wording.number(each.points)]
        for each in side.player_points or ()
    ]
    rows.append([strong(wording.say("Total")), strong(wording.number(tally.points))])
    return table([wording.column("Player"), wording.figure_column("Points")], rows)


_OF_PLAYERS = ("strikes", "supernumeraries", "player_points")


def provenance(wording: Wording, here: str, recorded: RecordedMatch) -> list[Markdown]:
    match = recorded.match
    items = []
    if match.source is not None:
        items.append(wording.say("Source: {source}", source=_source(wording, match.source)))
    if match.seal is not None:
        items.append(_seal(wording, match, match.seal))
    items.append(link(here, recorded.path, wording.say("Match sheet")))
    return [
        heading(2, wording.say("The record")),
        bullets(items),
        *_listed(
            wording.say("Doubtful"),
            (
                joined([place_in_words(wording, match, each.at), wording.text(each.note)], ": ")
                for each in match.doubts
            ),
        ),
        *_listed(
            wording.say("Corrections"),
            (_correction(wording, match, each) for each in match.corrections),
        ),
    ]


def _listed(title: Markdown, items: Iterable[Markdown]) -> list[Markdown]:
    listed = list(items)
    return [heading(3, title), bullets(listed)] if listed else []


def _source(wording: Wording, source: Source) -> Markdown:
    parts = []
    kind = wording.source_kind(source.kind) if source.kind is not None else ""
    # Who copied it may have begun with the same word: "minute book, page 44".
    if kind and not (source.reference or "").casefold().startswith(kind.casefold()):
        parts.append(Markdown(kind))
    if source.reference is not None:
        parts.append(wording.text(source.reference))
    if source.transcribed_by is not None:
        name = wording.text(source.transcribed_by)
        parts.append(
            wording.say("copied by {name}", name=name)
            if source.on is None
            else wording.say("copied by {name} on {date}", name=name, date=wording.date(source.on))
        )
    elif source.on is not None:
        parts.append(wording.say("copied on {date}", date=wording.date(source.on)))
    return joined(parts)


def _seal(wording: Wording, match: Match, seal: Seal) -> Markdown:
    return fill(
        wording.say("Sealed by {home} ({home_team}) and {away} ({away_team})")
        if seal.on is None
        else wording.say("Sealed on {date} by {home} ({home_team}) and {away} ({away_team})"),
        date=wording.date(seal.on),
        home=wording.text(seal.home),
        home_team=wording.team(match.home.team),
        away=wording.text(seal.away),
        away_team=wording.team(match.away.team),
    )


def _correction(wording: Wording, match: Match, correction: Correction) -> Markdown:
    return fill(
        wording.say("By {name}, agreed by {clubs}: {reason} ({changed})")
        if correction.on is None
        else wording.say("{date}, by {name}, agreed by {clubs}: {reason} ({changed})"),
        date=wording.date(correction.on),
        name=wording.text(correction.by),
        clubs=wording.listed(wording.club(each) for each in correction.agreed)
        if correction.agreed
        else wording.unknown,
        reason=wording.text(correction.reason),
        changed=joined((_change(wording, match, each) for each in correction.changed), "; "),
    )


def _change(wording: Wording, match: Match, written: str) -> Markdown:
    """``home.strikes.bigler-jonas.2.1: 14 -> 15`` with the place in words."""
    at, colon, change = written.partition(": ")
    if not colon:
        return wording.text(written)
    values = [_value(wording, match, at, each.strip()) for each in change.split("->")]
    return joined([place_in_words(wording, match, at), joined(values, " → ")], ": ")


def _value(wording: Wording, match: Match, at: str, written: str) -> Markdown:
    if at.endswith((".captain", ".by")) and written in wording.register.players:
        return wording.player(PlayerId(written), match.season)
    return wording.text(written)


def place_in_words(wording: Wording, match: Match, at: str) -> Markdown:
    """A place in the sheet in words, as far as there are words for it; else as it is written."""
    side, _, inside = at.strip().partition(".")
    teams = {name: each.team for name, each in match.sides}
    if side not in teams or not inside:
        return wording.text(at)
    words = [wording.team(teams[side])]
    match inside.split("."):
        case [field, player] if field in _OF_PLAYERS:
            words.append(wording.player(PlayerId(player), match.season))
        case [field, player, inning, strike] if field in _OF_PLAYERS:
            words.append(wording.player(PlayerId(player), match.season))
            words.append(
                wording.say(
                    "strike {inning}.{strike}", inning=escape(inning), strike=escape(strike)
                )
            )
        case [field, *rest] if (name := _field(wording, field)) is not None:
            words.append(joined([name, *map(escape, rest)], " "))
        case _:
            words.append(wording.text(inside))
    return joined(words)


def _field(wording: Wording, key: str) -> Markdown | None:
    return {
        "nummern": wording.say("Nummern"),
        "points": wording.say("points"),
        "ries": wording.say("Ries"),
        "team": wording.say("team"),
        "captain": wording.say("captain"),
    }.get(key)
