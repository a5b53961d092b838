"""Numbers: as labels and sheets print them, what a figure can be, and how messages print it.

A printed number has at most `LONGEST` digits: no quantity on a label comes near, and arithmetic
on a longer one would overflow. What is longer is read as no number.
"""

import re
from decimal import Decimal
from fractions import Fraction
from math import isfinite

from panellint.core.errors import ImpossibleFigure, MissingFigure

#: The most digits of a printed number.
LONGEST = 18
#: A printed number as an expression: thousands parted by a comma or a blank, a decimal comma or
#: point, or both. A run of more digits than a number has is none, wherever a search begins in it.
NUMBER = (
    r"(?:\d{1,3}(?:[,\u00a0\u202f ]\d{3}){1,5}(?:[.,]\d{1,2})?(?!\d)"
    rf"|(?<!\d)\d{{1,{LONGEST}}}+(?!\d)(?:[.,]\d{{1,{LONGEST}}}(?!\d))?)"
)
#: The same, or a fraction: "1 1/2", "1-1/2", "½".
NUMBER_OR_FRACTION = (
    r"(?<!\d)(?:\d{1,9}[ \u00a0-])?\d{1,9}/\d{1,9}|(?:(?<!\d)\d{1,9})?[ \u00a0]?[¼½¾⅓⅔⅛⅜⅝⅞]"
    rf"|{NUMBER}"
)
#: Digits that are too many for a number.
TOO_LONG = re.compile(rf"\d(?:[.,]?\d){{{LONGEST},}}")

_DECIMAL = re.compile(r"\d+(?:[.,]\d+)?")
_THOUSANDS = re.compile(
    r"(?P<whole>[1-9]\d{0,2}(?:[.,\u00a0\u202f ' ]\d{3})+)(?:[.,](?P<part>\d{1,2}))?"
)
_FRACTION = re.compile(
    r"(?:(?P<whole>\d+)(?:[\s-]|(?=[¼½¾⅓⅔⅛⅜⅝⅞])))?(?:(?P<sign>[¼½¾⅓⅔⅛⅜⅝⅞])|(?P<top>\d+)/(?P<bottom>\d+))"
)
_SIGNS = {
    "¼": Fraction(1, 4),
    "½": Fraction(1, 2),
    "¾": Fraction(3, 4),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
    **{sign: Fraction(eighths, 8) for sign, eighths in zip("⅛⅜⅝⅞", (1, 3, 5, 7), strict=True)},
}


def read_number(text: str) -> Decimal | None:
    """Returns a printed number: "3,500" and "15 000" are thousands, "3,5" has a decimal comma.

    None where the text is no number, or one of more than `LONGEST` digits.
    """
    text = text.strip()
    if thousands := _THOUSANDS.fullmatch(text):
        digits = re.sub(r"\D", "", thousands["whole"])
        part = thousands["part"]
        return Decimal(f"{digits}.{part}" if part else digits) if len(digits) <= LONGEST else None
    return first_decimal(text) if _DECIMAL.fullmatch(text) else None


def read_fraction(text: str) -> Fraction | None:
    """Returns a printed number or fraction: "1 1/2", "½", "1,5"; None where it is neither."""
    text = text.strip()
    if len(text) > LONGEST and sum(map(str.isdigit, text)) > LONGEST:
        return None
    match = _FRACTION.fullmatch(text)
    if match is None:
        number = read_number(text)
        return None if number is None else Fraction(number)
    whole = Fraction(match["whole"] or 0)
    if match["sign"]:
        return whole + _SIGNS[match["sign"]]
    bottom = int(match["bottom"])
    return whole + Fraction(int(match["top"]), bottom) if bottom else None


def first_decimal(text: str) -> Decimal | None:
    """Returns the first number in a text, without thousands; a decimal comma counts as a point.

    None where there is none, or where it has more than `LONGEST` digits.
    """
    match = _DECIMAL.search(text)
    if match is None or len(match.group()) > LONGEST:
        return None
    return Decimal(match.group().replace(",", "."))


def need(**figures: float | None) -> tuple[float, ...]:
    """Returns the figures, all present; raises MissingFigure naming every one that is not."""
    missing = [name for name, value in figures.items() if value is None]
    if missing:
        words = " and ".join(name.replace("_", " ") for name in missing)
        raise MissingFigure(f"{words} not given", *missing)
    return tuple(value for value in figures.values() if value is not None)


def check_percent(name: str, value: float) -> float:
    """Returns `value` if it can be a percentage; raises ImpossibleFigure otherwise."""
    if 0 <= value <= 100:
        return value
    if not isfinite(value):
        raise ImpossibleFigure(f"{name} is not a number", name)
    if value < 0:
        raise ImpossibleFigure(f"{name} of {decimal(value)} % is below nothing", name)
    raise ImpossibleFigure(f"{name} of {decimal(value)} % is more than the whole", name)


def check_amount(name: str, value: float) -> float:
    """Returns `value` if it is finite and above zero; raises ImpossibleFigure otherwise."""
    if not isfinite(value) or value <= 0:
        raise ImpossibleFigure(f"{name} of {decimal(value)} is not an amount", name)
    return value


def number(value: float | Decimal | Fraction, digits: int = 3) -> str:
    """Returns a number for reading: 25 and not 25.0, 33.3 and not 33.33333.

    Whole numbers and the whole part are kept in full; what follows the point is cut to
    `digits` significant digits in all, rounded half up. A printed figure (Decimal) keeps
    its digits but for zeros at the end.
    """
    if isinstance(value, Fraction):
        value = _nearest(value)
    if isinstance(value, float) and not isfinite(value):
        return _without_end(value)
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if isinstance(value, float) and exact:
        places = max(0, digits - 1 - exact.adjusted())
        exact = exact.quantize(Decimal(1).scaleb(-places), rounding="ROUND_HALF_UP")
    return _trimmed(f"{exact:f}")


def half_up(value: float, places: int = 0) -> Decimal:
    """Returns a figure to so many places, halves rounded up: the same wherever it is shown."""
    exact = Decimal(repr(float(value)))
    return exact.quantize(Decimal(1).scaleb(-places), rounding="ROUND_HALF_UP")


def decimal(value: float | Fraction) -> str:
    """Returns a number with no more digits than it needs, at most four after the point: the
    steps of arithmetic that a reader is to check."""
    value = _nearest(value)
    return _trimmed(f"{value:.4f}") if isfinite(value) else _without_end(value)


def _nearest(value: float | Fraction) -> float:
    try:
        return float(value)
    except OverflowError:
        return float("inf") if value > 0 else float("-inf")


def _without_end(value: float) -> str:
    return "unlimited" if value > 0 else "-unlimited" if value < 0 else "unknown"


def _trimmed(text: str) -> str:
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
