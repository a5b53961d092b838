"""Whether a food is called dietetic, and where its label may say what it is for."""

from functools import cache

from panellint.analysis.context import LabelContext
from panellint.core.once import once
from panellint.core.wording import Wording
from panellint.lint.checks.support.free_text import FreeText, behind_figures, free_text
from panellint.rulepacks.data import data


@once
def is_dietetic(context: LabelContext) -> bool:
    """Whether the label calls the food dietetic, in any language that is read."""
    return any(map(_dietetic().search, texts_of(context)))


@cache
def _dietetic() -> Wording:
    return Wording(data("data/dietetic")["dietetic"])


def stretches_of(context: LabelContext) -> tuple[FreeText, ...]:
    """The sentences in which a dietetic label states its purpose, with their places."""
    return (*free_text(context), *behind_figures(context))


def texts_of(context: LabelContext) -> tuple[str, ...]:
    """The same as text alone, with the remarks behind the list ("Protein sources: ...")."""
    remarks = (note.text for note in context.label.footnotes)
    headed = (context.source.slice(section.heading) for section in context.sections_of("sources"))
    return (*(stretch.text for stretch in stretches_of(context)), *remarks, *headed)
