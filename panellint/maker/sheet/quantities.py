"""Numbers and units as sheets write them: decimal commas, thousands; weights, parts of a whole."""

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from panellint.core.numbers import TOO_LONG
from panellint.core.text import fold
from panellint.core.units import MASS, part_of_whole, unit_of
from panellint.rulepacks.data import data

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


_TONNE = Fraction(10**6)
_TONNES = frozenset({"t", "tonne", "tonnes", "metric ton", "metric tons"})
#: Words that stand beside a unit and change nothing: of the batch, by weight.
_PER_BATCH = re.compile(r"\s*(?:/|\bper\b)\s*(?:batch|mix|lot|charge|mischung|batch size)$")
_BY_WEIGHT = re.compile(r"^wt\.?\s*(?=%)|\s*\b(?:w/w|m/m|wt/wt|by weight|by mass|wt\.?|weight)$")
_PER = re.compile(r"\s*(?:/|\bper\b)\s*")
_COUNT = re.compile(r"(?P<count>\d+(?:\.\d+)?)?\s*(?P<unit>\D.*)")
_POUNDS = re.compile(
    r"(?P<lb>\d+)\s*(?:lbs?\.?|pounds?|#)\s*(?P<oz>\d+(?:[.,]\d+)?)\s*(?:oz\.?|ounces?)", re.I
)


class SheetUnit(NamedTuple):
    """A unit of a sheet: `size` is grams in one of it, or percent of the whole where it is a
    `part` of one."""

    size: Fraction
    part: bool = False

    @property
    def of_batch(self) -> str:
        """The unit that the weights of such a batch are kept in."""
        return "%" if self.part else "g"


PERCENT = SheetUnit(Fraction(1), True)


class Amount(NamedTuple):
    """A weight in grams, or a part in percent (`unit` is g or %)."""

    value: Fraction
    unit: str


def read_amount(text: str) -> Amount | str:
    """Returns an amount of a recipe such as "290 kg" or "58.125 %", or what is wrong with the text.

    Recipes write decimals with a point; a comma before three digits may be either."""
    if "," in text and (both := two_readings(text)) is not None:
        return f"`{text}` may be {float(both[0]):g} or {float(both[1]):g}"
    figure = read_stated(text)
    unit = sheet_unit(figure[1]) if figure else None
    if figure is None or unit is None or figure[0] <= 0:
        return f"`{text}` is no amount: a weight with its unit, such as 290 kg"
    return Amount(figure[0] * unit.size, unit.of_batch)


def is_whole(percentages: Fraction) -> bool:
    """Whether percentages with such a sum are those of one whole, but for rounding."""
    least, most = data("data/batch")["sum_misses_by"]["percentages"]
    return bool(least <= percentages <= most)


@lru_cache(maxsize=512)
def sheet_unit(printed: str) -> SheetUnit | None:
    """Returns the unit that a sheet writes; None where it is neither a weight nor a part of one.

    A ton is none: it is 907 kg here and 1016 kg there.
    """
    word = _PER_BATCH.sub("", fold(printed).strip().rstrip("."))
    word = _BY_WEIGHT.sub("", word).strip()
    if word in ("pct", "percent", "%"):
        return PERCENT
    if (grams := _grams(word)) is not None:
        return SheetUnit(grams)
    if (part := part_of_whole(word)) is not None:
        return SheetUnit(100 * part, True)
    pieces = _PER.split(word)
    counted = _COUNT.fullmatch(pieces[1]) if len(pieces) == 2 else None
    over, under = _grams(pieces[0]), _grams(counted["unit"].strip()) if counted else None
    if counted is None or not over or not under:
        return None
    return SheetUnit(100 * over / (Fraction(counted["count"] or 1) * under), True)


def _grams(word: str) -> Fraction | None:
    if word in _TONNES:
        return _TONNE
    unit = unit_of(word)
    return unit.size if unit is not None and unit.measure == MASS else None


def weight_in(number: tuple[Fraction, str] | None) -> Fraction | None:
    """Returns a number with a unit of weight behind it in grams; None for anything else."""
    unit = sheet_unit(number[1]) if number else None
    return None if number is None or unit is None or unit.part else number[0] * unit.size


def pounds_and_ounces(text: str) -> Fraction | None:
    """Returns a weight such as "12 lb 4 oz" in ounces; None for any other text."""
    match = _POUNDS.fullmatch(text.strip())
    if match is None:
        return None
    return 16 * Fraction(match["lb"]) + Fraction(match["oz"].replace(",", "."))
