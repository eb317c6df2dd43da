"""One sheet of paper to write on at the strip: both sides beside one another, on one page."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from riesbuch.files.league import Language
from riesbuch.reports.markdown import Markdown, escape, heading, page
from riesbuch.reports.paper_words import PAPER_WORDS, PaperWords
from riesbuch.trade.rules import RuleSet

_SPARE_ROWS = 2
_DOTS = Markdown("…" * 10)
_LONG_DOTS = Markdown("…" * 20)
# Unbroken blanks keep the columns wide where the page is rendered, since the cells are empty.
_CELL_WIDTH = 5
_NAME_WIDTH = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSide:
    """Names as they are printed; ``team`` is empty where it is written by hand."""

    team: str = ""
    players: Sequence[str] = ()
    supernumeraries: Sequence[str] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperMatch:
    """Empty is what is written by hand."""

    competition: str = ""
    round: str = ""
    date: str = ""
    ground: str = ""
    home: PaperSide = PaperSide()
    away: PaperSide = PaperSide()


def blank_paper(match: PaperMatch, rules: RuleSet, language: Language) -> str:
    """The sheet as Markdown, its columns and rows as many as ``rules`` say."""
    words = PAPER_WORDS[language]
    sides = (match.home, match.away)
    places = (words.home, words.away)
    titles = [
        escape(side.team) if side.team else Markdown(f"{place} {_DOTS}")
        for side, place in zip(sides, places, strict=True)
    ]

    def asked(label: str, known: str = "", dots: Markdown = _DOTS) -> str:
        return f"{label}: {escape(known) if known else dots}"

    details = [
        asked(words.competition, match.competition),
        asked(words.round, match.round, Markdown("……")),
        asked(words.date, match.date),
        asked(words.ground, match.ground),
    ]
    on_the_day = [
        asked(words.strikes_first, dots=Markdown("……")),
        asked(words.weather),
        asked(words.referees, dots=_LONG_DOTS),
    ]
    signatures = [f"{words.captain}, {title}: {_LONG_DOTS}" for title in titles]
    return page(
        [
            heading(1, Markdown(" – ".join(titles))),
            Markdown(f"{' · '.join(details)}\\\n{' · '.join(on_the_day)}"),
            _table(sides, [f"{words.home}: {title}" if side.team else words.home if place == 0
                           else words.away
                           for place, (side, title) in enumerate(zip(sides, titles, strict=True))],
                   rules, words),  # fmt: skip
            Markdown(words.row_help),
            Markdown("\\\n".join(signatures)),
        ]
    )


def _table(
    sides: tuple[PaperSide, PaperSide], titles: Sequence[str], rules: RuleSet, words: PaperWords
) -> Markdown:
    strikes = [
        f"{inning}.{strike}"
        for inning in range(1, rules.innings + 1)
        for strike in range(1, rules.strikes_per_inning + 1)
    ]
    head = ["", *(cell for title in titles for cell in
                  (_held(title, _NAME_WIDTH), *(_held(each, _CELL_WIDTH) for each in strikes),
                   _held(words.sum, _CELL_WIDTH)))]  # fmt: skip
    empty = [""] * (len(strikes) + 1)

    def row(mark: str, label: Callable[[PaperSide], str]) -> list[str]:
        return [mark, *(cell for side in sides for cell in (label(side), *empty))]

    def nth(names: Sequence[str], index: int) -> str:
        return escape(names[index]) if index < len(names) else ""

    extra = max(_SPARE_ROWS, *(len(side.supernumeraries) for side in sides))
    rows = [
        *(row(str(index + 1), lambda side, index=index: nth(side.players, index))
          for index in range(rules.team_size)),
        *(row(words.replacement, lambda side: "") for _ in range(_SPARE_ROWS)),
        row("", lambda side: words.totals),
        row("", lambda side: words.nummern),
        *(row(words.supernumerary, lambda side, index=index: nth(side.supernumeraries, index))
          for index in range(extra)),
    ]  # fmt: skip
    return _aligned([head, *rows])


def _held(text: str, width: int) -> str:
    return f"{text:\u00a0<{width}}"


def _aligned(rows: Sequence[Sequence[str]]) -> Markdown:
    """A table that is one to the eye too where nothing renders it."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    head, *below = [
        "| " + " | ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)) + " |"
        for row in rows
    ]
    line = "|" + "|".join("-" * (width + 2) for width in widths) + "|"
    return Markdown("\n".join([head, line, *below]))
