"""Matches, rounds and days as a newspaper prints them, in plain lines."""

import datetime
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.outcomes import decided_early
from riesbuch.trade.appointments import Appointment, fit
from riesbuch.trade.certainty import missing_matches, recorded_tally, sure_places
from riesbuch.trade.ids import PlayerId, SheetId, TeamId
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, CompetitionKind
from riesbuch.trade.standings import Standing, goes_by_figures, shared_ranks, standings
from riesbuch.trade.strikers import Performance, Striker, strikers
from riesbuch.trade.tally import SideTally, Tally

_LONGEST_TITLE = 72
_BEST_OF_DAY, _BEST_OF_SEASON = 3, 5


def result_line(words: Catalogue, tally: Tally, name: Callable[[TeamId], str]) -> str:
    """``Aarwald A – Birkenfluh A 0 Nr. 881 – 0 Nr. 936``: of each side the Nummern that it
    conceded and its points; what nobody knows, or was not played, in words."""
    say = words.say
    home, away = (name(side.team) if side.team else "?" for side in (tally.home, tally.away))
    pair = f"{home} – {away}"
    winner = {"home": home, "away": away}.get(tally.winner or "")
    if tally.outcome is Outcome.POSTPONED:
        if tally.moved_to is None:
            return say("{pair}: put off, no new day yet", pair=pair)
        return say("{pair}: put off to {date}", pair=pair, date=words.date(tally.moved_to))
    if tally.outcome is Outcome.ANNULLED:
        return say("{pair}: annulled", pair=pair)
    if tally.is_draft:
        return say("{pair}: result to follow", pair=pair)
    if tally.outcome is Outcome.FORFEITED:
        if winner is None:
            return say("{pair}: forfeited", pair=pair)
        return say("{pair}: forfeited, awarded to {team}", pair=pair, team=winner)
    sides = tally.home, tally.away
    notes = [say("abandoned")] if tally.outcome is Outcome.ABANDONED else []
    if all(side.nummern is None and side.points is None for side in sides):
        line = say("{pair}: figures not known", pair=pair)
    else:
        line = f"{pair} " + " – ".join(_figures(side) or say("not known") for side in sides)
        if any(side.nummern is None and side.points is not None for side in sides):
            notes.append(say("Nummern not known"))
        if any(side.points is None and side.nummern is not None for side in sides):
            notes.append(say("points not known"))
    if tally.winner is None:
        notes.append(say("winner not known"))
    elif winner is None and tally.decided_by == "recorded":
        notes.append(say("drawn"))
    elif winner is not None and tally.decided_by == "recorded":
        notes.append(say("won by {team}", team=winner))
    elif winner is not None and tally.decided_by == "longest_ries":
        notes.append(say("won by {team} by the highest Ries", team=winner))
    if tally.kept_out:
        notes.append(say("does not count"))
    return f"{line} ({', '.join(notes)})" if notes else line


def _figures(side: SideTally) -> str:
    nummern = [] if side.nummern is None else [f"{side.nummern} Nr."]
    return " ".join([*nummern, *([] if side.points is None else [str(side.points)])])


class RoundAsked(NamedTuple):
    """Which matches are told: those of a round, or those of a day."""

    number: int | None
    date: datetime.date | None

    def takes(self, tally: Tally) -> bool:
        return tally.date == self.date if self.number is None else tally.round == self.number

    def follows(self, tally: Tally, first: datetime.date | None) -> bool:
        """Whether ``tally`` was before; ``first`` is the day the round began."""
        if self.number is not None and tally.round is not None:
            return tally.round < self.number
        day = first if self.date is None else self.date
        return tally.date is not None and day is not None and tally.date < day

    def is_open(self, fixture: Appointment[SheetId]) -> bool:
        """Whether no sheet says anything of a match that was planned for it."""
        if self.number is not None:
            return fixture.fixture.round == self.number and not fixture.sheets
        of_day = all(sheet.meeting.date != self.date for sheet in fixture.sheets)
        return fixture.final is None and fixture.day == self.date and of_day

    def is_due(self, fixture: Appointment[SheetId]) -> bool:
        """Whether the match was planned for then, or before."""
        planned = fixture.fixture
        if self.number is not None:
            return (planned.round or 0) <= self.number
        return fixture.day is not None and self.date is not None and fixture.day <= self.date


class _Told(NamedTuple):
    """A round or a day of a competition: ``before`` it, ``of_it``, and those of it that ``wait``
    for their errors to be mended or for a sheet, by their teams. ``missing`` is how many of the
    fixtures until then have no result; it ``is_planned`` whether there are any."""

    before: Sequence[Tally]
    of_it: Sequence[Tally]
    waiting: Sequence[tuple[TeamId | None, TeamId | None]]
    missing: int
    is_planned: bool


