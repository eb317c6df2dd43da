"""What pages tell of that which is handed down without sheets."""

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from typing import TypeVar

from riesbuch.pages.markdown import Markdown, PageColumn, bullets, escape, joined, stacked, table
from riesbuch.pages.past import Past
from riesbuch.pages.paths import Page, competition_page
from riesbuch.questions.chronicle import Title, ToldStriker, ToldTeam
from riesbuch.questions.honours import CompetitionOverview

Row = TypeVar("Row", ToldTeam, ToldStriker)


def told_pages(past: Past, year: int) -> Iterator[Page]:
    """Those of the season's competitions of which nothing else is known."""
    for known in past.overview:
        if known.season == year and past.is_told(known):
            path = competition_page(year, known.competition)
            yield Page.at(path, partial(_told_text, past, known, path))


def _told_text(past: Past, known: CompetitionOverview, here: str) -> str:
    wording = past.wording
    return wording.page(
        here,
        wording.say(
            "{competition}, {year}", competition=escape(known.name), year=wording.year(known.season)
        ),
        wording.say("No sheet of it is on record; all of this is handed down."),
        told_tables(past, known.season, known.competition, here),
        told_striker_tables(past, known.season, known.competition, here),
        _titles(past, known, here),
        ways=[wording.season_title(known.season, here)],
    )


def told_tables(past: Past, year: int, competition: str, here: str) -> Markdown:
    """The tables of teams, each with its source; nothing where there are none."""
    wording, told = past.wording, past.told.get((year, competition))
    team = wording.column("Team", partial(told_team, past, here))
    tables = (
        wording.titled(
            "Table, handed down", table(rows, *ranked(past, rows, team)), _from(past, source)
        )
        for source, rows in (told.tables.items() if told else ())
    )
    return stacked(*tables)


def told_striker_tables(past: Past, year: int, competition: str, here: str) -> Markdown:
    """The same of individuals."""
    wording, told = past.wording, past.told.get((year, competition))

    def player(row: ToldStriker) -> Markdown:
        if row.player is not None:
            return wording.player(row.player, year, here)
        return wording.text(row.player_name, year) if row.player_name else wording.unknown

    who = (
        wording.column("Name", player),
        wording.column("Team", partial(told_team, past, here)),
    )
    tables = (
        wording.titled(
            "Striker table, handed down",
            table(rows, *ranked(past, rows, *who)),
            _from(past, source),
        )
        for source, rows in (told.striker_tables.items() if told else ())
    )
    return stacked(*tables)


def told_team(past: Past, here: str, row: ToldTeam | ToldStriker) -> Markdown:
    if row.team is not None:
        return past.wording.team(row.team, here)
    return past.wording.text(row.team_name) if row.team_name else past.wording.unknown


def _from(past: Past, source: tuple[str | None, str | None]) -> Markdown:
    return past.wording.say("Source: {source}", source=past.told_source(*source))


def ranked(past: Past, rows: Sequence[Row], *columns: PageColumn[Row]) -> Iterator[PageColumn[Row]]:
    """The rank, the ``columns``, and figures as far as any is handed down."""
    wording = past.wording

    def figure(key: str, title: Markdown) -> PageColumn[Row]:
        return wording.figures(title, lambda row: getattr(row, key))

    figures = {
        "played": wording.say("Played"),
        "matches": wording.say("Matches"),
        "won": wording.say("Won"),
        "drawn": wording.say("Drawn"),
        "lost": wording.say("Lost"),
        "strikes": wording.say("Strikes"),
        "nummern": wording.say("Nummern"),
        "points": wording.say("Points"),
        "best": wording.say("Best match"),
        "rank_points": wording.say("Rank points"),
    }
    yield wording.figure_column("Rank", lambda row: row.rank)
    yield from columns
    for key, title in figures.items():
        if any(getattr(row, key, None) is not None for row in rows):
            yield figure(key, title)


def _titles(past: Past, known: CompetitionOverview, here: str) -> Markdown:
    told = past.told.get((known.season, known.competition))
    lines = (
        joined(
            [
                joined([title_words(past, title), past.holder(title, here)], ": "),
                Markdown(f"({past.told_source(title.source, title.reference)})"),
            ],
            " ",
        )
        for title in (told.titles if told else ())
    )
    return past.wording.titled("Honours", bullets(lines))


def title_words(past: Past, title: Title) -> Markdown:
    wording = past.wording
    words = {
        "champion": wording.say("Champion"),
        "runner-up": wording.say("Second place"),
        "promoted": wording.say("Promoted"),
        "relegated": wording.say("Relegated"),
        "best-striker": wording.say("Best striker"),
    }
    return words.get(title.what) or escape(title.award or title.what)


def titles_of(past: Past, titles: Iterable[Title], here: str) -> Markdown:
    """A line a title, of teams with which one, and where it is handed down."""
    return bullets(
        past.wording.say(
            "{year}, {competition}: {what} (handed down: {source})",
            year=past.wording.year(title.season),
            competition=past.competition(here, title.season, title.competition),
            what=title_words(past, title)
            if title.team is None
            else joined([title_words(past, title), past.holder(title)], ", "),
            source=past.told_source(title.source, title.reference),
        )
        for title in titles
    )
