"""What a seal's digest is made of.

The input is the text of all deciding cells, one a line, ``place = value``, sorted by the bytes
of the line, each line ended by a line feed, in UTF-8. Places and values are in their one
spelling, so layout, comments, the order of keys and remarks do not enter. The digest is SHA-256
of it, written in 64 hexadecimal digits.
"""

import hashlib

from riesbuch.trade.cells import Cells, deciding_cells
from riesbuch.trade.match import Match


def sealed_text(match: Match) -> str:
    """The text that the digest of ``match`` is made of."""
    return _text(deciding_cells(match))


def _text(cells: Cells) -> str:
    lines = [f"{place} = {written}\n" for place, written in cells.items()]
    return "".join(sorted(lines, key=lambda line: line.encode("utf-8")))


def seal_digest(match: Match) -> str:
    """64 hexadecimal digits, equal for two sheets just where all deciding cells are equal."""
    return digest_of(deciding_cells(match))


def digest_of(cells: Cells) -> str:
    """The digest of a sheet whose deciding cells are ``cells``."""
    return hashlib.sha256(_text(cells).encode("utf-8")).hexdigest()


def fits_seal(match: Match) -> bool:
    """Whether the sheet is sealed and says what its captains agreed on."""
    return match.seal is not None and match.seal.digest.lower() == seal_digest(match)
