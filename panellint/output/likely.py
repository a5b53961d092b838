"""What is likely, as plain sentences: views and reports say it in the same words."""

from collections.abc import Iterator, Mapping, Sequence

from panellint.core.numbers import number
from panellint.core.phrases import capital
from panellint.core.text import is_plural
from panellint.output.document import figure, likely_words
from panellint.results.likely import HelpfulQuestion, LikelyPart, LikelyRange

#: Below this a least share prints as 0.0.
_LEAST_PRINTED = 0.05
_OF = {"as_fed": "as fed", "dry_matter": "of the dry matter", "energy_share": "of the energy"}
#: How many questions to the maker are printed.
_QUESTIONS = 2


def share_sentence(name: str, likely: LikelyRange, low: float, high: float) -> str:
    """Returns such as "Beef is probably between 22 and 41 % of the mix; the label alone proves at
    least 5 %."; `low` and `high` are what is proven."""
    verb = "are" if is_plural(name) else "is"
    low_end, high_end = (number(round(likely[end])) for end in ("low", "high"))
    ends = f"about {high_end}" if low_end == high_end else f"between {low_end} and {high_end}"
    if high >= 100:
        proven = f"at least {figure(low)} %" if low >= _LEAST_PRINTED else "nothing"
    elif low < _LEAST_PRINTED:
        proven = f"at most {figure(high)} %"
    else:
        proven = f"{figure(low)} to {figure(high)} %"
    return f"{name} {verb} probably {ends} % of the mix; the label alone proves {proven}."


def untold(part: str, likely: Mapping[str, LikelyPart], value: float) -> str:
    """Returns that the label does not tell on which side of a part of the energy the food lies; ""
    where all of the likely range is on one side, or none is known."""
    energy = likely[part]["energy_share"] if part in likely else None
    if energy is None or not energy["low"] <= value <= energy["high"]:
        return ""
    return (
        f"{capital(part)} is probably {likely_words(energy)} % of the energy: the label does not "
        "tell whether the food is there."
    )


def helpful_sentences(questions: Sequence[HelpfulQuestion]) -> Iterator[str]:
    """Yields what a maker could tell, and how far that narrows the range of what is asked for."""
    for question in questions[:_QUESTIONS]:
        part, width = round(100 * question["narrows"]), figure(question["to"])
        of = _OF[question["basis"]]
        yield f"{question['ask']} By about {part} %, to some {width} points {of}."
