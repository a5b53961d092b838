"""Numbers as sheets write them: decimal commas, thousands, units behind them."""

import re
from collections.abc import Iterable
from fractions import Fraction

from panellint.core.numbers import TOO_LONG

_SPACES = re.compile(r"[\s\u00a0\u2009\u202f'’]")
_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?")
_WITH_UNIT = re.compile(
    r"^(?P<number>[+-]?[\d.,\s\u00a0\u2009\u202f'’]*\d[\d.,]*)\s*(?P<unit>%|[a-zA-Zµμ][\w/ ]*\.?)?$"
)
#: A number whose decimal mark can only be a comma, and one whose can only be a point.
_COMMA_DECIMAL = re.compile(
    r"^[+-]?(?:\d*,\d{1,2}|\d*,\d{4,}|0+,\d+|\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:\.\d{3}){2,})$"
)
_POINT_DECIMAL = re.compile(
    r"^[+-]?(?:\d*\.\d{1,2}|\d*\.\d{4,}|0+\.\d+|\d{1,3}(?:,\d{3})+\.\d+|\d{1,3}(?:,\d{3}){2,})$"
)
#: One mark with three digits behind it: thousands, or three decimals.
_EITHER = re.compile(r"^[+-]?(?P<head>[1-9]\d{0,2})[.,](?P<tail>\d{3})$")


def decimal_marks(texts: Iterable[str]) -> set[str]:
    """The decimal marks, "," and ".", of the numbers that can be read one way only."""
    return {mark for text in texts if (mark := _certain(text))}


def decimal_mark(texts: Iterable[str], delimiter: str) -> str:
    """Returns the decimal mark of a sheet, "," or "."; "" where nothing tells.

    Numbers that can be read one way only decide where they agree. Without any, a sheet parted
    by commas has decimal points: programs that write decimal commas part cells otherwise. The
    numbers of a workbook ("" for the delimiter) have points whatever its texts have, and say
    nothing of these.
    """
    marks = decimal_marks(texts)
    if not delimiter:
        return "," if "," in marks else ""
    if marks:
        return marks.pop() if len(marks) == 1 else ""
    return "." if delimiter == "," else ""


def _certain(text: str) -> str:
    """The decimal mark of a number that can be read one way only; "" for any other text."""
    match = _WITH_UNIT.match(text.strip())
    number = _SPACES.sub("", match["number"]) if match else ""
    return "," if _COMMA_DECIMAL.match(number) else "." if _POINT_DECIMAL.match(number) else ""


def two_readings(text: str) -> tuple[Fraction, Fraction] | None:
    """Returns both readings of a number such as "1.250" (with three decimals, and as thousands),
    or None where there is one."""
    match = _WITH_UNIT.match(text.strip())
    either = _EITHER.match(_SPACES.sub("", match["number"])) if match else None
    if either is None:
        return None
    whole = Fraction(either["head"] + either["tail"])
    return whole / 1000, whole


def read_stated(text: str) -> tuple[Fraction, str] | None:
    """Returns the number of a fact or a recipe and the unit behind it, as `read_number` does; a
    comma alone is a decimal one."""
    return read_number(text, comma="," in text and "." not in text)


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
    if mark := _certain(number):
        comma = mark == ","
    number = number.replace(".", "").replace(",", ".") if comma else number.replace(",", "")
    if not _PLAIN.fullmatch(number):
        return None
    return Fraction(number), (match["unit"] or "").strip()