def round_text(
    words: Catalogue,
    archive: Archive,
    competition: Competition,
    tallies: Sequence[Tally],
    struck: Mapping[SheetId, Sequence[Performance]],
    left_out: Sequence[Tally],
    asked: RoundAsked,
    called: Callable[[PlayerId], str | None],
) -> str | None:
    """The competition's round or day in blocks of lines: results, best strikers, striker table and
    team table after it. None where no sheet is of it. ``tallies`` are of the competition's sheets
    without errors, ``left_out`` of the others."""
    told = _told(archive, competition, tallies, left_out, asked)
    rules = archive.rules_of(competition)
    if told is None or rules is None:
        return None
    name, say = archive.register.team_name, words.say

    def player(row: Performance | Striker) -> str:
        return say(
            "{player} ({team})", player=called(row.player) or say("a player"), team=name(row.team)
        )

    lines = [_title(words, competition, told, asked)]
    for part, matches in groupby(told.of_it, lambda tally: tally.part):
        known = competition.part(part)
        lines += [f"{known.name}:"] if known else []
        lines += (result_line(words, tally, name) for tally in matches)
    for home, away in told.waiting:
        pair = " – ".join(name(team) if team else "?" for team in (home, away))
        lines.append(say("{pair}: result to follow", pair=pair))
    blocks = ["\n".join(lines)]
    of_it = [each for tally in told.of_it for each in struck.get(tally.sheet, ())]
    if of_it:
        of_it.sort(key=lambda each: (-each.points, each.player))
        ranks = shared_ranks([each.points for each in of_it])
        best = [
            f"{player(each)} {each.points}"
            for rank, each in zip(ranks, of_it, strict=True)
            if rank <= _BEST_OF_DAY
        ]
        blocks.append(
            say(
                "Best strikers: {best}"
                if _all_known(told)
                else "Best strikers, as far as known: {best}",
                best=words.listed(best),
            )
        )
    until_then = [*told.before, *told.of_it]
    if competition.kind is CompetitionKind.LEAGUE and told.before and of_it:
        listed = strikers(
            (each for tally in until_then for each in struck.get(tally.sheet, ())),
            archive.register.birth_years,
            rules,
        )
        afterwards = [say("Striker table afterwards:")]
        for row in (row for row in listed if row.rank <= _BEST_OF_SEASON):
            played = words.counted(row.matches, "{count} match", "{count} matches")
            points = words.counted(row.points, "{count} point", "{count} points")
            rank_points = _rank_points(words, row.rank_points)
            afterwards.append(f"{row.rank}. {player(row)}: {played}, {points}, {rank_points}")
        blocks.append("\n".join(afterwards))
    of_figures = goes_by_figures(competition, rules)
    if competition.kind is CompetitionKind.LEAGUE or of_figures:
        blocks.append("\n".join(_table(words, archive, competition, rules, tallies, told)))
    return "\n\n".join(blocks)


def _told(
    archive: Archive,
    competition: Competition,
    tallies: Sequence[Tally],
    left_out: Sequence[Tally],
    asked: RoundAsked,
) -> _Told | None:
    of_it = [tally for tally in tallies if asked.takes(tally)]
    wrong = [tally for tally in left_out if asked.takes(tally)]
    if not of_it and not wrong:
        return None
    held = {_pair(tally) for tally in of_it if tally.outcome is not Outcome.POSTPONED}
    of_it = [
        tally
        for tally in of_it
        if tally.outcome is not Outcome.POSTPONED or _pair(tally) not in held
    ]
    order = [None, *(part.id for part in competition.parts)]
    of_it.sort(key=lambda tally: (order.index(tally.part), str(tally.date), tally.sheet))
    first = min((tally.date for tally in of_it if tally.date), default=None)
    recorded = [recorded_tally(tally, tally.sheet) for tally in (*tallies, *left_out)]
    settled = {tally.sheet for tally in tallies if tally.is_settled()}
    found = fit(archive.fixtures_of(_year(of_it or wrong), competition), recorded).appointments
    opened = [each.fixture for each in found if asked.is_open(each)]
    missing = sum(
        asked.is_due(each) and settled.isdisjoint(sheet.source for sheet in each.sheets)
        for each in found
    )
    return _Told(
        [tally for tally in tallies if asked.follows(tally, first)],
        of_it,
        [*map(_pair, wrong), *((each.home, each.away) for each in opened)],
        missing if found else len(left_out),
        bool(found),
    )


def _year(tallies: Sequence[Tally]) -> int:
    return tallies[0].season


def _pair(tally: Tally) -> tuple[TeamId | None, TeamId | None]:
    return tally.home.team, tally.away.team


def _title(words: Catalogue, competition: Competition, told: _Told, asked: RoundAsked) -> str:
    title = competition.name
    rounds = {tally.round for tally in told.of_it} if asked.number is None else {asked.number}
    number = rounds.pop() if len(rounds) == 1 else None
    if number is not None:
        title = words.say("{competition}, round {number}", competition=title, number=number)
    held = [tally for tally in told.of_it if tally.outcome is not Outcome.POSTPONED]
    days = sorted({tally.date for tally in held or told.of_it if tally.date})
    if not days:
        return title
    return f"{title} ({words.listed(map(words.date, days))})"


def _all_known(told: _Told) -> bool:
    waits = told.waiting or any(tally.is_draft for tally in told.of_it)
    return not waits and all(
        {tally.home.depth, tally.away.depth} <= {Depth.STRIKES, Depth.PLAYERS}
        for tally in told.of_it
        if tally.counts and tally.outcome is not Outcome.FORFEITED
    )


