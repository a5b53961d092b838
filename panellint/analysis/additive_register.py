"""What the additives of a label are: rows of the register, elements and vitamins
(`rules/data/eu-additives.yaml`)."""

import re
from collections.abc import Mapping
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any, NamedTuple

from panellint.core.wording import Wording
from panellint.label.model import AdditiveAmount
from panellint.rulepacks.data import data

_DATA = "data/eu-additives"


class Additive(NamedTuple):
    """A row of the register: number, name, the nutrient or substance it is a source of, and the
    group that it stands in."""

    number: str
    name: str
    of: str
    group: Mapping[str, Any]
    added: float | None


@cache
def register() -> Mapping[str, Additive]:
    """Returns the rows by number, in small letters."""
    return {
        str(row["number"]).lower(): Additive(
            str(row["number"]), row["name"], row["of"], group, row.get("added")
        )
        for group in data(_DATA)["groups"]
        for row in group["additives"]
    }


def row_of(given: AdditiveAmount) -> Additive | None:
    """Returns the row of an additive's number; None without one that is known."""
    number = (given.number or "").replace(" ", "").lower()
    return register().get(number)


def element_of(given: AdditiveAmount) -> tuple[str, bool]:
    """Returns the element, vitamin or substance that an additive is a source of ("" where that is
    not known), and whether its amount is surely that of the element: so it is beside a number of
    the old directive, which stands for the element itself."""
    number = (given.number or given.printed.partition("(")[0]).replace(" ", "").upper()
    former = data(_DATA)["formerly"].get(number)
    if former:
        return str(former), True
    named = named_in(given.printed)
    row = row_of(given)
    return (named[0] if named else row.of if row else ""), False


@cache
def _shares() -> tuple[tuple[str, Wording, Decimal], ...]:
    rows = data(_DATA)["element-share"]["rows"]
    return tuple(
        (row["of"], Wording(row["words"]), Decimal(str(row["percent"])) / 100) for row in rows
    )


#: What stands between an element and its compound: "zinc (zinc oxide)", "zinc as zinc oxide".
_BEHIND_ELEMENT = re.compile(
    r"(?<!I)[()](?!I+\))|\b(?:as|from|als|aus|sous forme|comme|come|como)\b", re.IGNORECASE
)


def share_of(element: str, printed: str) -> Decimal:
    """Returns how much of a compound is the element (0 to 1); 1 where the name says no compound
    that is known, or the element too: "zinc as zinc oxide", "zinc oxide (zinc 250 mg)"."""
    of_element = [(words, share) for of, words, share in _shares() if of == element]
    return max(
        next((share for words, share in of_element if words.search(name)), Decimal(1))
        for name in [name for name in _BEHIND_ELEMENT.split(printed) if element in named_in(name)]
        or [printed]
    )


@cache
def words_of_substances() -> tuple[tuple[str, Wording], ...]:
    return tuple((of, Wording(words)) for of, words in data(_DATA)["words"].items())


@lru_cache(maxsize=256)
def named_in(printed: str) -> tuple[str, ...]:
    """Returns the elements, vitamins and substances that an additive's printed name speaks of.
    Several rules ask it of each additive."""
    return tuple(of for of, words in words_of_substances() if words.search(printed))
