"""One sheet of paper to write on at the strip: both sides beside one another, on one page."""

from collections.abc import Sequence
from dataclasses import dataclass

from riesbuch.language.catalogue import Catalogue, catalogue
from riesbuch.pages.markdown import Markdown, escape, heading, page
from riesbuch.trade.ids import Language
from riesbuch.trade.rules import RuleSet

_SPARE_ROWS = 2
_DOTS = Markdown("…" * 10)
_LONG_DOTS = Markdown("…" * 20)
# Unbroken blanks keep the columns wide where the page is rendered, since the cells are empty.
_CELL_WIDTH = 4
_NAME_WIDTH = 22


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSide:
    """Names as they are printed; ``team`` is empty where it is written by hand."""

    team: str = ""
    players: Sequence[str] = ()
    supernumeraries: Sequence[str] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperMatch:
    """Empty is what is written by hand; ``round`` and ``date`` are figures."""

    competition: str = ""
    round: str = ""
    date: str = ""
    ground: str = ""
    home: PaperSide = PaperSide()
    away: PaperSide = PaperSide()


def blank_paper(match: PaperMatch, rules: RuleSet, language: Language) -> str:
    """The sheet as Markdown, its columns and rows as many as ``rules`` say."""
    words = catalogue(language, "reports")
    sides = (match.home, match.away)
    places = (words.say("Home"), words.say("Away"))
    titles = [
        escape(side.team) if side.team else Markdown(f"{place} {_DOTS}")
        for side, place in zip(sides, places, strict=True)
    ]

    def asked(label: str, known: str = "", dots: Markdown = _DOTS) -> str:
        return f"{label}: {known or dots}"

    details = [
        asked(words.say("Competition"), escape(match.competition)),
        asked(words.say("Round"), match.round, Markdown("……")),
        asked(words.say("Date"), match.date),
        asked(words.pgettext("blank paper", "Ground"), escape(match.ground)),
    ]
    on_the_day = [
        asked(words.say("Strikes first"), dots=Markdown("……")),
        asked(words.say("Weather")),
        asked(words.say("Referees"), dots=_LONG_DOTS),
    ]
    captain = words.say("Captain's signature")
    signatures = [f"{captain}, {title}: {_LONG_DOTS}" for title in titles]
    heads = [
        f"{place}: {title}" if side.team else place
        for side, place, title in zip(sides, places, titles, strict=True)
    ]
    return page(
        [
            heading(2, Markdown(" – ".join(titles))),
            Markdown(f"{' · '.join(details)}\\\n{' · '.join(on_the_day)}"),
            _table(sides, heads, rules, words),
            Markdown(
                words.say(
                    "1.2: first inning, second strike. Underline a Nummer; x: not struck."
                    " R: replacement strikes. S: supernumeraries."
                )
            ),
            Markdown("\\\n".join(signatures)),
        ]
    )


def _table(
    sides: tuple[PaperSide, PaperSide], titles: Sequence[str], rules: RuleSet, words: Catalogue
) -> Markdown:
    strikes = [
        f"{inning}.{strike}"
        for inning in range(1, rules.innings + 1)
        for strike in range(1, rules.strikes_per_inning + 1)
    ]
    head = [""]
    for place in titles:
        head += [_unbroken(place, _NAME_WIDTH)]
        head += [
            _unbroken(title, _CELL_WIDTH)
            for title in (*strikes, words.pgettext("blank paper", "Sum"))
        ]
    empty = [""] * (len(strikes) + 1)

    def row(mark: str, *labels: str) -> list[str]:
        return [mark, *(cell for label in labels for cell in (_unbroken(label, 0), *empty))]

    def named(mark: str, lists: Sequence[Sequence[str]], index: int) -> list[str]:
        return row(mark, *(escape(names[index]) if index < len(names) else "" for names in lists))

    players = [side.players for side in sides]
    supernumeraries = [side.supernumeraries for side in sides]
    return _aligned(
        [
            head,
            *(named(str(index + 1), players, index) for index in range(rules.team_size)),
            *[row(words.pgettext("blank paper", "R"), "", "")] * _SPARE_ROWS,
            row("", *[words.say("Ries totals, points")] * 2),
            row("", *[words.pgettext("blank paper", "Nummern conceded")] * 2),
            *(
                named(words.pgettext("blank paper", "S"), supernumeraries, index)
                for index in range(max(_SPARE_ROWS, *map(len, supernumeraries)))
            ),
        ]
    )


def _unbroken(text: str, width: int) -> str:
    """The text in one line and at least that wide: a name that wraps would cost a row."""
    return f"{text:\u00a0<{width}}".replace(" ", "\u00a0")


def _aligned(rows: Sequence[Sequence[str]]) -> Markdown:
    """A table that is one to the eye too where nothing renders it."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    head, *below = [
        "| "
        + " | ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True))
        + " |"
        for row in rows
    ]
    line = "|" + "|".join("-" * (width + 2) for width in widths) + "|"
    return Markdown("\n".join([head, line, *below]))
