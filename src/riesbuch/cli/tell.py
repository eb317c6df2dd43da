"""``riesbuch tell``."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import competitions, sheets
from riesbuch.cli.context import DAY, Number, Session, pass_session, season_option
from riesbuch.show.output import in_width, terminal_width, write
from riesbuch.trade.ids import LANGUAGES
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import UsageError, in_a_row, no_season

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from riesbuch.folder.archive import Archive
    from riesbuch.pages.round_lines import RoundAsked
    from riesbuch.pages.stories.telling import Length, Story
    from riesbuch.trade.ids import Language, SheetId
    from riesbuch.trade.match import Match
    from riesbuch.trade.strikers import Performance
    from riesbuch.trade.tally import Tally

_WIDTH = 78


def _sheets_or_competitions(
    ctx: click.Context, param: click.Parameter, incomplete: str
) -> list[str] | list[CompletionItem]:
    is_round = ctx.params.get("number") is not None or ctx.params.get("date") is not None
    return (competitions if is_round else sheets)(ctx, param, incomplete)


@click.command("tell")
@click.argument(
    "told", metavar="[SHEET|COMPETITION]", required=False, shell_complete=_sheets_or_competitions
)
@click.option("--round", "number", type=Number(), metavar="N", help="The results of this round.")
@click.option("--date", type=DAY, help="The results of this day.")
@season_option("The season of the round; without it, the newest.")
@click.option(
    "--language",
    type=click.Choice(LANGUAGES),
    help="Tell it in English or German; without it, in the language of league.toml.",
)
@click.option(
    "--length",
    type=click.Choice(("short", "long")),
    default="short",
    show_default=True,
    help="A paragraph for a message to friends, or a text for the newsletter.",
)
@click.option(
    "--format",
    "output_format",
    type=click.Choice(("text", "markdown", "json")),
    default="text",
    show_default=True,
    help="json has each sentence with the facts it tells.",
)
@pass_session
def command(
    session: Session,
    told: str | None,
    number: int | None,
    date: datetime.date | None,
    season: int | None,
    language: Language | None,
    length: Length,
    output_format: str,
) -> int:
    """Tell the story of one match in words, by its sheet and what was on record before it; or the
    results of a round or a day, one line a match, ready for the newspaper.

    SHEET is a file, an identifier such as 2026/2026-05-10-aarwald-a-birkenfluh-a, or any part of
    one that fits a single sheet. The same sheet always reads the same. In a terminal the lines are
    folded; elsewhere a paragraph is one line, to be pasted where it is needed.

    With --round or --date it is the results, the best strikers, and the tables after it, of
    COMPETITION or of all that played then.

    Of a sheet with errors nothing is told, and the exit status is then 1.
    """
    from riesbuch.pages.round_lines import RoundAsked

    if number is not None and date is not None:
        raise UsageError("--round or --date: a round has its days, so one of them is enough")
    if number is not None or date is not None:
        if output_format != "text" or length != "short":
            raise UsageError("--format and --length are for the story of one match: leave them out")
        return _tell_round(session, told, RoundAsked(number, date), season, language)
    if told is None:
        raise UsageError(
            "name a match, `riesbuch tell SHEET`, or all of a round or a day:"
            " `riesbuch tell --round 6`"
        )
    if season is not None:
        raise UsageError("--season goes with --round: `riesbuch tell --round 6 --season 2025`")
    return _tell_match(session, Path(told), language, length, output_format)


def _tell_match(
    session: Session, sheet: Path, language: Language | None, length: Length, output_format: str
) -> int:
    from riesbuch.cli.sheets import examine_one, locate_sheet
    from riesbuch.pages.stories.telling import match_story
    from riesbuch.questions.before_match import BeforeMatch
    from riesbuch.show.problems import has_errors, say_problems
    from riesbuch.trade.tally import tally

    path = locate_sheet(session.folder, sheet)
    index = session.index()
    tables = index.connection()
    archive, examined, problems = examine_one(session.folder, index, path)
    errors = has_errors(problems, examined.path)
    if errors:
        say_problems(problems)
    match = examined.match
    if match is None:
        return 1
    rules, kind = archive.scoring_of(match)
    story = match_story(
        BeforeMatch(tables),
        archive,
        match,
        tally(match, rules, kind),
        rules,
        language=language,
        length=length,
        errors=errors,
        outside=session.folder.sheet_id(path) is None,
    )
    if output_format == "json":
        _print_json(story, length)
    elif output_format == "markdown":
        _print_markdown(story, archive, match)
    else:
        _print_text(story)
    return 1 if errors else 0


def _tell_round(
    session: Session,
    named: str | None,
    asked: RoundAsked,
    year: int | None,
    language: Language | None,
) -> int:
    """Of each competition that has a sheet of it; the exit status."""
    from riesbuch.cli.tables import find_competition
    from riesbuch.language.catalogue import catalogue
    from riesbuch.pages.round_lines import round_text
    from riesbuch.show.problems import say_left_out

    index, years = session.index(), session.folder.years()
    index.problems([])
    archive = index.archive(years)
    if asked.date is not None:
        year = asked.date.year
    of = []
    if named is not None:
        year, competition, _ = find_competition(index, years, named, year)
        of = [competition]
    elif year is None:
        year = max(archive.seasons, default=0)
    if year not in archive.seasons:
        raise no_season(year, archive.seasons)
    found = index.season(year)
    words = catalogue(language or archive.league.language, "reports")
    called = archive.register.public_names[archive.league.publishing.minors].name
    texts, left_out, days, rounds = [], [], set(), set()
    for competition in of or archive.seasons[year].competitions:
        tallies: dict[str, Tally] = {}
        struck: dict[SheetId, list[Performance]] = {}
        wrong = []
        for path, (tally, performances) in found.tallies.items():
            if tally is None:
                left_out += [path] if path not in left_out else []
            elif tally.competition == competition.id and path in found.with_errors:
                wrong.append(tally)
                left_out += [path] if asked.takes(tally) else []
            elif tally.competition == competition.id:
                tallies[path] = tally
                struck[tally.sheet] = performances
        days |= {tally.date for tally in tallies.values() if tally.date}
        rounds |= {tally.round for tally in tallies.values() if tally.round}
        text = round_text(
            words, archive, competition, list(tallies.values()), struck, wrong, asked,
            lambda player: called(player, year),
        )  # fmt: skip
        texts += [text] if text else []
    say_left_out(left_out)
    if not texts:
        raise _nothing_told(asked, year, rounds, days)
    write("\n\n\n".join(texts))
    return 1 if left_out else 0


def _nothing_told(
    asked: RoundAsked, year: int, rounds: set[int], days: set[datetime.date]
) -> UsageError:
    """It says what there is instead."""
    if not days:
        return UsageError("no sheet of {year} is there yet", year=year)
    date = asked.date
    if date is None:
        return UsageError(
            "no sheet of {year} is of round {number}; there are {known}",
            year=year, number=asked.number,
            known=in_a_row(map(str, sorted(rounds))) if rounds else Message("no rounds"),
        )  # fmt: skip
    day = min(days, key=lambda each: (abs(each - date), each))
    return UsageError(
        "no sheet is of {date}; the nearest day with one is {day}", date=date, day=day
    )


def _print_text(story: Story) -> None:
    texts = story.texts()
    if terminal_width() is not None:
        texts = [in_width(text, most=_WIDTH) for text in texts]
    write("\n\n".join(texts))


def _print_markdown(story: Story, archive: Archive, match: Match) -> None:
    from riesbuch.pages.markdown import escape, heading, joined, page

    teams = [
        escape(archive.register.team_name(side.team)) if side.team else escape("?")
        for _, side in match.sides
    ]
    paragraphs = [escape(text) for text in story.texts()]
    write(page([heading(1, joined(teams, " – ")), *paragraphs]), ends_line=False)


def _print_json(story: Story, length: str) -> None:
    from riesbuch.show.output import print_json

    print_json(
        {
            "sheet": story.sheet,
            "language": story.language,
            "length": length,
            "paragraphs": [
                [
                    {"text": sentence.text, "facts": [fact.data() for fact in sentence.facts]}
                    for sentence in sentences
                ]
                for sentences in story.paragraphs
            ],
        }
    )
