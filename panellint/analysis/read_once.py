"""What a text says and what its ingredients are, read once for all that asks of the same text."""

from functools import lru_cache

from panellint.catalogue import Catalogue
from panellint.core.source import Source
from panellint.ingredients.model import Declaration
from panellint.ingredients.resolve import identify
from panellint.label.languages import languages_read
from panellint.label.model import Label
from panellint.label.reader import read_label


def reading(source: Source, catalogue: Catalogue, food: int = 0) -> Label:
    """Returns what a text says; of several foods in it what it says of that of a number."""
    return _reading(source.text, source.path, catalogue, food)


def identified(
    source: Source, catalogue: Catalogue, market: str, language: str, food: int = 0
) -> Declaration:
    """Returns the ingredients of what was read in a text, with what each name was taken for."""
    return _identified(source.text, source.path, catalogue, market, language, food)


# Outline, findings and pages of one text are asked for one after the other.
@lru_cache(maxsize=1)
def _reading(text: str, path: str, catalogue: Catalogue, food: int) -> Label:
    def is_name(words: str, *languages: str) -> bool:
        """Whether words are the name of an ingredient in a language, any that is read if none is
        given."""
        return any(
            catalogue.lookup(words, market="eu", language=language)
            for language in languages or languages_read()
        )

    return read_label(Source(text, path), is_name, food)


@lru_cache(maxsize=1)
def _identified(
    text: str, path: str, catalogue: Catalogue, market: str, language: str, food: int
) -> Declaration:
    label = _reading(text, path, catalogue, food)
    return identify(label, catalogue, market=market, language=language)
