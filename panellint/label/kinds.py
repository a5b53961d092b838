"""What the kinds of sections of a label have in common (`rules/words/sections.yaml`)."""

from functools import cache

from panellint.rulepacks.data import data


@cache
def kinds(trait: str) -> frozenset[str]:
    """Returns the kinds of section with a trait; the file says what each trait means."""
    return frozenset(data("words/sections")[trait])
