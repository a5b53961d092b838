"""What the linter's user notes beside a label ("Market: eu", "Form: kibble"), where nothing of it
is understood; and the market of a label on which nobody notes it, by the label's own words."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext, uses_in
from panellint.core.findings import Certainty, Observation
from panellint.core.phrases import listed
from panellint.core.text import one_line
from panellint.label.statements import species_named, stages_in
from panellint.nutrition.forms import UNKNOWN, form_ids, form_in
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import markets, markets_in, the_market, usual_market


def not_understood(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds facts beside the label whose words say nothing that is known, so that they are
    passed over."""
    kind = rule.parameters.text("fact")
    words, span = context.label.facts.get(kind, ("", None))
    if span is None or not words.strip() or _is_understood(context, kind, words):
        return
    yield Observation(
        span,
        Certainty.PRACTICE,
        {"printed": one_line(words), "known": listed(_known(context, kind))},
    )


def _is_understood(context: LabelContext, kind: str, words: str) -> bool:
    if kind == "species":
        return bool(species_named(words))
    if kind == "form":
        return form_in(words) is not None or bool(uses_in(words))  # "treat"
    if kind == "life-stage":
        return bool(stages_in(words))
    if kind == "market":
        return bool(markets_in(words))
    printed = words.strip().casefold()
    return printed[:2] in _known(context, kind)


def _known(context: LabelContext, kind: str) -> tuple[str, ...]:
    """Returns what could be said instead."""
    if kind == "species":
        return tuple(data("markets")["species"])
    if kind == "form":
        return tuple(id for id in form_ids() if id != UNKNOWN)
    if kind == "life-stage":
        return tuple(stage["stage"] for stage in data("words/statements")["stages"])
    return context.catalogue.languages if kind == "language" else markets()


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
