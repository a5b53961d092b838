"""The market that a label is written for, by words that only its labels print."""

from collections.abc import Iterator
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
    return tuple(
        (sign["market"], Wording([*_statutory(sign.get("statutory", {})), *sign["words"]]))
        for sign in data("markets")["signs"]
    )


def _statutory(parts: dict[str, list[str]]) -> Iterator[str]:
    """Yields the statutory words of each language in some parts, but in the languages left out of a
    part; a type of feed without the word before the animal."""
    for language, words in data("words/statutory")["languages"].items():
        for part, left_out in parts.items():
            if language in left_out:
                continue
            if part == "types":
                yield from (
                    printed.rpartition(" ")[0] or printed for printed in words[part].values()
                )
            else:
                yield words[part]
