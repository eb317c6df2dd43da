"""The front page; and the pages of a season: its own, which lists its competitions and what is
missing or doubtful, and those of its competitions and matches with what makes them."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache, partial

from riesbuch.pages import paths
from riesbuch.pages.competition import (
    best_of_classes,
    competition_text,
    listed_fixtures,
    match_row,
    moved_in,
    round_of,
    standings_table,
    strikers_text,
)
from riesbuch.pages.drawings import drawing_page, season_drawings
from riesbuch.pages.handed_down import told_pages
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    escape,
    heading,
    joined,
    link,
    page,
    section,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.match import match_text, place_in_words
from riesbuch.pages.outcomes import fixtures_of, has_page
from riesbuch.pages.past import Past
from riesbuch.pages.team import (
    MOST_ROWS,
    best_strikers,
    rank_list_text,
    rank_lists,
    team_pages,
    team_table,
)
from riesbuch.pages.wording import Wording
from riesbuch.questions.honours import CompetitionOverview, latest_matches, table_rows
from riesbuch.questions.match_lines import match_lines
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.questions.tables import strikers_in_front
from riesbuch.trade.certainty import matches_planned, missing_matches
from riesbuch.trade.course import Stage, form_of, last_round, stages
from riesbuch.trade.ids import CompetitionId, TeamId
from riesbuch.trade.match import Depth, Outcome, SourceKind
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.standings import goes_by_figures

_BEST_STRIKERS = 3
_STRUCK = (Outcome.PLAYED, Outcome.ABANDONED)


def season_pages(
    past: Past, year: int, results: Sequence[CompetitionResults]
) -> Iterator[paths.Page]:
    """The pages of a season, of its competitions and of their matches."""
    for of_competition in results:
        yield from _competition_pages(past, of_competition)
    yield from told_pages(past, year)
    # Of one that nobody has entered anything for there is nothing to tell.
    if any(known.season == year for known in past.overview):
        yield paths.Page.at(paths.season_page(year), partial(_season_text, past, year, results))


def _competition_pages(past: Past, results: CompetitionResults) -> Iterator[paths.Page]:
    key = results.competition.id
    course = cache(partial(_course, results))
    drawings = season_drawings(past, results, course() if is_league(results) else ())
    yield paths.Page.at(
        paths.competition_page(results.year, key),
        partial(competition_text, past, results, drawings),
    )
    for drawing in drawings:
        yield drawing_page(drawing.path, lambda: drawings)
    yield paths.Page.at(
        paths.strikers_page(results.year, key), partial(strikers_text, past, results)
    )
    for ranks in rank_lists(past, results):
        yield paths.Page.at(ranks.path, partial(rank_list_text, past, results, ranks))
    yield from team_pages(past, results, course)
    for recorded in results.matches:
        if has_page(recorded):
            yield paths.Page.at(
                paths.match_page(recorded.tally.sheet),
                partial(_match_text, past, results, recorded),
            )


def _course(results: CompetitionResults) -> list[Stage]:
    tallies = [match.tally for match in results.matches]
    return stages(tallies, results.competition.teams, results.rules, results.rulings)


def _match_text(past: Past, results: CompetitionResults, recorded: RecordedMatch) -> str:
    """With its story, which knows what was on record before it, and nothing later."""
    from riesbuch.pages.stories.telling import match_story

    rules = past.archive.rules_of(results.competition, recorded.tally.part)
    results = replace(results, rules=rules or results.rules)
    paragraphs: list[str] = []
    # Of a match that was not played there is no more to tell than its result.
    if recorded.tally.counts and recorded.tally.outcome is not Outcome.FORFEITED:
        match, tally = recorded.match, recorded.tally
        before, rules = past.before_match, results.rules
        paragraphs = match_story(before, past.archive, match, tally, rules, length="page").texts()
    story = Markdown("\n\n".join(escape(paragraph) for paragraph in paragraphs))
    return match_text(past.wording, results, recorded, story)


def _season_text(past: Past, year: int, results: Sequence[CompetitionResults]) -> str:
    wording = past.wording
    here = paths.season_page(year)
    matches = [
        match for of_competition in results for match in of_competition.matches if has_page(match)
    ]
    kinds = Counter(match.source.kind if match.source else None for match in matches)
    named = any(kinds[kind] for kind in SourceKind)
    of_competition = {known.competition.id: known for known in results}
    listed = [known for known in past.overview if known.season == year]
    return wording.page(
        here,
        wording.season_title(year),
        *(
            _competition(past, known, of_competition.get(CompetitionId(known.competition)), here)
            for known in listed
        ),
        wording.titled(
            "What is missing or doubtful",
            stacked(*gaps(past, year, results, matches, here))
            or wording.say("Nothing is known to be missing."),
        ),
        wording.sources(
            (kind, kinds[kind]) for kind in (*SourceKind, None) if named and kinds[kind]
        ),
        ways=[link(here, paths.SOURCES_PAGE, wording.say("Sources and gaps"))],
    )


def _competition(
    past: Past, known: CompetitionOverview, results: CompetitionResults | None, here: str
) -> Markdown:
    """How it stands, who is in front, and its last round."""
    wording, key = past.wording, (known.season, known.competition)
    title = past.competition(here, *key)
    first = past.first_place(known, here)
    lines = [wording.say("Matches: {number}.", number=past.how_many(known))]
    if known.first or first != wording.unknown:
        place = wording.qualified(first, known) if known.first and not known.champion else first
        lines.append(wording.say("First place: {teams}.", teams=place))
    if results is None or not known.played:
        best = past.told_holders(known, "best-striker", here)
        lines += [wording.say("Best strikers: {players}.", players=best)] if best else []
        return section(2, title, sentences(*lines))
    listed = [
        (row.player, row.team, row.points, row.rank_points)
        for row in results.strikers
        if row.rank <= _BEST_STRIKERS
    ]
    strikers = link(here, paths.strikers_page(*key), wording.say("Striker table"))
    shown: Markdown = NOTHING
    if results.competition.kind in (CompetitionKind.LEAGUE, CompetitionKind.FESTIVAL):
        shown = standings_table(past, results, here, moved_in(results), most=MOST_ROWS)
    return section(
        2,
        title,
        sentences(*lines),
        shown,
        past.ruling_notes([key]),
        sentences(
            best_strikers(past, key, listed, here), Markdown(f"{strikers}.") if listed else NOTHING
        ),
        joined(best_of_classes(wording, results, here), "; "),
        NOTHING
        if results.competition.kind is CompetitionKind.FESTIVAL
        else _last_round(wording, results, here),
    )


def _last_round(wording: Wording, results: CompetitionResults, here: str) -> Markdown:
    played = last_round(match.tally for match in results.matches)
    sheets = {tally.sheet for tally in played}
    rows = [
        match_row(wording, match, here) for match in results.matches if match.tally.sheet in sheets
    ]
    rounds = {tally.round for tally in played}
    title = wording.say("Last day")
    if None not in rounds and len(rounds) == 1:
        title = wording.say("Round {number}", number=Markdown(str(*rounds)))
    return section(3, *round_of(wording, title, rows)) if rows else NOTHING


def gaps(
    past: Past,
    year: int,
    results: Sequence[CompetitionResults],
    matches: Sequence[RecordedMatch],
    here: str,
) -> Iterator[Markdown]:
    wording = past.wording

    def listed(matches: Iterable[RecordedMatch]) -> Markdown:
        return bullets(_match(wording, match, here) for match in matches)

    yield bullets(
        wording.say(
            "{competition}: no sheet is on record, what is known is handed down",
            competition=past.competition(here, year, known.competition),
        )
        for known in past.overview
        if known.season == year and past.is_told(known)
    )
    struck = [match for match in matches if match.tally.outcome in _STRUCK]
    less = [
        match
        for match in struck
        if not match.tally.home.depth is match.tally.away.depth is Depth.STRIKES
    ]
    general = [*_missing(past, results)]
    unnamed = sum(match.source is None for match in less)
    if unnamed:
        without_source = wording.say(
            "{count} of {all} matches known in less detail without a source",
            count=wording.number(unnamed),
            all=wording.number(len(less)),
        )
        general.append(without_source)
    yield bullets(general)
    left_out = (
        joined(
            [*([wording.date(sheet.date)] if sheet.date else ()), past.left_out_match(sheet, here)]
        )
        for sheet in past.left_out.get(year, ())
    )
    yield wording.titled("Left out, since the sheet has errors", bullets(left_out), level=3)
    no_winner = listed(match for match in struck if match.tally.winner is None)
    yield wording.titled("Without a known winner", no_winner, level=3)
    doubts = (
        wording.say(
            "{match}, {at}: {note}",
            match=_match(wording, match, here),
            at=place_in_words(wording, match.match, doubt.at),
            note=wording.text(doubt.note, year),
        )
        for match in matches
        for doubt in match.doubts
    )
    yield wording.titled("Doubtful", bullets(doubts), level=3)
    if less:
        help_wanted = wording.say(
            "Of these matches no strikes are on record, at least of one side. A paper"
            " sheet, a cutting, a photograph would help; the secretary enters it."
        )
        yield wording.titled("Known in less detail", listed(less), help_wanted, level=3)


def _missing(past: Past, results: Sequence[CompetitionResults]) -> Iterator[Markdown]:
    wording = past.wording
    for known in results:
        fixtures = fixtures_of(past.archive, known)
        in_all = matches_planned(known.competition, fixtures)
        tallies = [match.tally for match in known.matches]
        is_over = past.is_over(known.year)
        missing = missing_matches(known.competition, fixtures, tallies, is_over=is_over).total()
        if missing > 0:
            yield wording.say(
                "{competition}: {count} of {all} matches still to be played or recorded"
                if known.year == wording.newest
                else "{competition}: {count} of {all} matches not on record",
                competition=escape(known.competition.name),
                count=wording.number(missing),
                all=wording.number(in_all),
            )


def _match(wording: Wording, match: RecordedMatch, here: str) -> Markdown:
    tally = match.tally
    sides = wording.sides(tally.home.team, tally.away.team)
    return joined([wording.date(tally.date), link(here, paths.match_page(tally.sheet), sides)])


_COMING = 4
_ON_THIS_DAY = 10
_HERE = paths.FRONT_PAGE


def front_pages(past: Past) -> Iterator[paths.Page]:
    yield paths.Page.at(_HERE, lambda: _front_page(past))


def _front_page(past: Past) -> str:
    """What a member looks for first: how it went, how it stands, what comes next."""
    wording = past.wording
    shown = next((known.season for known in past.overview if known.played), None)
    return page(
        [
            heading(1, escape(wording.league)),
            _ways(past),
            _left_out(past),
            _latest(past),
            *(_standing(past, known) for known in past.overview if known.season == shown),
            _coming(past),
            _on_this_day(past),
            wording.titled(
                "Seasons",
                table(
                    past.overview,
                    wording.column("Season", lambda row: wording.season(row.season, _HERE)),
                    *past.columns(_HERE),
                ),
            ),
            NOTHING if past.overview else wording.say("There is no season yet."),
            wording.say(
                "The tables on these pages are the club's own record, added up from its match"
                " sheets; they are not a federation's ruling."
            ),
        ]
    )


def _latest(past: Past) -> Markdown:
    """The results of the last week on record."""
    wording, matches = past.wording, latest_matches(past.tables)
    days = {match.date for match in matches}
    title = wording.say("Latest results")
    if len(days) == 1:
        title = joined([title, *map(wording.date, days)])
    return (
        section(
            2,
            title,
            past.match_table(matches, _HERE, dated=len(days) > 1),
            wording.say("In bold the points of the side that won."),
        )
        if matches
        else NOTHING
    )


def _standing(past: Past, known: CompetitionOverview) -> Markdown:
    """Its table, and who struck best."""
    wording, key = past.wording, (known.season, known.competition)
    if not known.played or known.kind not in ("league", "festival"):
        return NOTHING
    rows = table_rows(past.tables, "s.season = ? AND s.competition = ?", key)
    is_league = known.kind == "league"
    own = match_lines(past.tables, "m.counts AND m.season = ? AND m.competition = ?", key)
    forms = form_of((TeamId(match.home), TeamId(match.away), match.winner) for match in own)
    competition = past.archive.competition(known.season, CompetitionId(known.competition))
    rules = past.archive.rules_of(competition) if competition else None
    by_figures = bool(competition and rules and goes_by_figures(competition, rules))
    title = wording.say(
        "{competition}, {year}",
        competition=past.competition(_HERE, *key),
        year=wording.year(known.season),
    )
    best = strikers_in_front(past.tables, *key, _BEST_STRIKERS)
    strikers = link(_HERE, paths.strikers_page(*key), wording.say("Striker table"))
    extent = wording.extent(known)
    return section(
        2,
        title,
        team_table(
            past,
            key,
            rows,
            _HERE,
            "by figures" if by_figures else "by results",
            forms=forms if is_league else None,
            most=MOST_ROWS,
        ),
        past.ruling_notes([key]),
        sentences(
            wording.say("In the tables: {matches}.", matches=extent) if extent else NOTHING,
            best_strikers(past, key, best, _HERE),
            Markdown(f"{strikers}.") if best else NOTHING,
        ),
    )


def _left_out(past: Past) -> Markdown:
    number = sum(map(len, past.left_out.values()))
    if not number:
        return NOTHING
    return past.wording.counted(
        number,
        "{count} sheet has errors and is left out of all pages until it is mended.",
        "{count} sheets have errors and are left out of all pages until they are mended.",
    )


def _ways(past: Past) -> Markdown:
    wording, parts = past.wording, []
    if wording.register.clubs:
        parts.append(link(paths.FRONT_PAGE, paths.CLUBS_PAGE, wording.say("Clubs")))
    if wording.publishing.players and (wording.register.players or past.spans):
        parts.append(link(paths.FRONT_PAGE, paths.PLAYERS_PAGE, wording.say("Players")))
    if past.overview:
        parts.append(link(paths.FRONT_PAGE, paths.HISTORY_PAGE, wording.say("History")))
        parts.append(link(paths.FRONT_PAGE, paths.SOURCES_PAGE, wording.say("Sources and gaps")))
    return joined(parts, " · ")


def _coming(past: Past) -> Markdown:
    """The next match days after the last match on record, with the home clubs' grounds."""
    coming = [game for game in past.coming if past.last_day is None or game.day > past.last_day]
    if not coming:
        return NOTHING
    last = coming[:_COMING][-1].day
    return past.wording.titled(
        "Next match day",
        listed_fixtures(
            past.wording,
            past.archive.seasons[max(past.archive.seasons)],
            (game for game in coming if game.day <= last),
            placed=True,
        ),
    )


def _on_this_day(past: Past) -> Markdown:
    """What happened in earlier years on the day of the last match on record."""
    found, wording = past.almanac, past.wording
    if past.last_day is None or found is None or not found.matches:
        return NOTHING
    left = len(found.matches) - _ON_THIS_DAY
    almanac = link(_HERE, paths.ALMANAC_PAGE, wording.say("Almanac"))
    return section(
        2,
        wording.say("On this day: {day}", day=wording.day(past.last_day)),
        past.match_table(found.matches[:_ON_THIS_DAY], _HERE),
        wording.counted(
            left,
            "{count} more is on record; all days of the year are in the {page}.",
            "{count} more are on record; all days of the year are in the {page}.",
            page=almanac,
        )
        if left > 0
        else wording.say("More in the {page}.", page=almanac),
    )
