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
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.match import Correction, Match, Seal, Source

_OF_PLAYERS = ("strikes", "supernumeraries", "player_points")


def provenance(wording: Wording, here: str, recorded: RecordedMatch) -> list[Markdown]:
    match = recorded.match
    items = []
    if match.source is not None:
        items.append(wording.say("Source: {source}", source=_source(wording, match.source)))
    if match.seal is not None:
        items.append(_seal(wording, match, match.seal))
    items.append(link(here, recorded.path, wording.say("Match sheet")))
    return [
        heading(2, wording.say("The record")),
        bullets(items),
        *_listed(
            wording.say("Doubtful"),
            (
                joined([place_in_words(wording, match, each.at), wording.text(each.note)], ": ")
                for each in match.doubts
            ),
        ),
        *_listed(
            wording.say("Corrections"),
            (_correction(wording, match, each) for each in match.corrections),
        ),
    ]


def _listed(title: Markdown, items: Iterable[Markdown]) -> list[Markdown]:
    listed = list(items)
    return [heading(3, title), bullets(listed)] if listed else []


def _source(wording: Wording, source: Source) -> Markdown:
    parts = []
    kind = wording.source_kind(source.kind) if source.kind is not None else ""
    # Who copied it may have begun with the same word: "minute book, page 44".
    if kind and not (source.reference or "").casefold().startswith(kind.casefold()):
        parts.append(Markdown(kind))
    if source.reference is not None:
        parts.append(wording.text(source.reference))
    if source.transcribed_by is not None:
        name = wording.text(source.transcribed_by)
        parts.append(
            wording.say("copied by {name}", name=name)
            if source.on is None
            else wording.say("copied by {name} on {date}", name=name, date=wording.date(source.on))
        )
    elif source.on is not None:
        parts.append(wording.say("copied on {date}", date=wording.date(source.on)))
    return joined(parts)


def _seal(wording: Wording, match: Match, seal: Seal) -> Markdown:
    return fill(
        wording.say("Sealed by {home} ({home_team}) and {away} ({away_team})")
        if seal.on is None
        else wording.say("Sealed on {date} by {home} ({home_team}) and {away} ({away_team})"),
        date=wording.date(seal.on),
        home=wording.text(seal.home),
        home_team=wording.team(match.home.team),
        away=wording.text(seal.away),
        away_team=wording.team(match.away.team),
    )


def _correction(wording: Wording, match: Match, correction: Correction) -> Markdown:
    return fill(
        wording.say("By {name}, agreed by {clubs}: {reason} ({changed})")
        if correction.on is None
        else wording.say("{date}, by {name}, agreed by {clubs}: {reason} ({changed})"),
        date=wording.date(correction.on),
        name=wording.text(correction.by),
        clubs=wording.listed(wording.club(each) for each in correction.agreed)
        if correction.agreed
        else wording.unknown,
        reason=wording.text(correction.reason),
        changed=joined((_change(wording, match, each) for each in correction.changed), "; "),
    )


def _change(wording: Wording, match: Match, written: str) -> Markdown:
    """``home.strikes.bigler-jonas.2.1: 14 -> 15`` with the place in words."""
    at, colon, change = written.partition(": ")
    if not colon:
        return wording.text(written)
    values = [_value(wording, match, at, each.strip()) for each in change.split("->")]
    return joined([place_in_words(wording, match, at), joined(values, " → ")], ": ")


def _value(wording: Wording, match: Match, at: str, written: str) -> Markdown:
    if at.endswith((".captain", ".by")) and written in wording.register.players:
        return wording.player(PlayerId(written), match.season)
    return wording.text(written)


def place_in_words(wording: Wording, match: Match, at: str) -> Markdown:
    """A place in the sheet in words, as far as there are words for it; else as it is written."""
    side, _, inside = at.strip().partition(".")
    teams = {name: each.team for name, each in match.sides}
    if side not in teams or not inside:
        return wording.text(at)
    words = [wording.team(teams[side])]
    match inside.split("."):
        case [field, player] if field in _OF_PLAYERS:
            words.append(wording.player(PlayerId(player), match.season))
        case [field, player, inning, strike] if field in _OF_PLAYERS:
            words.append(wording.player(PlayerId(player), match.season))
            words.append(
                wording.say(
                    "strike {inning}.{strike}", inning=escape(inning), strike=escape(strike)
                )
            )
        case [field, *rest] if (name := _field(wording, field)) is not None:
            words.append(joined([name, *map(escape, rest)], " "))
        case _:
            words.append(wording.text(inside))
    return joined(words)


def _field(wording: Wording, key: str) -> Markdown | None:
    return {
        "nummern": wording.say("Nummern"),
        "points": wording.say("points"),
        "ries": wording.say("Ries"),
        "team": wording.say("team"),
        "captain": wording.say("captain"),
    }.get(key)
