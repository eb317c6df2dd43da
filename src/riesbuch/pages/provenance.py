"""Where a sheet comes from, what is doubtful in it, and what became of it since."""

from collections.abc import Iterable

from riesbuch.pages.markdown import (
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
)
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.match import Correction, Match, Seal, Source

_OF_PLAYERS = ("strikes", "supernumeraries", "player_points")


def provenance(pen: Pen, here: str, recorded: RecordedMatch) -> list[Markdown]:
    say, match = pen.say, recorded.match
    items = []
    if match.source is not None:
        items.append(fill(say.source, source=_source(pen, match.source)))
    if match.seal is not None:
        items.append(_seal(pen, match, match.seal))
    items.append(link(here, recorded.path, escape(say.sheet_file)))
    return [
        heading(2, escape(say.record)),
        bullets(items),
        *_listed(
            say.doubts,
            (
                joined([place_in_words(pen, match, each.at), pen.text(each.note)], ": ")
                for each in match.doubts
            ),
        ),
        *_listed(say.corrections, (_correction(pen, match, each) for each in match.corrections)),
    ]


def _listed(title: str, items: Iterable[Markdown]) -> list[Markdown]:
    listed = list(items)
    return [heading(3, escape(title)), bullets(listed)] if listed else []


def _source(pen: Pen, source: Source) -> Markdown:
    say = pen.say
    parts = []
    kind = say.source_kinds[source.kind] if source.kind is not None else ""
    # Who copied it may have begun with the same word: "minute book, page 44".
    if kind and not (source.reference or "").casefold().startswith(kind.casefold()):
        parts.append(escape(kind))
    if source.reference is not None:
        parts.append(pen.text(source.reference))
    if source.transcribed_by is not None:
        phrase = say.transcribed_by if source.on is None else say.transcribed_by_on
        name = pen.text(source.transcribed_by)
        parts.append(fill(phrase, name=name, date=pen.date(source.on)))
    elif source.on is not None:
        parts.append(fill(say.transcribed_on, date=pen.date(source.on)))
    return joined(parts)


def _seal(pen: Pen, match: Match, seal: Seal) -> Markdown:
    return fill(
        pen.say.sealed_undated if seal.on is None else pen.say.sealed,
        date=pen.date(seal.on),
        home=pen.text(seal.home),
        home_team=pen.team(match.home.team),
        away=pen.text(seal.away),
        away_team=pen.team(match.away.team),
    )


def _correction(pen: Pen, match: Match, correction: Correction) -> Markdown:
    return fill(
        pen.say.correction_undated if correction.on is None else pen.say.correction,
        date=pen.date(correction.on),
        name=pen.text(correction.by),
        clubs=pen.listed(pen.club(each) for each in correction.agreed)
        if correction.agreed
        else pen.unknown,
        reason=pen.text(correction.reason),
        changed=joined((_change(pen, match, each) for each in correction.changed), "; "),
    )


def _change(pen: Pen, match: Match, written: str) -> Markdown:
    """``home.strikes.bigler-jonas.2.1: 14 -> 15`` with the place in words."""
    at, colon, change = written.partition(": ")
    if not colon:
        return pen.text(written)
    values = [_value(pen, match, at, each.strip()) for each in change.split("->")]
    return joined([place_in_words(pen, match, at), joined(values, " → ")], ": ")


def _value(pen: Pen, match: Match, at: str, written: str) -> Markdown:
    if at.endswith((".captain", ".by")) and written in pen.register.players:
        return pen.player(PlayerId(written), match.season)
    return pen.text(written)


def place_in_words(pen: Pen, match: Match, at: str) -> Markdown:
    """A place in the sheet in words, as far as there are words for it; else as it is written."""
    side, _, inside = at.strip().partition(".")
    teams = {name: each.team for name, each in match.sides}
    if side not in teams or not inside:
        return pen.text(at)
    words = [pen.team(teams[side])]
    match inside.split("."):
        case [field, player] if field in _OF_PLAYERS:
            words.append(pen.player(PlayerId(player), match.season))
        case [field, player, inning, strike] if field in _OF_PLAYERS:
            words.append(pen.player(PlayerId(player), match.season))
            words.append(fill(pen.say.strike_at, inning=escape(inning), strike=escape(strike)))
        case [field, *rest] if field in pen.say.fields:
            words.append(escape(" ".join([pen.say.fields[field], *rest])))
        case _:
            words.append(pen.text(inside))
    return joined(words)
