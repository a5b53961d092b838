"""The least change of a formula, for people."""

from collections.abc import Iterator
from typing import Literal

from panellint.core.numbers import number
from panellint.core.phrases import capital, listed
from panellint.output.document import Block, Paragraph, table
from panellint.output.render_options import CAUTION
from panellint.output.views.balance import sentence
from panellint.results.batch import NewShare, Reformulation

_FEW = 5
_SIDES: tuple[tuple[str, Literal["names", "declaration", "guarantees", "claims_lost"]], ...] = (
    ("names earned", "names"),
    ("declaration", "declaration"),
    ("guarantees", "guarantees"),
    ("not borne", "claims_lost"),
)


def view(data: Reformulation) -> Iterator[Block]:
    """Yields the new formula beside the old one, or what cannot all be had."""
    if not data["possible"]:
        yield from (Paragraph(words, indent=0) for words in clash(data))
        yield Paragraph(f"Of the nearest, {sentence(data['balance'])}.", indent=0)
        return
    weighed = data["ingredients"][0]["kilograms"] is not None
    headings = ["ingredient", "now %", "new %", "change"] + ["new kg"] * weighed
    yield table(headings, [list(_row(ingredient)) for ingredient in data["ingredients"]])
    yield from _sides(data)
    yield Paragraph(f"{capital(sentence(data['balance']))}.")
    yield from map(Paragraph, _notes(data))


def _sides(data: Reformulation) -> Iterator[Block]:
    """Yields the label before and after, side by side."""
    before, after = data["before"], data["after"]
    if before is None or after is None:
        return
    rows = [
        (words, ", ".join(before[key]) or "none", ", ".join(after[key]) or "none")
        for words, key in _SIDES
    ]
    yield table(("", "now", "new"), rows)


def clash(data: Reformulation) -> Iterator[str]:
    """Yields what cannot all be had."""
    yield "Impossible within the limits. These cannot all be had:"
    yield from (f"- {words}" for words in data["clash"])
    if not data["certified"]:
        yield "(by the solver; exact arithmetic alone did not settle it)"
    yield from data["nearest"]
    for cost in data["limits_cost"]:
        share = number(round(cost["percent"], 1), 4)
        yield f"- {cost['limit']}: a point more makes good {share} % of what is missing"


def _row(row: NewShare) -> Iterator[str]:
    before, after, kilograms = row["before"], row["after"], row["kilograms"]
    yield row["name"]
    yield f"{before:.3f}"
    yield f"{after:.3f}"
    yield "" if before == after else f"{after - before:+.3f}"
    if kilograms is not None:
        yield number(round(kilograms, 3), 7)


def _notes(data: Reformulation) -> Iterator[str]:
    yield from (f"reached: {words}" for words in data["targets"])
    if data["change"]:
        yield from (f"bound by: {words}" for words in data["bound_by"])
        words = f"{number(round(data['change'], 3), 5)} percentage points of change in all"
        if data["least_change"] is not None:
            least = number(round(data["least_change"], 3), 5)
            words += f"; no formula does it with less than {least}"
        if data["least_cost"] is not None:
            words += f"; no formula costs less than {data['least_cost']:.4f} per kg"
        yield words
    else:
        yield "the formula reaches it as it is"
    if data["gone"]:
        yield f"nothing is left of {listed(data['gone'])}; --hold NAME keeps a line as it is"
    before, after = data["cost_per_kg"]["before"], data["cost_per_kg"]["after"]
    without = data["without_cost"]
    if before is not None and after is not None:
        yield f"cost per kg of the mix: {before:.4f} now, {after:.4f} new"
    elif len(without) < len(data["ingredients"]):
        yield f"the cost is not known: no cost for {', '.join(without[:_FEW])}"
    yield CAUTION
