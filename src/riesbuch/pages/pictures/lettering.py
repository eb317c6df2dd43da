"""How wide a text comes out, and how it is cut where it is too wide."""

import unicodedata
from functools import lru_cache

# Hundredths of the letter height, of a wide sans serif: other typefaces only come out narrower.
_WIDTHS = {
    each: width
    for width, letters in (
        (30, "'ijlîïIJ"),
        (35, " ,.·’/:;\\|"),
        (40, "-()[]tfr!"),
        (53, '"*_`–sz?'),
        (60, "cçLFkvxyP"),
        (64, "TYaoäöàâô«»eéèêESbdghnpquüûß$0123456789{}"),
        (70, "KAVÄBRXZC"),
        (80, "UÜHNDG&OQÖ"),
        (86, "w#+<=>^~−×M"),
    )
    for each in letters
}
_OF_OTHERS = 100
_OF_FULL_WIDTH = 125
_BOLD = 1.13
_ELLIPSIS = "…"
_LONGEST_ENDING = 3
_JOINERS = "\u200c\u200d"
_TURNING = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean(text: str) -> str:
    """The text as one line that any XML reader takes: white space and control characters become
    single spaces, marks that turn the reading direction go, what is no character is shown as one
    that is not known."""
    if text.isprintable():
        # Most are, and hold none of these.
        return " ".join(text.split())
    kept: list[str] = []
    for each in text:
        category = unicodedata.category(each)
        if category in ("Cc", "Zl", "Zp"):
            kept.append(" ")
        elif category == "Cs" or ord(each) & 0xFFFE == 0xFFFE or 0xFDD0 <= ord(each) <= 0xFDEF:
            kept.append("\ufffd")
        elif each not in _TURNING:
            kept.append(each)
    return " ".join("".join(kept).split())


@lru_cache(maxsize=4096)
def text_width(text: str, size: int, bold: bool = False) -> float:
    """An upper estimate of how wide ``text`` comes out in letters of ``size``."""
    hundredths = sum(_letter_width(each) for each in text)
    return hundredths * size / 100 * (_BOLD if bold else 1)


def fitted(text: str, width: float, size: int, bold: bool = False) -> str:
    """``text``, cut to ``width`` where it is wider. A short last word, which tells a club's teams
    apart, is kept: ``Hornussergesellschaft Oberaar B`` becomes ``Hornussergesell… B``."""
    if text_width(text, size, bold) <= width:
        return text
    start, _, last = text.rpartition(" ")
    ending = f"{_ELLIPSIS} {last}" if start and len(last) <= _LONGEST_ENDING else _ELLIPSIS
    kept = start if ending != _ELLIPSIS else text
    while kept and text_width(kept.rstrip() + ending, size, bold) > width:
        kept = _without_last_letter(kept)
    return kept.rstrip() + ending


def _without_last_letter(text: str) -> str:
    while len(text) > 1 and (unicodedata.combining(text[-1]) or text[-1] in _JOINERS):
        text = text[:-1]
    return text[:-1]


def _letter_width(letter: str) -> int:
    known = _WIDTHS.get(letter)
    if known is not None:
        return known
    if unicodedata.combining(letter):
        return 0
    return _OF_FULL_WIDTH if unicodedata.east_asian_width(letter) in "FW" else _OF_OTHERS
