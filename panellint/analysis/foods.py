"""The foods of one text, each with everything known about it."""

from panellint.analysis.context import LabelContext
from panellint.analysis.read_once import identified, reading
from panellint.core.text import one_line


def foods_in_text(context: LabelContext) -> list[str]:
    """Returns the names of the foods in a text of several, the label's own first; else nothing."""
    return [one_line(context.source.slice(name)) for name in context.label.foods]


def foods_of(context: LabelContext) -> tuple[LabelContext, ...]:
    """Returns a context for each food of a label's text: the label's own, and of a pack of several
    foods those of the others."""
    source, contexts = context.source, [context]
    for number in range(1, len(context.label.foods)):
        read = (
            reading(source, context.catalogue, number),
            identified(source, context.catalogue, context.market, context.language, number),
        )
        contexts.append(LabelContext(source, context.settings, quick=context.quick, printed=read))
    return tuple(contexts)
