"""``riesbuch find``."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.show.match_lines import matches
from riesbuch.show.output import (
    Answer,
    Cell,
    Column,
    Section,
    TableView,
    counted,
    print_answer,
)

if TYPE_CHECKING:
    from riesbuch.questions.find import Found, Hit

_WIDTH_OF_TEXT = 38
_SHOWN = (
    Column(key="kind", title="What"),
    Column(key="text", title="Text"),
    Column(key="where", title="Where"),
)
_KEYS = ("kind", "match", "text", "name", "identifier", "path", "sheets")


@click.command("find")
@click.argument("text", metavar="TEXT...", nargs=-1, required=True)
@format_option
@pass_session
def command(session: Session, text: tuple[str, ...], output_format: str) -> None:
    """People, clubs, grounds, notes and references that have all the words of TEXT.

    Capitals, accents and the spelling of umlauts do not matter, nor does one wrong letter in a
    word of four letters or more.
    """
    from riesbuch.questions.find import find

    written = " ".join(text)
    found = find(session.all_seasons(), written)
    answer = _answer(written, found, output_format)
    if not found.hits and output_format in ("table", "markdown"):
        click.echo(f"Nothing has the words `{written}`.")
        click.echo(answer.notes[0])
    else:
        print_answer(answer, output_format)


def _answer(written: str, found: Found, output_format: str) -> Answer:
    from riesbuch.questions.find import Likeness

    records = [_record(hit) for hit in found.hits]
    sections: list[Section] = []
    if output_format == "csv":
        joined = [[_joined(record[key]) for key in _KEYS] for record in records]
        columns = [Column(key=key, title=key) for key in _KEYS]
        sections.append(Section(title="", view=TableView(columns=columns, rows=joined, data=None)))
    elif output_format != "json":
        whole = output_format == "markdown"
        slips = [hit for hit in found.hits if hit.likeness is Likeness.SLIP]
        others = [hit for hit in found.hits if hit.likeness is not Likeness.SLIP]
        if others:
            sections.append(Section(title="", view=_view(others, whole)))
        if slips:
            sections.append(Section(title="One letter differs", view=_view(slips, whole)))
    searched = (
        f"Searched: {counted(found.players, 'player')}, {counted(found.clubs, 'club')}, and the"
        f" ground, notes and reference of {matches(found.matches)}."
    )
    return Answer(
        sections=sections,
        notes=[searched],
        data={
            "text": written,
            "hits": records,
            "basis": {"matches": found.matches, "strike_by_strike": found.strike_by_strike},
        },
    )


def _record(hit: Hit) -> dict[str, object]:
    return {
        "kind": hit.kind,
        "match": hit.likeness.name.lower(),
        "text": hit.text,
        "name": hit.name,
        "identifier": hit.identifier,
        "path": hit.path,
        "sheets": list(hit.sheets),
    }


def _joined(value: object) -> str:
    """The value in a cell of CSV; sheets are parted by blanks."""
    if isinstance(value, list):
        return " ".join(value)
    return "" if value is None else str(value)


def _view(hits: Sequence[Hit], whole: bool) -> TableView:
    """A long text goes on below, unless ``whole``."""
    rows: list[list[Cell]] = []
    for hit in hits:
        shown = hit.name
        if hit.text not in (hit.name, hit.identifier):
            shown += f" ({'formerly' if hit.kind == 'club' else 'also'} {hit.text})"
        lines = [shown] if whole else textwrap.wrap(shown, _WIDTH_OF_TEXT) or [shown]
        places = [" ".join(_where(hit))] if whole else _where(hit)
        for number, (line, place) in enumerate(zip_longest(lines, places, fillvalue="")):
            rows.append(["" if number else hit.kind, line, place])
    return TableView(columns=_SHOWN, rows=rows, data=None)


def _where(hit: Hit) -> list[str]:
    if hit.path:
        used = f"ground of {matches(len(hit.sheets))}"
        return [hit.path, used] if hit.sheets else [hit.path]
    others = len(hit.sheets) - 1
    return [hit.sheets[0], f"and {others} more"] if others else [hit.sheets[0]]
