"""What all words for pictures have in common: how a language writes figures."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureWords:
    """``thousands`` parts the thousands of a number, ``list_end`` goes before the last of a
    list. Gaps in braces in the words are filled by the pictures; what ends in ``_one`` is said
    of a single thing, what ends in ``_many`` of any other number."""

    thousands: str
    list_end: str

    def number(self, number: int) -> str:
        return f"{number:,}".replace(",", self.thousands)

    def figure_of(self, figure: int | Fraction) -> str:
        """A count as it is, an average with two decimals, a half rounded up."""
        if isinstance(figure, int):
            return self.number(figure)
        above, below = abs(figure.numerator), figure.denominator
        hundredths = (200 * above + below) // (2 * below)
        sign = "−" if figure < 0 and hundredths else ""
        return f"{sign}{self.number(hundredths // 100)}.{hundredths % 100:02d}"

    def listed(self, parts: Iterable[str]) -> str:
        *most, last = parts
        return f"{', '.join(most)}{self.list_end}{last}" if most else last

    def counted(self, one: str, many: str, count: int) -> str:
        return (one if count == 1 else many).format(count=self.number(count))
