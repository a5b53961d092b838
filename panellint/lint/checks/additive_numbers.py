"""Additives by their numbers in the register of feed additives (`rules/data/eu-additives.yaml`)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.core.findings import Certainty, Observation
from panellint.core.wording import Wording
from panellint.rulepacks import parameters as takes
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.label.model import AdditiveAmount
    from panellint.rulepacks.model import Rule

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


def share_of(element: str, printed: str) -> Decimal:
    """Returns how much of a compound is the element (0 to 1); 1 where the name says no compound
    that is known."""
    return next(
        (share for of, words, share in _shares() if of == element and words.search(printed)),
        Decimal(1),
    )


@cache
def _words() -> tuple[tuple[str, Wording], ...]:
    return tuple((of, Wording(words)) for of, words in data(_DATA)["words"].items())


def named_in(printed: str) -> list[str]:
    """Returns the elements, vitamins and substances that an additive's printed name speaks of."""
    return [of for of, words in _words() if words.search(printed)]


def disagreeing(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a number that is another additive's than the name beside it."""
    for given in context.label.additives:
        row, named = row_of(given), named_in(given.printed)
        known = {of for of, _ in _words()}
        if row is None or row.of not in known or not named:
            continue
        if row.of in named:
            yield Observation.met(given.span)
        else:
            values = {
                "number": row.number,
                "name": row.name,
                "printed": given.printed.strip(" (),;"),
            }
            yield Observation(given.span, Certainty.PRACTICE, values)


def unauthorised(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds additives that are authorised for neither dogs nor cats, or no longer for any animal.

    It is proven where the authorisation was read, and possible where it is from memory.
    """
    for given in context.label.additives:
        row = row_of(given)
        if row is None:
            named = named_in(given.printed)
            rows = [
                additive for additive in register().values() if named and additive.of == named[0]
            ]
            barred = rows and all(_is_barred(additive) for additive in rows)
            row = rows[0] if barred else None
        if row is None or not _is_barred(row):
            continue
        if context.market not in row.group.get("markets", (context.market,)):
            continue
        withdrawn = row.group.get("status") == "withdrawn"
        yield Observation(
            given.span,
            Certainty.PROVEN if row.group["source"]["seen"] else Certainty.POSSIBLE,
            {
                "printed": given.printed.strip(" (),;") or row.number,
                "name": row.name,
                "note": row.group.get("note", ""),
                "document": row.group["source"]["document"],
            },
            variant="withdrawn" if withdrawn else "",
        )


def _is_barred(row: Additive) -> bool:
    return row.group.get("species") == [] or row.group.get("status") == "withdrawn"


DECLARATIONS = {
    "disagreeing": takes.check(),
    "unauthorised": takes.check(variants=("withdrawn",)),
}
