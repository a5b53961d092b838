"""The market of a label on which nobody notes it, by the label's own words."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation
from panellint.core.text import one_line
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import the_market, usual_market


def by_words(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a label whose market nobody names and whose words are of another than the usual one."""
    sign = context.market_sign
    if sign and sign.market != usual_market():
        values = {
            "printed": one_line(context.source.slice(sign.span)),
            "market": the_market(sign.market),
            "id": sign.market,
        }
        yield Observation(sign.span, Certainty.PRACTICE, values)
