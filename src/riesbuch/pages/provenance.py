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
    match = recorded.match
    items = []
    if match.source is not None:
        items.append(pen.say("Source: {source}", source=_source(pen, match.source)))
    if match.seal is not None:
        items.append(_seal(pen, match, match.seal))
    items.append(link(here, recorded.path, pen.say("Match sheet")))
    return [
        heading(2, pen.say("The record")),
        bullets(items),
        *_listed(
            pen.say("Doubtful"),
            (
                joined([place_in_words(pen, match, each.at), pen.text(each.note)], ": ")
                for each in match.doubts
            ),
        ),
        *_listed(
            pen.say("Corrections"), (_correction(pen, match, each) for each in match.corrections)
        ),
    ]


def _listed(title: Markdown, items: Iterable[Markdown]) -> list[Markdown]:
    listed = list(items)
    return [heading(3, title), bullets(listed)] if listed else []


def _source(pen: Pen, source: Source) -> Markdown:
    parts = []
    kind = pen.source_kind(source.kind) if source.kind is not None else ""
    # Who copied it may have begun with the same word: "minute book, page 44".
    if kind and not (source.reference or "").casefold().startswith(kind.casefold()):
        parts.append(Markdown(kind))
    if source.reference is not None:
        parts.append(pen.text(source.reference))
    if source.transcribed_by is not None:
        name = pen.text(source.transcribed_by)
        parts.append(
            pen.say("copied by {name}", name=name)
            if source.on is None
            else pen.say("copied by {name} on {date}", name=name, date=pen.date(source.on))
        )
    elif source.on is not None:
        parts.append(pen.say("copied on {date}", date=pen.date(source.on)))
    return joined(parts)


def _seal(pen: Pen, match: Match, seal: Seal) -> Markdown:
    return fill(
        pen.say("Sealed by {home} ({home_team}) and {away} ({away_team})")
        if seal.on is None
        else pen.say("Sealed on {date} by {home} ({home_team}) and {away} ({away_team})"),
        date=pen.date(seal.on),
        home=pen.text(seal.home),
        home_team=pen.team(match.home.team),
        away=pen.text(seal.away),
        away_team=pen.team(match.away.team),
    )


def _correction(pen: Pen, match: Match, correction: Correction) -> Markdown:
    return fill(
        pen.say("By {name}, agreed by {clubs}: {reason} ({changed})")
        if correction.on is None
        else pen.say("{date}, by {name}, agreed by {clubs}: {reason} ({changed})"),
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
            words.append(
                pen.say("strike {inning}.{strike}", inning=escape(inning), strike=escape(strike))
            )
        case [field, *rest] if (name := _field(pen, field)) is not None:
            words.append(joined([name, *map(escape, rest)], " "))
        case _:
            words.append(pen.text(inside))
    return joined(words)


def _field(pen: Pen, key: str) -> Markdown | None:
    return {
        "nummern": pen.say("Nummern"),
        "points": pen.say("points"),
        "ries": pen.say("Ries"),
        "team": pen.say("team"),
        "captain": pen.say("captain"),
    }.get(key)
