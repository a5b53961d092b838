"""The foods of one text, each with everything known about it."""

from panellint.analysis.context import LabelContext
from panellint.ingredients.resolve import identify
from panellint.label.reader import read_label


def foods_of(context: LabelContext) -> tuple[LabelContext, ...]:
    """Returns a context for each food of a label's text: the label's own, and of a pack of several
    foods those of the others."""
    others = range(1, len(context.label.foods))
    return (context, *(_other(context, number) for number in others))


def _other(context: LabelContext, number: int) -> LabelContext:
    label = read_label(context.source, context.is_name, number)
    market, language = context.market, context.language
    declaration = identify(label, context.catalogue, market=market, language=language)
    return LabelContext(
        context.source, context.settings, quick=context.quick, printed=(label, declaration)
    )
