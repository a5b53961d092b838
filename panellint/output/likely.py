"""What is likely, as plain sentences: views and reports say it in the same words."""

from collections.abc import Iterator, Mapping, Sequence

from panellint.core.numbers import number
from panellint.core.phrases import capital
from panellint.core.text import is_plural
from panellint.output.document import figure, likely_words
from panellint.results.likely import HelpfulQuestion, LikelyPart, LikelyRange
from panellint.results.nutrition import CarbohydrateTarget

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


def content_sentences(likely: Mapping[str, LikelyPart]) -> Iterator[str]:
    """Yields what the food probably holds, percent of the dry matter."""
    on_dry = ((part, ranges["dry_matter"]) for part, ranges in likely.items())
    words_of = {part: f"{likely_words(span)}" for part, span in on_dry if span}
    if named := [f"{part} {words_of[part]} %" for part in ("protein", "fat") if part in words_of]:
        yield f"{capital(' and '.join(named))} of the dry matter, probably."
    if "carbohydrate" in words_of:
        words = f"Carbohydrate is probably {words_of['carbohydrate']} % of the dry matter"
        if starch := words_of.get("starch and sugar"):
            words += f", of it starch and sugar {starch}; the rest is fibre that crude fibre misses"
        yield f"{words}."


def target_sentence(target: CarbohydrateTarget, likely: LikelyPart | None) -> str:
    """Returns where the food stands against a target of carbohydrate."""
    words = []
    for basis, energy, place in (
        ("energy", likely and likely["energy_share"], target["of_energy"]),
        ("dry matter", likely and likely["dry_matter"], target["of_dry_matter"]),
    ):
        says = f"({place})" if place else "(the label does not tell on which side)"
        words.append(
            f"probably {likely_words(energy)} % of the {basis} {says}"
            if energy
            else f"of the {basis} {says}"
        )
    ends = f"{number(target['low'])} to {number(target['high'])} %"
    return f"Practice aims for {ends} carbohydrate. This food: {'; '.join(words)}."


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
