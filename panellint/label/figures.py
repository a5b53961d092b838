"""Printed figures: numbers as different countries print them, and how they bind."""

from __future__ import annotations

import re
from decimal import Decimal

from panellint.core.source import Span
from panellint.label.model import Bound, Percent, PercentOf

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_AT_LEAST = re.compile(
    r"at\s+least|less\s+than\b(?<=not\sless\sthan)|no(?:t)?\s+less\s+than|\bmin|\bmind|au\s+moins"
    r"|al\s+menos|mínim|\bmín\b|almeno|minimo|ten\s?minste|minstens|or\s+more|[≥>]",
    re.IGNORECASE,
)
_AT_MOST = re.compile(
    r"at\s+most|more\s+than|less\s+than|or\s+less|up\s+to|\bmax|höchstens|maximal|\bmáx|massimo|[≤<]",
    re.IGNORECASE,
)
_ABOUT = re.compile(r"about|approx|circa|\bca\b|environ|[~≈]", re.IGNORECASE)
_RANGE = re.compile(r"\d\s*(?:%|per\s?cent)?\s*(?:[-–—]|to|bis|à|a|tot)\s*\d", re.IGNORECASE)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:[.,  ' ]\d{3})+")


def figure_of(text: str) -> Decimal:
    """The first figure in the text; a decimal comma counts as a point."""
    found = _NUMBER.search(text)
    return Decimal(found.group().replace(",", ".")) if found else Decimal(0)


def bound_of(text: str) -> Bound | None:
    """How words such as "min." or "not more than" bind a figure; None where none stands."""
    if _AT_LEAST.search(text):
        return Bound.MIN
    if _AT_MOST.search(text):
        return Bound.MAX
    return Bound.ABOUT if _ABOUT.search(text) else None


def percent_of_token(text: str, span: Span) -> Percent:
    """A printed percentage with its bound; what it is a percentage of is settled later.

    Of a range ("4-6 %") the lower figure is taken, as the least.
    """
    bound = bound_of(text) or Bound.EXACT
    if _RANGE.search(text):
        bound = Bound.ABOUT if bound in {Bound.ABOUT, Bound.MAX} else Bound.MIN
    return Percent(figure_of(text), bound, PercentOf.UNCLEAR, span)


def amount_of(text: str) -> Decimal | None:
    """A number that may have thousands separators ("3,500", "15 000"), else None."""
    text = text.strip()
    if _THOUSANDS.fullmatch(text):
        return Decimal(re.sub(r"\D", "", text))
    found = _NUMBER.fullmatch(text)
    return Decimal(found.group().replace(",", ".")) if found else None
