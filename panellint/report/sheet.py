"""The owner's page: one food on one sheet of paper."""

from collections.abc import Iterator

from panellint.output.document import Heading, Items, Paragraph, Ranges
from panellint.output.render_options import CAUTION
from panellint.report.blocks import Block
from panellint.report.owner import (
    Owner,
    file_of,
    harm_words,
    how_much,
    promise_words,
    questions,
    starch_words,
    what_it_is,
)
from panellint.results.foods import Plan


def sheet(owner: Owner, day: str, plan: Plan | None = None) -> Iterator[Block]:
    """Yields the page of one food, read on `day`; `plan` is a day's bowl of it, where an animal is
    given."""
    yield Heading(1, owner.name)
    yield Paragraph(f"From {file_of(owner.context)}, read on {day}.")
    yield Heading(2, "What it is", "what")
    for words in what_it_is(owner):
        yield Paragraph(words, "usual")
    harm = tuple(harm_words(owner))
    if harm:
        yield Heading(2, "Look at this first", "harm")
        yield Items(harm)
    if plan is not None:
        yield Heading(2, "How much to feed", "feed")
        yield from portion(plan)
    if owner.entries:
        yield Heading(2, "The first on the list, and why", "list")
        headings = ("Ingredient", "Likely part of the mix")
        yield Ranges(headings, owner.entries, kind="likely")
    yield Heading(2, "Meat, starch and water", "much")
    for paragraph in how_much(owner):
        yield paragraph._replace(kind="usual")
    yield Heading(2, "What the name says", "name")
    yield Items(tuple(promise_words(owner)))
    yield Heading(2, "Starches and gums", "starches")
    yield Items(tuple(starch_words(owner)))
    if not harm:
        yield Heading(2, "Anything harmful?", "harm")
        yield Paragraph(
            "We know of nothing on the list that harms "
            f"{owner.animals}. A name that we do not know cannot be judged.",
            "usual",
        )
    yield Heading(2, "Ask the maker", "ask")
    yield Items(tuple(questions(owner)))
    yield Heading(2, "Keep in mind", "caution")
    yield Paragraph(CAUTION, "caution")


def portion(plan: Plan) -> Iterator[Block]:
    """Yields a day's amount of one food and what it costs."""
    (food,) = plan["foods"]
    animal = plan["animal"]
    amounts = " or ".join(measure["words"] for measure in food["measures"])
    yield Paragraph(
        f"A {animal['species']} of {animal['kilograms']:.4g} kg needs about "
        f"{animal['kcal_per_day']:.0f} kcal a day. That is {amounts} of this food. Animals differ, "
        "so weigh yours now and then.",
        "usual",
    )
    for cost in plan["costs"]:
        currency = cost["currency"] or "in the price that is noted"
        yield Paragraph(
            f"That costs {cost['per_day']:.2f} a day and {cost['per_month']:.2f} a month "
            f"({currency}).",
            "usual",
        )
    for words in plan["watch"]:
        yield Paragraph(words, "usual")
