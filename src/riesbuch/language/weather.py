"""What weather is plain in a sheet's free text, English or German: the one list of its words.

A word counts wherever it stands, whatever was meant by it: "morning fog until eleven" is fog. Not
counted is one that is denied ("no rain", "ohne Regen", "regenfrei") or over ("after rain").
"""

import re
from collections.abc import Mapping

from riesbuch.trade.messages import Message


def _words(listed: str) -> re.Pattern[str]:
    """Those that are listed, beginnings of words with a star."""
    return re.compile(rf"\b(?:{'|'.join(listed.split())})\b".replace("_", " ").replace("*", r"\w*"))


WEATHER: Mapping[Message, re.Pattern[str]] = {
    Message("sun"): _words(
        "sun sunny sunshine bright clear cloudless wolkenlos sonn* heiter* klar*"
    ),
    Message("clouds"): _words(
        "clouds? cloudy overcast gr[ea]y white_sky bewölk* wolken? wolkig* bedeckt* trüb* grau*"
        " hochnebel*"
    ),
    Message("rain"): _words("rain* drizzl* showers? showery regen* regn* niesel* schauer*"),
    Message("snow"): _words("snow* sleet schnee* schneit graupel*"),
    Message("fog or haze"): _words(
        "fog foggy mist misty haz[ey] (?:boden|morgen|früh)?nebel* neblig* dunst* diesig*"
    ),
}
WIND: Mapping[Message, re.Pattern[str]] = {
    Message("head wind"): _words("head[-_]?winds? gegenwind*"),
    Message("tail wind"): _words("tail[-_]?winds? rückenwind*"),
    Message("cross wind"): _words("(?:cross|side)[-_]?winds? (?:seiten|quer)wind*"),
}
OTHER = Message("told otherwise")
SOME_WIND = Message("wind, its direction not given")
CALM = Message("no wind")
KINDS: tuple[str, ...] = (*WEATHER, OTHER, *WIND, SOME_WIND, CALM)

_SOME = _words("*wind* breez* gust* bise föhn* foehn* (?:west|east|north|south)erly böen? böig*")
_NO_WIND = _words(
    "(?:no|without|ohne|kein|kaum)_winds? wind_?still* windless calm still(?!_\\w) hardly_a_breath"
)
_DENIED = re.compile(
    r"\b(?:(?:no|not|without|after|ohne|kein\w*|kaum|nicht|nach)"
    r" (?:(?:a|any|the|de[mnr]|eine[mnr]?) )?\w+|(?!wolkenlos)\w+(?:frei|los))\b"
)


def weather_in(written: str) -> tuple[Message, ...]:
    """Which of `WEATHER` the text names, in its order; of one that names none `OTHER`."""
    left = _without_denied(written)
    return tuple(kind for kind, words in WEATHER.items() if words.search(left)) or (OTHER,)


def wind_in(written: str) -> tuple[Message, ...]:
    """Which of `WIND` the text names, or that there was some, or none; empty where it is silent."""
    left = _without_denied(written)
    found = tuple(kind for kind, words in WIND.items() if words.search(left))
    if not found and _SOME.search(left):
        return (SOME_WIND,)
    return found or ((CALM,) if _NO_WIND.search(written.lower()) else ())


def _without_denied(written: str) -> str:
    return _DENIED.sub(" ", _NO_WIND.sub(" ", " ".join(written.lower().split())))
