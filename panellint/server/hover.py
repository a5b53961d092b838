"""What the server tells of the words under the pointer: an ingredient, or a promise of the
product's name."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import standing
from panellint.analysis.shares_report import promises
from panellint.catalogue.model import PARTS, CatalogueEntry
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.ingredients.model import Ingredient
from panellint.ingredients.product_name import Promise

if TYPE_CHECKING:
    from panellint.results.shares import ConditionData, JudgedPromise

_VERDICTS = {
    "implied": "Kept by every formula that fits the label.",
    "refuted": "Kept by no formula that fits the label.",
    "open": "Open: what the label says neither proves nor refutes it.",
}
#: Longer proofs are for `panellint shares`.
_MOST_SENTENCES = 6


def hover(context: LabelContext, offset: int) -> tuple[str, Span] | None:
    """Returns markdown about what stands at an offset, and the words that it is about; None where
    there is nothing to tell."""
    name = context.label.product_name_span
    if name.start <= offset < name.end:
        words = [*_promises(context, offset)]
        return ("\n\n".join(words), name) if words else None
    at = [
        entry
        for entry in context.declaration.walk()
        if entry.name_span.start <= offset < max(entry.name_span.end, entry.name_span.start + 1)
    ]
    if not at:
        return None
    entry = min(at, key=lambda one: one.name_span.end - one.name_span.start)
    return "\n\n".join(_ingredient(context, entry)), entry.name_span


# Ingredients ----------------------------------------------------------------------------------


def _ingredient(context: LabelContext, entry: Ingredient) -> Iterator[str]:
    if entry.match is None:
        yield f"**{_plain(entry.name)}**: {_unknown(context, entry)}"
        yield from _share(context, entry)
        return
    known = entry.match.known
    what = [known.kind.replace("-", " "), known.origin, known.species, known.state]
    as_is = (
        f", taken as {known.names[0]}" if known.names[0].casefold() != entry.name.casefold() else ""
    )
    yield f"**{_plain(entry.name)}**{as_is}: {', '.join(dict.fromkeys(filter(None, what)))}."
    yield from _share(context, entry)
    yield from _dangers(context, known)
    if entry.members:
        names = listed(_plain(member.name) for member in entry.members)
        yield f"{'Holds, among other things,' if entry.partial else 'Holds'} {names}."
    yield from _composition(known)
    if known.supplies:
        yield f"Supplies {listed(known.supplies)}."
    for note in known.notes[:2]:
        yield _plain(note)


def _unknown(context: LabelContext, entry: Ingredient) -> str:
    if entry.component or (entry.members and not entry.partial):
        return "a heading over its members."
    near = context.catalogue.suggest(entry.name, market=context.market, language=context.language)
    hint = f" Nearest names: {listed(near, 'or')}." if near else ""
    return f"a name that the catalogue does not know; anything may be in it.{hint}"


def _share(context: LabelContext, entry: Ingredient) -> Iterator[str]:
    stands = standing(context, entry)
    if stands.bounds is None:
        yield f"{stands.place}. No formula fits this label, so nothing is known of its share."
        return
    how = " (by order alone)" if context.quick else ""
    yield f"{stands.place}; {stands.share} of the mix{how}."
    proof = stands.bounds.high_proof.sentences or stands.bounds.low_proof.sentences
    if proof:
        yield "\n".join(f"- {_plain(sentence)}" for sentence in proof[:_MOST_SENTENCES])


def _dangers(context: LabelContext, known: CatalogueEntry) -> Iterator[str]:
    for hazard in known.hazards:
        if hazard.level in ("error", "warning") and context.species in (None, hazard.species):
            what, source = _plain(hazard.what), _plain(hazard.source)
            yield f"**Hazard for {hazard.species}s**: {what} ({source})."


def _composition(known: CatalogueEntry) -> Iterator[str]:
    """Yields the six parts, with the sources that they come from."""
    parts = {part: known.figures[part] for part in PARTS if part in known.figures}
    if not parts:
        yield "No composition is known: any is reckoned with."
        return
    words = (
        f"{part} {number(one.range.low)}"
        + (f" to {number(one.range.high)}" if one.range.high > one.range.low else "")
        for part, one in parts.items()
    )
    sources = dict.fromkeys(
        one.source if one.confirmed else f"{one.source} (from memory)" for one in parts.values()
    )
    yield f"As added, in percent: {', '.join(words)}."
    yield "Source: " + _plain("; ".join(sources)) + "."


# Promises -------------------------------------------------------------------------------------


def _promises(context: LabelContext, offset: int) -> Iterator[str]:
    """Yields the promises under the pointer; all of the name where none is."""
    judged = {one["id"]: one for one in promises(context)}
    under = [one for one in context.promises if one.span.start <= offset < one.span.end]
    for promise in under or context.promises:
        yield "\n\n".join(_promise(context, promise, judged.get(promise.id)))


def _promise(
    context: LabelContext, promise: Promise, judged: JudgedPromise | None
) -> Iterator[str]:
    named = listed(one.name for one in promise.named)
    about = f", about {_plain(named)}" if named else ""
    yield f"**{_plain(promise.text)}** promises by the tier “{promise.tier}”{about}."
    if judged is None:
        yield "No rule of this market gives a share for it, or what it names is not declared."
        return
    rule = context.settings.rules[judged["rule"]]
    yield f"{_plain(rule.title)} (`{rule.id}`; {_plain(str(rule.source))})."
    yield "\n".join(_condition(condition) for condition in judged["conditions"])
    how = " (by order alone)" if context.quick and judged["verdict"] == "open" else ""
    yield _VERDICTS[judged["verdict"]] + how
    if judged["proof"]:
        yield "\n".join(f"- {_plain(words)}" for words in judged["proof"][:_MOST_SENTENCES])


def _condition(one: ConditionData) -> str:
    bound = "at most" if one["bound"] == "max" else "at least"
    base = "mix without processing water" if one["base"].startswith("without") else one["base"]
    can_be = f"{number(one['low'])} to {number(one['high'])} %"
    return f"- {_plain(one['of'])}: {bound} {number(one['needs'])} % of the {base}; can be {can_be}"


def _plain(words: str) -> str:
    """Words of a label or a source, so that Markdown takes them as they are."""
    return "".join("\\" + char if char in "\\`*_{}[]<>#|" else char for char in words)