def _rank_points(words: Catalogue, number: int) -> str:
    return words.counted(number, "{count} rank point", "{count} rank points")


def _table(
    words: Catalogue,
    archive: Archive,
    competition: Competition,
    rules: RuleSet,
    tallies: Sequence[Tally],
    told: _Told,
) -> Iterator[str]:
    """After the round, with the places gained in it; rulings of later days are in it once no
    match is."""
    counted = [tally for tally in (*told.before, *told.of_it) if tally.counts]
    day = max((tally.date for tally in counted if tally.date), default=None)
    is_last = len(counted) == sum(tally.counts for tally in tallies)
    rulings = [
        ruling
        for ruling in archive.rulings_of(_year(tallies), competition)
        if is_last or (day is not None and ruling.on <= day)
    ]
    places: dict[TeamId, int] = {}
    if told.is_planned and any(tally.counts for tally in told.before):
        before = standings(told.before, competition.teams, rules, None, rulings)
        places = {row.team: row.rank for row in before}
    table = standings(counted, competition.teams, rules, None, rulings)
    gained = {row.team: places.get(row.team, row.rank) - row.rank for row in table}
    by_figures = goes_by_figures(competition, rules)
    if by_figures:
        yield words.say("Rank list afterwards:")
    elif told.missing or not told.is_planned:
        yield words.say("Table afterwards, as far as on record:")
    elif any(gained.values()):
        yield words.say("Table afterwards, in brackets the places gained or lost:")
    else:
        yield words.say("Table afterwards:")
    for row in table:
        figures = [] if by_figures else [
            words.counted(row.played, "{count} match", "{count} matches"),
            _rank_points(words, row.rank_points),
        ]  # fmt: skip
        figures += [f"{row.nummern} Nr. {row.points}"] if row.played else []
        if row.nummern_unknown or row.points_unknown:
            figures[-1] = words.say("not all figures known")
        if row.ruled:
            figures.append(words.say("{number} by a ruling", number=_signed(row.ruled)))
        line = f"{row.rank}. {archive.register.team_name(row.team)}: {', '.join(figures) or '–'}"
        yield f"{line} ({_signed(gained[row.team])})" if gained[row.team] else line
    until_then = [*told.before, *told.of_it]
    decided = _decided_early(words, archive, competition, rules, table, until_then)
    if decided:
        yield decided
    if told.missing:
        yield words.counted(
            told.missing, "Not yet in it: {count} match", "Not yet in it: {count} matches"
        )


def _decided_early(
    words: Catalogue,
    archive: Archive,
    competition: Competition,
    rules: RuleSet,
    table: Sequence[Standing],
    tallies: Sequence[Tally],
) -> str:
    """By the ``tallies`` so far; empty where none is missing any more, or not all are known."""
    if competition.kind is not CompetitionKind.LEAGUE or not tallies:
        return ""
    year = _year(tallies)
    fixtures = archive.fixtures_of(year, competition)
    if not missing_matches(competition, fixtures, tallies) or archive.lost_rulings(year):
        return ""
    sure = sure_places(competition, rules, table, tallies, fixtures)
    return decided_early(words, competition, sure, archive.register.team_name)


def _signed(number: int) -> str:
    return f"{number:+}".replace("-", "−")


def commit_message(
    words: Catalogue,
    entered: Sequence[Tally],
    older: Sequence[SheetId],
    rulings: Sequence[str],
    team: Callable[[TeamId], str],
    competition: Callable[[Tally], str],
) -> str:
    """What a match day brought: its round for a title, a line a match, which ``older`` sheets are
    others now, and which ``rulings`` by what they are on. ``competition`` names that of a match."""
    groups: dict[str, list[str]] = {}
    for tally in sorted(entered, key=_by_round):
        title = competition(tally)
        if tally.round is not None and tally.part is None:
            title = words.say(
                "{competition}, round {number}", competition=title, number=tally.round
            )
        groups.setdefault(title, []).append(result_line(words, tally, team))
    if len(groups) == 1:
        blocks = [next(iter(groups)), "\n".join(*groups.values())]
    elif groups:
        titles = "; ".join(groups)
        blocks = [
            titles
            if len(titles) <= _LONGEST_TITLE
            else words.counted(len(entered), "{count} result", "{count} results"),
            *("\n".join((title, *lines)) for title, lines in groups.items()),
        ]
    else:
        blocks = [
            words.say("Sheets changed")
            if older
            else words.say("Rulings changed")
            if rulings
            else words.say("Register, season and pages")
        ]
    if older:
        listed = "\n".join(older)
        blocks.append(words.say("Changed, though entered before:") + f"\n{listed}")
    if rulings:
        blocks.append("\n".join((words.say("Rulings of the match commission:"), *rulings)))
    return "\n\n".join(blocks) + "\n"


def _by_round(tally: Tally) -> tuple[int, str, int, str, str]:
    return tally.season, tally.competition or "", tally.round or 0, str(tally.date), tally.sheet
