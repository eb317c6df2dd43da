"""``riesbuch tell``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, pass_session, sheet_argument
from riesbuch.show.output import in_width, terminal_width, write
from riesbuch.trade.ids import LANGUAGES

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.pages.stories.telling import Length, Story
    from riesbuch.trade.ids import Language
    from riesbuch.trade.match import Match

_WIDTH = 78


@click.command("tell")
@sheet_argument("sheet")
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
    session: Session, sheet: Path, language: Language | None, length: Length, output_format: str
) -> int:
    """Tell the story of one match in words, by its sheet and what was on record before it.

    SHEET is a file, an identifier such as 2026/2026-05-10-aarwald-a-birkenfluh-a, or any part of
    one that fits a single sheet. The same sheet always reads the same. In a terminal the lines are
    folded; elsewhere a paragraph is one line, to be pasted where it is needed.

    Of a sheet with errors nothing is told, and the exit status is then 1.
    """
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
