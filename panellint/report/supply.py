"""Starches and binders with what each does, and where vitamins and minerals come from."""

from collections.abc import Iterator, Sequence

from panellint.analysis.context import LabelContext
from panellint.analysis.starch_roles import answers
from panellint.core.numbers import number
from panellint.ingredients.model import Ingredient
from panellint.lint.checks.starch import class_of
from panellint.output.document import Heading, Items, Paragraph, Printed, Table, joined
from panellint.report.blocks import Block
from panellint.results.outline import Glance, NutrientSource
from panellint.rulepacks.data import data

_BINDERS = "starch-as-bulk"
_HIGH = "high-glycaemic-starch"


def starches(context: LabelContext) -> Iterator[Block]:
    """Yields every starch and gum with its answer, then what else has a tested glycaemic index."""
    yield Heading(2, "Starches and binders", "starches")
    rows = tuple(_rows(context))
    if not rows:
        yield Paragraph(
            "No starch, gum or food with a measured glycaemic index is declared.", "usual"
        )
        return
    yield Paragraph(
        "What each starch, gum and sweet or starchy food is doing there, as far as the label "
        "tells. The glycaemic index is measured in people, and is no more than a hint for dogs "
        f"and cats; {number(_high_from(context))} or more is high (ISO 26642).",
        "once",
    )
    headings = ("Ingredient", "What it does", "Binds at", "Glycaemic index in people")
    yield Table(headings, rows, kind="stack")


def _rows(context: LabelContext) -> Iterator[tuple[str, ...]]:
    rule = context.settings.rules.get(_BINDERS)
    seen: set[tuple[int, ...]] = set()
    for answer in answers(context, rule.parameters) if rule else ():
        seen.add(answer.entry.path)
        does = data("words/reading")["starch_does"][answer.which]
        does += f" ({answer.why})" if answer.why else ""
        name = Printed(answer.entry.name, context.language)
        yield name, does, answer.published or "–", _index(context, answer.entry) or "–"
    for entry in context.declaration.walk():
        index = _index(context, entry)
        if index and entry.path not in seen:
            yield Printed(entry.name, context.language), "carries carbohydrate", "–", index


def _high_from(context: LabelContext) -> float:
    return context.settings.rules[_HIGH].parameters.number("high-from")


def _index(context: LabelContext, entry: Ingredient) -> str:
    tested = entry.match.known.glycaemic if entry.match else ()
    classed: str = data("words/reading")["glycaemic"][class_of(tested, _high_from(context))]
    return classed + "; ".join(
        f"{number(food.value)} for {food.form}{'' if food.confirmed else ' (not confirmed)'}"
        for food in tested
    )


def index_sources(context: LabelContext) -> Iterator[str]:
    """Yields where the glycaemic indexes and the levels of binders are from."""
    for entry in context.declaration.walk():
        if entry.match:
            yield from (index.source for index in entry.match.known.glycaemic)
    rule = context.settings.rules.get(_BINDERS)
    for answer in answers(context, rule.parameters) if rule else ():
        known = answer.entry.match
        yield from (binder.source for binder in known.known.binding) if known else ()


def nutrients(context: LabelContext, glance: Glance, complete: bool | None) -> Iterator[Block]:
    """Yields where the vitamins and minerals of the profile come from, and what a cat must eat."""
    yield Heading(2, "Vitamins and minerals", "nutrients")
    if glance["nutrients"]:
        yield Paragraph(
            "For each vitamin and mineral that the profile asks for: is there a source on the "
            "label? A source says nothing of the amount. Where none is found, the foods in the "
            "list may still hold it.",
            "once",
        )
        if not complete:
            yield Paragraph(
                "The label does not call this food complete, so it need not supply them: "
                "something else in the diet has to.",
                "usual",
            )
        rows = glance["nutrients"]
        if not complete:
            rows = [row for row in rows if row["source"] != "none found"]
        sources = data("words/reading")["sources"]
        yield Items(tuple(sources if complete else sources[:-1]))
        yield _table(context, rows)
    else:
        yield Paragraph("There is no profile to hold the label against.", "usual")
    if glance["cat"]:
        yield Heading(3, "What a cat must eat")
        notes = []
        for row in glance["cat"]:
            useless = ", ".join(row["not_from"])
            words = [row["note"], f"no source of it for a cat: {useless}" if useless else ""]
            notes.append("; ".join(filter(None, words)))
        yield _table(context, glance["cat"], notes)


def _table(
    context: LabelContext, rows: Sequence[NutrientSource], notes: Sequence[str] = ()
) -> Table:
    lines = []
    for at, row in enumerate(rows):
        names = joined(Printed(name, context.language) for name in row["from"])
        lines.append((row["name"], row["source"], names, notes[at] if notes else ""))
    headings = ("Nutrient", "Source", "From", *(["Note"] if notes else []))
    return Table(headings, tuple(line[: len(headings)] for line in lines), kind="stack")
