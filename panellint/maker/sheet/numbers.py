"""Numbers as sheets write them: decimal commas, thousands, units behind them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from panellint.core.numbers import TOO_LONG

_SPACES = re.compile(r"[\s\u00a0\u2009\u202f'’]")
_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?")
_WITH_UNIT = re.compile(
    r"^(?P<number>[+-]?[\d.,\s\u00a0\u2009\u202f'’]*\d[\d.,]*)\s*(?P<unit>%|[a-zA-Zµμ][\w/ ]*\.?)?$"
)
#: A comma that can only be a decimal mark, and a point that can only be one.
_COMMA_DECIMAL = re.compile(r"^[+-]?(?:\d*,\d{1,2}|\d*,\d{4,}|0+,\d+|\d{1,3}(?:\.\d{3})+,\d+)$")
_POINT_DECIMAL = re.compile(r"^[+-]?(?:\d*\.\d{1,2}|\d*\.\d{4,}|0+\.\d+|\d{1,3}(?:,\d{3})+\.\d+)$")


def decimal_comma(texts: Iterable[str], delimiter: str) -> bool:
    """Whether the numbers of a sheet have decimal commas.

    Numbers that can be read one way only decide; without any, a sheet parted by semicolons
    that has commas in its numbers is taken to have decimal commas.
    """
    commas, points, unclear = _marks(texts)
    if commas != points:
        return commas > points
    return delimiter == ";" and unclear > 0


def both_marks(texts: Iterable[str]) -> bool:
    """Whether some numbers of a sheet have decimal commas and others decimal points."""
    commas, points, _ = _marks(texts)
    return commas > 0 and points > 0


def _marks(texts: Iterable[str]) -> tuple[int, int, int]:
    """How many numbers have decimal commas, decimal points, or a comma that may be either."""
    commas = points = unclear = 0
    for text in texts:
        match = _WITH_UNIT.match(text.strip())
        if match is None:
            continue
        number = _SPACES.sub("", match["number"])
        commas += bool(_COMMA_DECIMAL.match(number))
        points += bool(_POINT_DECIMAL.match(number))
        unclear += "," in number and "." not in number
    return commas, points, unclear


def read_number(text: str, comma: bool) -> tuple[Fraction, str] | None:
    """The number and the unit behind it ("" for none); None where the text is no number, or one of
    more digits than a number can have.

    `comma` is how the sheet writes decimals; a number that can be read one way only is read
    that way ("12.5" among decimal commas is no 125).
    """
    match = _WITH_UNIT.match(text.strip())
    if TOO_LONG.search(text):
        return None
    if match is None:
        # A computer's own spelling, such as 1e-05.
        plain = text.strip()
        return (Fraction(plain), "") if _PLAIN.fullmatch(plain) else None
    number = _SPACES.sub("", match["number"])
    if _POINT_DECIMAL.match(number) or _COMMA_DECIMAL.match(number):
        comma = _COMMA_DECIMAL.match(number) is not None
    number = number.replace(".", "").replace(",", ".") if comma else number.replace(",", "")
    if not _PLAIN.fullmatch(number):
        return None
    return Fraction(number), (match["unit"] or "").strip()
