"""The pages of what is missing, and of how many people played."""

from collections.abc import Iterator

from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    in_chapters,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.past import Past, Told
from riesbuch.pages.wording import Wording
from riesbuch.questions.career import BANDS, YearOfPeople, participation
from riesbuch.questions.honours import season_gaps, sources


def sources_text(past: Past, here: str) -> Markdown:
    wording = past.wording

    return stacked(
        wording.say(
            "What is missing here may lie in somebody’s attic: an old match sheet, a cutting from"
            " the newspaper, a page of the minute book, a photograph of a result board. Whoever"
            " has something tells the secretary, even if it is the winner alone."
        ),
        wording.say(
            "The page of each season names the matches that are known in less detail and"
            " everything doubtful. A dash: nobody said how many matches there were to be."
        ),
        in_chapters(
            season_gaps(past.tables),
            lambda row: wording.decade(row.season),
            lambda rows: table(
                rows,
                wording.column("Season", lambda row: wording.season(row.season, here)),
                wording.figure_column("Sheets", lambda row: row.sheets),
                wording.figure_column(
                    "Matches missing", lambda row: row.missing if row.planned else None
                ),
                wording.figure_column(
                    "Known in less detail", lambda row: row.sheets - row.strike_by_strike
                ),
                wording.figure_column("Winner unknown", lambda row: row.no_winner),
                wording.figure_column("Of these, no source", lambda row: row.no_source),
                wording.figure_column("Drafts", lambda row: row.drafts),
            ),
        ),
        wording.sources(sources(past.tables)),
        _told_sources(past, here),
    )


def _told_sources(past: Past, here: str) -> Markdown:
    """Each source of a table or title, with the competition that it tells of."""
    wording = past.wording
    rows = [
        (key, what, source)
        for key, told in sorted(past.told.items(), key=lambda item: (-item[0][0], item[0][1]))
        for what, of_kind in (
            (wording.say("Table"), told.tables),
            (wording.say("Striker table"), told.striker_tables),
            (wording.say("Honours"), _of_titles_alone(told)),
        )
        for source in of_kind
    ]
    return wording.titled(
        "Handed down without sheets",
        table(
            rows,
            wording.column("Season", lambda row: wording.season(row[0][0], here)),
            wording.column("Competition", lambda row: past.competition(here, *row[0])),
            wording.column("Known", lambda row: row[1]),
            wording.column("Source", lambda row: past.told_source(*row[2])),
        ),
    )


def _of_titles_alone(told: Told) -> list[tuple[str | None, str | None]]:
    """Sources that no table is from."""
    found = dict.fromkeys((title.source, title.reference) for title in told.titles)
    return [source for source in found if source not in {**told.tables, **told.striker_tables}]


def people_text(past: Past, here: str) -> Markdown:
    wording = past.wording
    bands = [*_bands(wording)] if wording.publishing.ages else []
    ages = wording.say(
        "Ages are those reached in the year, told in bands only. Where fewer than five are in the"
        " youngest band they are counted in the next (→)."
    )
    return stacked(
        sentences(
            wording.say(
                "Counted are all who stand in a striker table of the year; new are those in none"
                " before. Of a season on record in part there were more."
            ),
            ages if bands else NOTHING,
        ),
        in_chapters(
            participation(past.tables),
            lambda row: wording.decade(row.season),
            lambda rows: table(
                rows,
                wording.column("Season", lambda row: wording.season(row.season, here)),
                wording.figure_column("People", lambda row: row.people),
                wording.figure_column("New", lambda row: row.new),
                *(_band(wording, title, number) for number, title in enumerate(bands)),
                wording.column("On record", lambda row: _extent(past, row.season)),
            ),
        )
        or wording.say("No player's points are known yet."),
    )


def _extent(past: Past, season: int) -> Markdown:
    """Over all competitions of which it is known how many matches there were to be."""
    known = [row for row in past.overview if row.season == season and row.planned is not None]
    if not known:
        return NOTHING
    together = known[0]._replace(
        played=sum(row.played for row in known),
        planned=sum(row.planned or 0 for row in known),
        complete=all(row.complete for row in known),
    )
    return past.wording.extent(together)


def _bands(wording: Wording) -> Iterator[Markdown]:
    first, *others = BANDS
    yield wording.say("up to {age}", age=wording.number(first))
    below = first
    for age in others:
        yield Markdown(f"{below + 1}–{age}")
        below = age
    yield wording.say("{age} and over", age=wording.number(below + 1))
    yield wording.say("Age not known")


def _band(wording: Wording, title: Markdown, number: int) -> PageColumn[YearOfPeople]:
    def cell(row: YearOfPeople) -> Markdown | int:
        people = (*row.bands, row.not_known)[number]
        return Markdown("→") if people is None else people

    return wording.figures(title, cell)
