"""Feeding directions: how much a day the label gives to an animal of a body weight.

The text is taken as a sequence of figures: body weights, amounts, and bare ones that a heading over
their column or before their row gives a unit. Read are amounts beside weights ("10 lb 1 cup", a
table by rows or by columns), an amount per weight ("1 can per 10 lb of body weight") and a
percentage of the body weight. What is not one of them gives nothing; nothing is guessed beyond the
ends of a table.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from panellint.core.numbers import NUMBER_OR_FRACTION, read_fraction
from panellint.core.units import spellings_of, unit_of
from panellint.rulepacks.data import data


class Amount(NamedTuple):
    """A day's amount, from and to, in a unit: g, or a word of the label in the singular."""

    low: float
    high: float
    unit: str


class Directions(NamedTuple):
    """`table` holds amounts by body weight in kg, from the lightest, those of both ends of a range
    of weights; `per_kg` is the amount for each kg of it, where it is one for all."""

    table: tuple[tuple[float, Amount], ...] = ()
    per_kg: Amount | None = None

    def amount(self, kilograms: float) -> Amount | None:
        """Returns a day's amount at a body weight, on the straight line between two rows, that of
        both where two ranges meet; None beyond the ends of the table."""
        if self.per_kg is not None:
            low, high, unit = self.per_kg
            return Amount(low * kilograms, high * kilograms, unit)
        found: Amount | None = None
        for (light, less), (heavy, more) in pairwise([*self.table[:1], *self.table]):
            # A body weight is given in hundredths of a kilogram, 100 lb as 45.36.
            within = round(light, 2) <= round(kilograms, 2) <= round(heavy, 2)
            if within and less.unit == more.unit:
                along = 0.0 if heavy == light else (kilograms - light) / (heavy - light)
                along = min(max(along, 0.0), 1.0)
                low = less.low + along * (more.low - less.low)
                high = less.high + along * (more.high - less.high)
                found = Amount(
                    min(low, found.low) if found else low,
                    max(high, found.high) if found else high,
                    less.unit,
                )
        return found


class _Figure(NamedTuple):
    """A printed figure, from and to, in its unit ("" without one), with the words before it."""

    low: float
    high: float
    unit: str
    before: str

    @property
    def is_weight(self) -> bool:
        """Whether it is of an animal: what is fed is weighed in smaller units."""
        unit = unit_of(self.unit)
        return unit is not None and unit.name in ("kg", "lb")

    @property
    def amount(self) -> Amount:
        """The figure as an amount; the weights among them in g."""
        size = _grams(self.unit)
        return Amount(self.low * size, self.high * size, unit_name(self.unit))

    @property
    def kilograms(self) -> tuple[float, float]:
        """The figure as a body weight, from and to."""
        size = _grams(self.unit) / 1000
        return self.low * size, self.high * size

    def stands_behind(self, words: str) -> bool:
        """Whether words of `rules/words/household.yaml` stand right before it."""
        return _words()[words].search(self.before) is not None


#: Where a sentence ends between two figures.
_END = re.compile(r"[.!](?=\s+[A-Z])|;")
_LETTER = re.compile(r"[^\W\d_]")


