"""The pages of the players."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, partial

from riesbuch.pages.drawings import (
    Drawing,
    drawing_page,
    images,
    player_drawing_paths,
    player_drawings,
)
from riesbuch.pages.handed_down import ranked, titles_of, told_team
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    chapters,
    escape,
    joined,
    link,
    sentences,
    strong,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import PLAYERS_PAGE, Page, player_page, players_page
from riesbuch.questions.career import Appearance, Career, Outing, SeasonOfPlayer, career, outings
from riesbuch.questions.who import Person
from riesbuch.trade.ids import PlayerId

_BEST_DAYS = 5
_LAST_MATCHES = 5
_UNBROKEN = "\u00a0"
_MOST_ON_A_PAGE = 700
"""People in the list of all; with more, each letter has its own page."""


def players_with_page(past: Past) -> list[str]:
    """Everybody in the register or in a sheet who may be named, by identifier."""
    everybody = {*map(str, past.wording.register.players), *past.spans, *past.told_years}
    return sorted(player for player in everybody if past.wording.has_page(player))


def player_pages(past: Past, player: str) -> Iterator[Page]:
    """The page of a player and its pictures."""
    find = cache(partial(career, past.tables, Person(id=player, name=player), past.under_way))
    draw = cache(lambda: player_drawings(past, player, find()))
    yield Page.at(player_page(player), lambda: _player_text(past, player, find(), draw()))
    for path in player_drawing_paths(past, player):
        yield drawing_page(path, draw)


def players_pages(past: Past, players: Sequence[str]) -> Iterator[Page]:
    """The list of the ``players`` that have a page, where there are any."""
    if not players:
        return
    by_letter: dict[str, list[str]] = {}
    for player in players:
        by_letter.setdefault(player[0], []).append(player)
    split = len(players) > _MOST_ON_A_PAGE
    yield Page.at(PLAYERS_PAGE, partial(_players_text, past, by_letter, split))
    for letter in by_letter if split else ():
        yield Page.at(players_page(letter), partial(_letter_text, past, by_letter, letter))


def _players_text(past: Past, by_letter: Mapping[str, Sequence[str]], split: bool) -> str:
    """The list of all players, by the letter that their identifier begins with."""
    wording = past.wording
    people = sum(map(len, by_letter.values()))
    counts = wording.counted(people, "{count} person has a page.", "{count} people have a page.")
    if split:
        letters = bullets(
            joined([_to_letter(PLAYERS_PAGE, letter), wording.number(len(players))], ": ")
            for letter, players in by_letter.items()
        )
        return wording.page(PLAYERS_PAGE, wording.say("Players"), counts, letters)
    return wording.page(
        PLAYERS_PAGE,
        wording.say("Players"),
        sentences(counts, _of_the_list(past)),
        chapters(
            (escape(letter.upper()), _listed(past, players, PLAYERS_PAGE))
            for letter, players in by_letter.items()
        ),
    )


def _letter_text(past: Past, by_letter: Mapping[str, Sequence[str]], letter: str) -> str:
    wording, here = past.wording, players_page(letter)
    others = (
        strong(Markdown(each.upper())) if each == letter else _to_letter(here, each)
        for each in by_letter
    )
    return wording.page(
        here,
        wording.say("Players: {letter}", letter=escape(letter.upper())),
        joined(others, " · "),
        _of_the_list(past),
        _listed(past, by_letter[letter], here),
        ways=[link(here, PLAYERS_PAGE, wording.say("Players"))],
    )


def _to_letter(here: str, letter: str) -> Markdown:
    return link(here, players_page(letter), escape(letter.upper()))


def _of_the_list(past: Past) -> Markdown:
    """What its columns say."""
    wording, (newest, going) = past.wording, past.under_way
    return wording.say(
        "Matches with known points, average per strike; what of {year} is under way comes to it"
        " when it is over."
        if going
        else "Matches with known points, average per strike.",
        year=wording.year(newest),
    )


def _listed(past: Past, players: Sequence[str], here: str) -> Markdown:
    wording = past.wording

    def club(player: str) -> Markdown:
        known = wording.register.players.get(PlayerId(player))
        return joined(wording.club(member.club) for member in (known.clubs if known else ()))

    def years(player: str) -> Markdown:
        of_sheets, told = past.totals.get(player), past.told_years.get(player)
        parts = []
        if told:
            of_told = wording.years(told[-1], told[0])
            parts.append(wording.say("{years} (handed down)", years=of_told))
        if of_sheets is not None:
            parts.append(wording.years(of_sheets.first, of_sheets.last))
        elif player in past.playing:
            year = wording.year(past.under_way.season)
            parts.append(wording.say("since {year}", year=year))
        return joined(parts) or wording.unknown

    def matches(player: str) -> int | None:
        return past.totals[player].matches or None if player in past.totals else None

    def average(player: str) -> Markdown:
        *_, strikes, points = past.totals.get(player, (0, 0))
        return wording.average(points, strikes)

    return table(
        players,
        wording.column("Name", lambda player: wording.player(player, wording.newest, here)),
        wording.column("Years", years),
        wording.figure_column("Matches", matches),
        wording.figure_column("Average", average),
        wording.column("Club", club),
    )


def _player_text(past: Past, player: str, found: Career, drawings: Sequence[Drawing]) -> str:
    wording, here = past.wording, player_page(player)
    going = [
        past.team_in(here, past.under_way.season, *each) for each in past.playing.get(player, ())
    ]
    # The career line stands above its figures, the strikes beside the days.
    *career_line, strip = drawings or (None,)
    return wording.page(
        here,
        wording.player(player, wording.newest),
        bullets(_facts(past, player, here)),
        past.under_way_note(going),
        _sums(past, player, found),
        *images(here, filter(None, career_line)),
        _seasons(past, found.seasons, here),
        _last_matches(past, found, here),
        *images(here, filter(None, [strip])),
        _distinctions(past, found, here),
        _told_seasons(past, found, here),
        wording.titled(
            "Titles",
            titles_of(past, (title for title in past.titles if title.player == player), here),
        ),
        _best_days(past, found, here),
        _milestones(past, found, here),
        ways=[link(here, PLAYERS_PAGE, wording.say("Players"))],
    )


def _facts(past: Past, player: str, here: str) -> Iterator[Markdown]:
    wording = past.wording
    known = wording.register.players.get(PlayerId(player))
    if known is None:
        return

    def names(players: Iterable[PlayerId]) -> Markdown:
        return wording.listed(wording.player(player, wording.newest, here) for player in players)

    if known.clubs:
        clubs = [
            wording.club(member.club, here)
            if member.since is None
            else wording.say(
                "{club} (from {year})",
                club=wording.club(member.club, here),
                year=wording.year(member.since),
            )
            for member in known.clubs
        ]
        yield wording.say("Clubs: {clubs}", clubs=joined(clubs))
    if known.parents:
        yield wording.say("Child of {names}", names=names(known.parents))
    children = past.children.get(PlayerId(player), ())
    if children:
        yield wording.say("Children in the records: {names}", names=names(children))


def _sums(past: Past, player: str, found: Career) -> Markdown:
    wording = past.wording
    if not found.appearances:
        if player in past.playing:
            return wording.say("No earlier match with known points is on record.")
        return wording.say("No match with known points is on record.")
    return sentences(
        wording.counted(
            len(found.appearances),
            "{count} match on record, with {points} points; {known} known strike by strike.",
            "{count} matches on record, with {points} points; {known} known strike by strike.",
            points=wording.number(found.points),
            known=wording.number(found.strike_by_strike),
        ),
        wording.say(
            "That is {strikes}, {average} points per strike and {nummern}.",
            strikes=wording.counted(found.strikes, "{count} strike", "{count} strikes"),
            average=wording.average(found.struck_points, found.strikes),
            nummern=wording.counted(found.nummern, "{count} Nummer", "{count} Nummern"),
        )
        if found.strikes
        else NOTHING,
        wording.counted(
            found.unknown,
            "Of {count} more match the points are not known.",
            "Of {count} more matches the points are not known.",
        )
        if found.unknown
        else NOTHING,
        wording.counted(
            found.named,
            "In {count} match no more is known than that the player is named, with the points; it"
            " earns no rank points.",
            "In {count} matches no more is known than that the player is named, with the points;"
            " they earn no rank points.",
        )
        if found.named
        else NOTHING,
    )


def _seasons(past: Past, seasons: Sequence[SeasonOfPlayer], here: str) -> Markdown:
    wording = past.wording

    def rank(row: SeasonOfPlayer) -> Markdown | None:
        if row.rank is None:
            return None
        told = wording.say(
            "{rank} of {all}", rank=wording.number(row.rank), all=wording.number(row.ranked)
        )
        told = Markdown(told.replace(" ", _UNBROKEN))
        return wording.qualified(told, past.competitions.get((row.season, row.competition)))

    return wording.titled(
        "Seasons",
        table(
            seasons[::-1],
            wording.column("Season", lambda row: wording.year(row.season)),
            past.competition_column(here),
            wording.figure_column("Rank", rank),
            wording.figure_column("Points", lambda row: row.points),
            wording.figure_column(
                "Average", lambda row: wording.average(row.struck_points, row.strikes)
            ),
            wording.figure_column("Best match", lambda row: row.best),
            wording.figure_column("Matches", lambda row: row.matches),
            wording.figure_column(
                "Rank points", lambda row: row.rank_points if row.rank is not None else None
            ),
            wording.figure_column("Strikes", lambda row: row.strikes or None),
            wording.column(
                "Team", lambda row: past.team(here, row.season, row.competition, row.team)
            ),
        ),
    )


def _last_matches(past: Past, found: Career, here: str) -> Markdown:
    """The newest first, each with what the player struck."""
    wording = past.wording
    last = found._replace(appearances=found.appearances[-_LAST_MATCHES:])

    def strikes(row: Outing) -> Markdown:
        if row.innings is None:
            named_by = row.appearance.named_by
            return wording.unknown if named_by is None else wording.named_by(named_by)
        innings = (
            joined(map(escape, inning), f"{_UNBROKEN}·{_UNBROKEN}") for inning in row.innings
        )
        return joined(innings, f"{_UNBROKEN}/{_UNBROKEN}")

    def date(row: Outing) -> Markdown:
        return wording.match(row.appearance.sheet, row.appearance.date, here)

    return wording.titled(
        "Last matches",
        table(
            outings(past.tables, last)[::-1],
            wording.column("Date", date),
            wording.column("Strikes", strikes),
            wording.figure_column("Points", lambda row: row.appearance.points),
            wording.column("Opponent", lambda row: wording.team(row.appearance.opponent)),
        ),
    )


def _told_seasons(past: Past, found: Career, here: str) -> Markdown:
    if not found.told:
        return NOTHING
    wording = past.wording
    shown = table(
        found.told[::-1],
        *past.season_columns(here),
        wording.column("Team", partial(told_team, past, here)),
        *ranked(past, found.told),
        wording.column("Source", lambda row: past.told_source(row.source, row.reference)),
    )
    about = wording.say("No sheet of these seasons names the player; they count in no total.")
    return wording.titled("Seasons handed down", shown, about)


def _distinctions(past: Past, found: Career, here: str) -> Markdown:
    wording = past.wording
    return wording.titled(
        "Classes and awards",
        bullets(
            wording.say(
                "{competition}, {year}: {award}"
                if won.of_class is None
                else "{competition}, {year}: first of the class {name}",
                competition=past.competition(here, won.season, won.competition),
                year=wording.year(won.season),
                award=escape(won.award or ""),
                name=escape(won.of_class or ""),
            )
            for won in reversed(found.distinctions)
        ),
    )


def _best_days(past: Past, found: Career, here: str) -> Markdown:
    wording = past.wording
    best = sorted(found.appearances, key=lambda day: (-day.points, day.date, day.sheet))
    told = best[:_BEST_DAYS]

    def known(row: Appearance) -> Markdown:
        return NOTHING if row.named_by is None else wording.named_by(row.named_by)

    return wording.titled(
        "Best days",
        table(
            told,
            wording.column("Match", lambda row: wording.match(row.sheet, row.date, here)),
            wording.column("Team", lambda row: wording.team(row.team)),
            wording.column("Opponent", lambda row: wording.team(row.opponent, here)),
            wording.figure_column("Points", lambda row: row.points),
            wording.figure_column("Best strike", lambda row: row.best_strike),
            wording.column("Known", known)
            if any(day.named_by is not None for day in told)
            else None,
        ),
    )


def _milestones(past: Past, found: Career, here: str) -> Markdown:
    wording = past.wording
    items = [
        wording.say(
            "First match on record: {date}"
            if (milestone.of, milestone.number) == ("matches", 1)
            else "Match number {number}: {date}"
            if milestone.of == "matches"
            else "Point number {number}: {date}",
            number=wording.number(milestone.number),
            date=wording.match(milestone.sheet, milestone.date, here),
        )
        for milestone in found.milestones
    ]
    for run in found.longest_runs[:1]:
        items.append(
            wording.say(
                "Most matches on record of a team in a row: {number} of {team}, from {since} to"
                " {until}",
                number=wording.number(len(run.sheets)),
                team=wording.team(run.team),
                since=wording.date(run.since),
                until=wording.date(run.until),
            )
        )
    return wording.titled("Milestones", bullets(items))
