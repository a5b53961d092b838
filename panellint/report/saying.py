"""Figures and premises in the words of a reading."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from panellint.analysis.list_position import share
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.report.model import Proof
from panellint.shares.model import Proof as Shown

#: What a proof rests on, for people who have not met the words of the premises.
PREMISES = {
    "order": "the order of the list",
    "groups": "what stands in brackets",
    "percentages": "the printed percentages",
    "tail": "the line of small amounts",
    "water": "how much water such a food takes up or loses",
    "guarantees": "the guaranteed analysis",
    "composition": "literature ranges of what ingredients hold",
    "composition (composed)": "ranges worked out for what no table prints",
    "name": "the name's own promise",
    "practice": "custom of the trade",
}


#: Ratios and sums of a profile, by id.
RATIOS = {
    "calcium-phosphorus": "calcium to phosphorus",
    "omega-6-omega-3": "omega-6 to omega-3",
    "methionine-cystine": "methionine with cystine",
    "phenylalanine-tyrosine": "phenylalanine with tyrosine",
}


def lettered(name: str) -> str:
    """A vitamin's letter is printed as one: vitamin A, vitamin B12."""
    first, _, rest = name.partition(" ")
    return f"{first} {rest.upper()}" if first == "vitamin" else name


def premises(rests_on: Sequence[object]) -> str:
    """ "The order of the list and the guaranteed analysis"."""
    words = listed(PREMISES.get(str(one), str(one)) for one in rests_on)
    return f"{capital(words)} alone" if len(rests_on) == 1 else capital(words)


def resting(premises: Iterable[object]) -> str:
    """ "Rests on the order of the list and the guaranteed analysis"; "" for nothing."""
    words = [PREMISES.get(str(one), str(one)) for one in premises]
    return f"Rests on {listed(words)}." if words else ""


def figure(value: float | None, places: int = 1) -> str:
    """A figure to at most so many places; a dash for one that is not known."""
    if value is None:
        return "–"
    return f"{value:,.{places}f}".removesuffix("." + "0" * places) if places else f"{value:,.0f}"


def percent(value: float) -> str:
    """A percentage to hundredths."""
    return number(round(value, 2))


def spread(low: float | None, high: float | None) -> str:
    """A range of shares in words."""
    if low is None or high is None:
        return "nothing can be told"
    words = share(low, high)
    return "the label sets no limit" if words == "any share" else words


def shown(claim: str, proof: Shown) -> tuple[Proof, ...]:
    """A proof of the shares as one of the reading; none where it needs none."""
    if not proof.sentences:
        return ()
    return (Proof(claim, proof.sentences, resting(proof.rests_on)),)


def counted(count: int, noun: str, plural: str = "") -> str:
    """ "1 entry", "3 entries"."""
    return f"{count} {noun if count == 1 else plural or noun + 's'}"


def capital(text: str) -> str:
    """The text with a capital first."""
    return text[:1].upper() + text[1:]
