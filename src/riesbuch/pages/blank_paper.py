"""One sheet of paper to write on at the strip: both sides beside one another, on one page, as
Markdown or as HTML that a browser prints on A4."""

import datetime
import html
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from riesbuch.language.catalogue import Catalogue, catalogue
from riesbuch.pages.markdown import Markdown, escape, heading, page, plain
from riesbuch.trade.ids import Language
from riesbuch.trade.rules import RuleSet

_SPARE_ROWS = 2
_DOTS = "…" * 10
_LONG_DOTS = "…" * 20
# Unbroken blanks keep the columns wide where the page is rendered, since the cells are empty.
_CELL_WIDTH = 4
_NAME_WIDTH = 22
_MOST_HIGH, _ROOM = 8, 190
"""How high a row is at most, and all of them together, in millimetres."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSide:
    """Names as they are printed; ``team`` is empty where it is written by hand."""

    team: str = ""
    players: Sequence[str] = ()
    supernumeraries: Sequence[str] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperMatch:
    """Empty, or None, is what is written by hand; ``round`` is a figure."""

    competition: str = ""
    round: str = ""
    date: datetime.date | None = None
    ground: str = ""
    home: PaperSide = PaperSide()
    away: PaperSide = PaperSide()


def blank_paper(
    match: PaperMatch, rules: RuleSet, language: Language, *, as_html: bool = False
) -> str:
    """The sheet, its columns and rows as many as ``rules`` say."""
    words = catalogue(language, "reports")
    safe: Callable[[str], str] = _in_html if as_html else escape
    sides = (match.home, match.away)
    places = (words.say("Home"), words.say("Away"))
    titles = [
        safe(side.team) if side.team else f"{place} {_DOTS}"
        for side, place in zip(sides, places, strict=True)
    ]

    def asked(label: str, known: str = "", dots: str = _DOTS) -> str:
        return f"{label}: {known or dots}"

    details = [
        asked(words.say("Competition"), safe(match.competition)),
        asked(words.say("Round"), match.round, "……"),
        asked(words.say("Date"), words.date(match.date) if match.date else ""),
        asked(words.pgettext("blank paper", "Ground"), safe(match.ground)),
    ]
    on_the_day = [
        asked(words.say("Strikes first"), dots="……"),
        asked(words.say("Weather")),
        asked(words.say("Referees"), dots=_LONG_DOTS),
    ]
    captain = words.say("Captain's signature")
    heads = [
        f"{place}: {title}" if side.team else place
        for side, place, title in zip(sides, places, titles, strict=True)
    ]
    rows = _rows(sides, heads, rules, words, safe)
    note = words.say(
        "1.2: first inning, second strike. Underline a Nummer; x: not struck."
        " R: replacement strikes. S: supernumeraries."
    )
    title = " – ".join(titles)
    lines = [" · ".join(details), " · ".join(on_the_day)]
    signatures = [f"{captain}, {title}: {_LONG_DOTS}" for title in titles]
    if as_html:
        return _as_html(title, lines, rows, note, signatures, language)
    return _as_markdown(title, lines, rows, note, signatures)


def _rows(
    sides: tuple[PaperSide, PaperSide],
    heads: Sequence[str],
    rules: RuleSet,
    words: Catalogue,
    safe: Callable[[str], str],
) -> list[list[str]]:
    """The head, then all others; of each the mark in front, then for both sides a name or label
    and a cell for each strike and for their sum."""
    columns = [
        *(
            f"{inning}.{strike}"
            for inning in range(1, rules.innings + 1)
            for strike in range(1, rules.strikes_per_inning + 1)
        ),
        words.pgettext("blank paper", "Sum"),
    ]

    def row(mark: str, *labels: str) -> list[str]:
        return [mark, *(cell for label in labels for cell in (label, *[""] * len(columns)))]

    def named(mark: str, lists: Sequence[Sequence[str]], index: int) -> list[str]:
        return row(mark, *(safe(names[index]) if index < len(names) else "" for names in lists))

    supernumeraries = [side.supernumeraries for side in sides]
    players = [side.players for side in sides]
    return [
        ["", *(cell for head in heads for cell in (head, *columns))],
        *(named(str(index + 1), players, index) for index in range(rules.team_size)),
        *[row(words.pgettext("blank paper", "R"), "", "")] * _SPARE_ROWS,
        row("", *[words.say("Ries totals, points")] * 2),
        row("", *[words.pgettext("blank paper", "Nummern conceded")] * 2),
        *(
            named(words.pgettext("blank paper", "S"), supernumeraries, index)
            for index in range(max(_SPARE_ROWS, *map(len, supernumeraries)))
        ),
    ]


def _as_markdown(
    title: str,
    lines: Sequence[str],
    rows: Sequence[Sequence[str]],
    note: str,
    signatures: Sequence[str],
) -> str:
    """The table is one to the eye too where nothing renders it."""
    of_a_side = len(rows[0]) // 2
    least = [0, *[_NAME_WIDTH, *[_CELL_WIDTH] * (of_a_side - 1)] * 2]
    # A name that wraps would cost a row.
    head = [f"{cell:\u00a0<{width}}" for cell, width in zip(rows[0], least, strict=True)]
    unbroken = [[cell.replace(" ", "\u00a0") for cell in row] for row in (head, *rows[1:])]
    widths = [max(map(len, column)) for column in zip(*unbroken, strict=True)]
    first, *below = [f"| {' | '.join(map(str.ljust, row, widths))} |" for row in unbroken]
    line = f"|{'|'.join('-' * (width + 2) for width in widths)}|"
    return page(
        [
            heading(2, Markdown(title)),
            Markdown("\\\n".join(lines)),
            Markdown("\n".join([first, line, *below])),
            Markdown(note),
            Markdown("\\\n".join(signatures)),
        ]
    )


def _in_html(written: str) -> str:
    return html.escape(plain(written))


def _as_html(
    title: str,
    lines: Sequence[str],
    rows: Sequence[Sequence[str]],
    note: str,
    signatures: Sequence[str],
    language: Language,
) -> str:
    """A page of its own, of which a browser prints one sheet of A4."""
    high = min(_MOST_HIGH, _ROOM / len(rows))
    new_line = "<br>\n"
    of_a_side = len(rows[0]) // 2
    columns = '<col class="mark">' + ('<col class="name">' + "<col>" * (of_a_side - 1)) * 2
    head = "".join(f"<th>{cell}</th>" for cell in rows[0])
    below = "\n".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows[1:])
    return f"""<!DOCTYPE html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<title>{title}</title>
<style>
@page {{size: A4; margin: 10mm}}
body {{font: 10pt/1.6 sans-serif; margin: 0 auto; max-width: 190mm}}
h1 {{font-size: 14pt; margin: 0}}
p {{margin: 2mm 0}}
table {{border-collapse: collapse; table-layout: fixed; width: 100%}}
.mark {{width: 6mm}}
.name {{width: 42mm}}
th, td {{border: 0.2mm solid; font-weight: normal; height: {high:.1f}mm; overflow: hidden;
padding: 0 1mm; text-align: left; white-space: nowrap}}
</style>
</head>
<body>
<h1>{title}</h1>
<p>{new_line.join(lines)}</p>
<table>
<colgroup>{columns}</colgroup>
<thead>
<tr>{head}</tr>
</thead>
<tbody>
{below}
</tbody>
</table>
<p>{note}</p>
<p>{new_line.join(signatures)}</p>
</body>
</html>
"""
