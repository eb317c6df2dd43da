"""``riesbuch records``."""

from __future__ import annotations

import datetime
from typing import Any

import click

from riesbuch.cli.context import Session, format_option, pass_session


class YearOrDate(click.ParamType):  # type: ignore[type-arg]
    """A day, or a year for its first or last day; given on as text like 2026-05-10."""

    name = "year or date"

    def __init__(self, *, last: bool) -> None:
        self._end = "12-31" if last else "01-01"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        text = str(value)
        whole = f"{text}-{self._end}" if len(text) == 4 else text
        try:
            return datetime.datetime.strptime(whole, "%Y-%m-%d").date().isoformat()
        except ValueError:
            self.fail(f"`{text}` is neither a year nor a date like 2026-05-10", param, ctx)


@click.command("records")
@click.option("--competition", metavar="COMPETITION", help="Only matches of that competition.")
@click.option(
    "--since",
    type=YearOrDate(last=False),
    metavar="YEAR|DATE",
    help="Only matches from that year or day on.",
)
@click.option(
    "--until",
    type=YearOrDate(last=True),
    metavar="YEAR|DATE",
    help="Only matches up to that year or day.",
)
@click.option(
    "--club",
    metavar="CLUB",
    help="Only records of that club and those it was merged from, or of a team.",
)
@click.option(
    "--least-strikes",
    type=click.IntRange(min=1),
    default=40,
    show_default=True,
    help="Strikes in a season from which on its average counts.",
)
@click.option("--ages", is_flag=True, help="Also the youngest and the oldest, by birth years.")
@format_option
@pass_session
def command(
    session: Session,
    competition: str | None,
    since: str | None,
    until: str | None,
    club: str | None,
    least_strikes: int,
    ages: bool,
    output_format: str,
) -> None:
    """Highest, longest and closest over all seasons, each with its date and sheet."""
    from riesbuch.questions.clubs import club_name, find_party, former_names
    from riesbuch.questions.records import holders_names, record_book
    from riesbuch.questions.scope import Scope, find_competition
    from riesbuch.show.club_names import former_name_notes
    from riesbuch.show.output import print_answer
    from riesbuch.show.records import Asked, records_answer, sentence
    from riesbuch.trade.problems import UsageError

    if since is not None and until is not None and since > until:
        raise UsageError(f"no day lies between {since} and {until}; is it the other way round?")
    connection = session.all_seasons()
    if competition is not None:
        find_competition(connection, competition)
    party = None if club is None else find_party(connection, club)
    scope = Scope(
        competition=competition,
        since=since,
        until=until,
        teams=None if party is None else tuple(team for team, _ in party.teams),
    )
    book = record_book(connection, scope, least_strikes, ages=ages)
    formerly = () if party is None else former_names(connection, party, book.first)
    asked = Asked(scope=scope, party=party, formerly=formerly, least_strikes=least_strikes)
    if not book.matches and output_format in ("table", "markdown"):
        click.echo(sentence(asked))
        return
    merged = [club_name(connection, each) for each in party.predecessors] if party else []
    on_names = former_name_notes(connection, formerly)
    answer = records_answer(asked, book, holders_names(connection, book), merged, on_names)
    print_answer(answer, output_format)