def read_directions(text: str) -> Directions | None:
    """Returns the directions in a section's text; None where none of the ways is read."""
    if share := _words()["percent"].search(text):
        low, high = _ends(share)
        return Directions(per_kg=Amount(10 * low, 10 * high, "g"))
    rows: list[tuple[_Figure, _Figure]] = []
    figures: list[_Figure] = []
    above: list[_Figure] = []
    for line in _lines(text):
        if len(above) == len(line) > 1 and _are(above, weights=True) and _are(line, weights=False):
            rows += zip(above, line, strict=True)  # weights over their amounts
            del figures[-len(above) :]
            above = []
        else:
            figures += line
            above = line
    ratios = dict(_ratios(figures))
    rows += _pairs(figures, ratios)
    each = [
        (figures[before].amount, figures[number].kilograms)
        for number, before in ratios.items()
        if figures[number].stands_behind("for_each") and figures[number].low
    ]
    if each and len(rows) < 2:  # a table with so much more "for each additional 10 lb" is a table
        low = min(amount.low / heavy for amount, (_, heavy) in each)
        high = max(amount.high / light for amount, (light, _) in each)
        unit = each[0][0].unit
        same = all(amount.unit == unit for amount, _ in each)
        return Directions(per_kg=Amount(low, high, unit)) if same else None
    table: list[tuple[float, Amount]] = []
    for weight, amount in rows:
        low, high = weight.kilograms
        if table and low < table[-1][0]:
            break  # a second table, of younger animals
        table += [(kilograms, amount.amount) for kilograms in dict.fromkeys((low, high))]
    return Directions(tuple(table)) if table else None


def _are(line: Sequence[_Figure], *, weights: bool) -> bool:
    return all(figure.is_weight is weights for figure in line)


def _lines(text: str) -> Iterator[list[_Figure]]:
    """Yields the figures of each line that has a unit: their own, that of the words before the
    first one, or that of the heading over their column."""
    heads: list[str] = []
    in_rows = False
    for line in text.splitlines():
        printed = list(_printed(line))
        named = [
            match[0] for match in _words()["units"].finditer(printed[0].before if printed else line)
        ]
        if named and not any(figure.is_weight or not figure.unit for figure in printed):
            heads = named if in_rows else heads + named
            in_rows = False
        in_rows = in_rows or bool(printed)
        before_all = named[-1:] if printed else []
        columns = heads if len(heads) == len(printed) else []
        figures = []
        for number, figure in enumerate(printed):
            cell = not _LETTER.search(figure.before) or (number == 0 and bool(named))
            if not figure.unit and cell:
                of_animal = number == 0 and not before_all
                usual = [unit for unit in heads if _Figure(1, 1, unit, "").is_weight is of_animal]
                own = before_all or columns[number : number + 1] or usual[-1:]
                figure = figure._replace(unit=own[0] if own else "")
            if figure.unit:
                figures.append(figure)
        yield figures


def _printed(line: str) -> Iterator[_Figure]:
    """Yields every figure of a line with its own unit."""
    end = 0
    for match in _words()["figure"].finditer(line):
        low, high = _ends(match)
        times = data("words/household")["times"].get((match["times"] or "").lower(), 1)
        if match["most"]:
            low = 0.0
        if low <= high:
            unit = match["unit"] or ""
            yield _Figure(low * times, high * times, unit, line[end : match.start()])
        end = match.end()


def _ratios(figures: Sequence[_Figure]) -> Iterator[tuple[int, int]]:
    """Yields the places of a weight and of the amount before it that is for it, or for each of
    it."""
    for number, (amount, weight) in enumerate(pairwise(figures)):
        if weight.is_weight and not amount.is_weight and not _END.search(weight.before):
            beside = 0
            while amount.before.endswith("(") and number > beside:  # "1 can (5.5 oz) per 10 lb"
                beside += 1
                amount = figures[number - beside]
            if weight.stands_behind("for_each") or weight.stands_behind("for_one"):
                yield number + 1, number - beside


def _pairs(
    figures: Sequence[_Figure], ratios: Mapping[int, int]
) -> Iterator[tuple[_Figure, _Figure]]:
    """Yields each weight with its amount: the one that is for it, or the one behind it. Several
    columns of amounts are from their least to their most."""
    taken = set(ratios.values())
    number = 0
    while number < len(figures):
        weight = figures[number]
        number += 1
        if not weight.is_weight:
            continue
        if number - 1 in ratios:
            if weight.stands_behind("for_one"):
                yield weight, figures[ratios[number - 1]]
            continue
        while number < len(figures) and figures[number].is_weight and _is_beside(figures[number]):
            number += 1  # the same in the other system
        if number == len(figures) or number in taken:
            continue
        amount = figures[number]
        if amount.is_weight or _END.search(amount.before):
            continue
        number += 1
        while number < len(figures) and figures[number].unit == amount.unit:
            other = figures[number]
            if not _is_beside(other) or "(" in other.before:
                break
            amount = amount._replace(
                low=min(amount.low, other.low), high=max(amount.high, other.high)
            )
            number += 1
        if number == len(figures) or not figures[number].stands_behind("joined"):
            yield weight, amount


