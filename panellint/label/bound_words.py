"""How words such as "min." bind the figure that they stand beside."""

from __future__ import annotations

import re

from panellint.core.numbers import first_decimal
from panellint.core.source import Span
from panellint.label.model import Bound, Percent, PercentOf

_AT_LEAST = re.compile(
    r"at\s+least|less\s+than\b(?<=not\sless\sthan)|no(?:t)?\s+less\s+than|\bmin|\bmind|au\s+moins"
    r"|\bm[l1|]n\b|\brn[il1]n\b"  # as a scanner gives "min"
    r"|al\s+menos|mínim|\bmín\b|almeno|minimo|ten\s?minste|minstens|or\s+more|[≥>]|co\s+najmniej"
    r"|pelo\s+menos|alespoň|nejméně|vähintään",
    re.IGNORECASE,
)
_AT_MOST = re.compile(
    r"at\s+most|more\s+than|less\s+than|or\s+less|up\s+to|\bmax|\brnax|höchstens|maximal|\bmáx|massimo|[≤<]"
    r"|maksymaln|högst|højst|nejvýše|enintään",
    re.IGNORECASE,
)
_ABOUT = re.compile(
    r"about|approx|circa|\bca\b|environ|[~≈]|około|cerca de|ungefär|cirka|přibližně|noin",
    re.IGNORECASE,
)
_RANGE = re.compile(r"\d\s*(?:%|per\s?cent)?\s*(?:[-–—]|to|bis|à|a|tot)\s*\d", re.IGNORECASE)


def bound_of(text: str) -> Bound | None:
    """Returns how words such as "min." or "not more than" bind a figure; None without such."""
    if _AT_LEAST.search(text):
        return Bound.MIN
    if _AT_MOST.search(text):
        return Bound.MAX
    return Bound.ABOUT if _ABOUT.search(text) else None


def percent_of_token(text: str, span: Span) -> Percent | None:
    """Returns a printed percentage with its bound; what it is a percentage of is settled later.

    Of a range ("4-6 %") the lower figure is taken, as the least. None where the figure has more
    digits than a number can have.
    """
    value = first_decimal(text)
    if value is None:
        return None
    bound = bound_of(text) or Bound.EXACT
    if _RANGE.search(text):
        bound = Bound.ABOUT if bound in {Bound.ABOUT, Bound.MAX} else Bound.MIN
    return Percent(value, bound, PercentOf.UNCLEAR, span)
