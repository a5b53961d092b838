"""The market that a label is written for, by words that only its labels print."""

from functools import cache
from typing import NamedTuple

from panellint.core.source import Source, Span
from panellint.core.wording import Wording
from panellint.rulepacks.data import data


class MarketSign(NamedTuple):
    """Words of one market, and their place on the label."""

    market: str
    span: Span


def market_sign(source: Source) -> MarketSign | None:
    """Returns the first market whose words stand on a label, with the first of them; None where no
    market's do."""
    for market, words in _signs():
        if match := words.search(source.text):
            return MarketSign(market, Span(*match.span()))
    return None


@cache
def _signs() -> tuple[tuple[str, Wording], ...]:
    return tuple((sign["market"], Wording(sign["words"])) for sign in data("markets")["signs"])