def _is_beside(figure: _Figure) -> bool:
    return not _LETTER.search(figure.before) and not _END.search(figure.before)


def _ends(match: re.Match[str]) -> tuple[float, float]:
    low = _value(match["low"])
    high = match["high"] or match.groupdict().get("second")
    return low, _value(high) if high else low


def _value(printed: str) -> float:
    counts = data("words/household")["counts"]
    return float(counts.get(printed.lower(), 0) or read_fraction(printed) or (not printed))


def _grams(printed: str) -> float:
    """How many of the unit that is kept one of the printed unit is: grams of weights, else 1."""
    unit = unit_of(printed)
    return float(unit.size) if unit and unit.measure == "mass" else 1.0


def unit_name(printed: str) -> str:
    """Returns a household unit under its one name, in the singular: "cups" is "cup"; "g" for all
    weights."""
    unit = unit_of(printed)
    if unit is not None:
        return "g" if unit.measure == "mass" else unit.name
    for name, spellings in data("words/household")["units"].items():
        if printed.lower() in (name, *spellings):
            return str(name)
    return printed


@cache
def _words() -> Mapping[str, re.Pattern[str]]:
    """Searches for a percentage of the body weight, a figure, the words of a unit, and the words
    before an amount's weight ("for a", "per") or before one more food ("plus")."""
    written = data("words/household")
    names = [word for name, more in written["units"].items() for word in (name, *more)]
    served = "|".join(sorted(map(re.escape, names), key=len, reverse=True))
    served = rf"{served}|{spellings_of('g', 'oz')}"
    weight = spellings_of("kg", "lb")
    counts = "|".join(sorted(written["counts"], key=len, reverse=True))
    number = rf"{NUMBER_OR_FRACTION}|(?:{counts})(?=[\s-])"
    to = r"\s*(?:to|[-–—])\s*"
    times = "|".join(written["times"])
    words = {
        "percent": rf"(?P<low>{number})(?:{to}(?P<high>{number}))?\s*(?:%|percent|per cent)\s*"
        rf"(?:of\s+)?(?:[\w'’]+\s+){{0,4}}(?:{'|'.join(written['body_weight'])})",
        "figure": rf"(?<![\w.,/])(?P<most>(?:{'|'.join(written['at_most'])})\s+)?"
        rf"(?:(?P<low>{number}|(?<=\bper\s)(?=(?:{weight})\b))"
        rf"(?:\s*(?:{weight})\.?{to}(?P<second>{number})(?=\s*-?(?:{weight})\b)"
        rf"|(?:{to}|\s+or\s+)(?P<high>{number}))?)"
        # "one 3-oz can"
        rf"(?:\s*\(?\d+(?:\.\d+)?[\s-]*(?:oz|ounce|g)\.?\)?(?=\s+(?:{served})))?"
        rf"(?:[\s-]*(?P<unit>{served}|{weight})(?![^\W\d_])\.?"
        rf"|(?<![a-z])(?=\s*(?:$|[^\w\s]|\d)|\s{{2}}|\t))"
        rf"(?:,?\s+(?P<times>{times})\s+(?:daily|(?:a|per|each)\s+day))?",
        "units": rf"(?<![^\W_])(?:{served}|{weight})(?![^\W_])",
    }
    for key in ("for_each", "for_one", "joined"):
        words[key] = rf"(?:{'|'.join(written[key])})[\s(]*$"
    return {key: re.compile(pattern, re.IGNORECASE) for key, pattern in words.items()}
