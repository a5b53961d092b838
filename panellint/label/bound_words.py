"""How words such as "min." bind the figure that they stand beside."""

import re
from functools import cache

from panellint.core.numbers import first_decimal
from panellint.core.source import Span
from panellint.core.wording import any_case, spaced
from panellint.label.model import Bound, Percent, PercentOf
from panellint.rulepacks.data import data

_RANGE = re.compile(r"\d\s*(?:%|per\s?cent)?\s*(?:[-–—]|to|bis|à|a|tot)\s*\d", re.IGNORECASE)


@cache
def _bounds() -> tuple[dict[str, Bound], re.Pattern[str]]:
    """Returns each word and sign with how it binds, and a search for any of them."""
    binding = {
        any_case(word): bound
        for bound, part in ((Bound.MIN, "least"), (Bound.MAX, "most"), (Bound.ABOUT, "about"))
        for words in data("words/bounds")[part].values()
        for word in words
    }
    longest_first = sorted(binding, key=len, reverse=True)
    words = "|".join(
        spaced(re.escape(word).replace(r"\ ", " ")) for word in longest_first if word[0].isalpha()
    )
    signs = "".join(word for word in binding if not word[0].isalpha())
    return binding, re.compile(rf"(?<!\w)(?:{words})(?!\w)|[{re.escape(signs)}]", re.IGNORECASE)


@cache
def bound_words() -> re.Pattern[str]:
    """Returns a search for words that bind a figure, the `word` in brackets or with a full stop."""
    digits = "|".join(data("words/amounts")["written"])  # "twenty-four percent (24 %)"
    return re.compile(
        # A text may have blanks without end before a word: they are taken whole.
        rf"(?:[ \t]*+\([ \t]*+|[ \t]*+)(?P<word>{_bounds()[1].pattern})\.?\s*\)?"
        rf"|\b(?:(?:{digits})\b[ \t-]{{0,3}}){{1,4}}(?:per ?cent\b)?\s*\(\s*$",
        re.IGNORECASE,
    )


def bound_of(text: str) -> Bound | None:
    """Returns how words such as "min." or "not more than" bind a figure; None without such. Of
    several a least goes before a most, and both before about."""
    binding, search = _bounds()
    bounds = {binding[" ".join(any_case(match.group()).split())] for match in search.finditer(text)}
    return next((bound for bound in (Bound.MIN, Bound.MAX, Bound.ABOUT) if bound in bounds), None)


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
