"""Dietetic feed of the EU and the UK: the purpose that a label states, and what the list asks of
such a food and of its label (`rules/data/dietetic.yaml`)."""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from panellint.analysis.additive_register import element_of
from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import statement_of
from panellint.core.errors import ImpossibleFigure
from panellint.core.findings import Certainty, Observation, State
from panellint.core.numbers import number, read_number
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.wording import Wording
from panellint.label.model import Guarantee
from panellint.lint.checks.additives import in_unit
from panellint.lint.checks.support.dietetic import is_dietetic, stretches_of, texts_of
from panellint.lint.checks.support.free_text import FreeText, free_text, said
from panellint.lint.checks.support.label_parts import is_whole, lacking, name_of, where
from panellint.nutrition.bounds import tolerance
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

_DATA = "data/dietetic"
ENERGY = "energy"


class Purpose(NamedTuple):
    """An entry of the list that a label states, with the place of its words."""

    entry: Mapping[str, Any]
    span: Span


def purpose(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a dietetic feed that states no purpose of the list."""
    if is_dietetic(context) and is_whole(context):
        stated = context.once(purposes)
        if stated:
            yield Observation.met(stated[0].span)
        else:
            place = where(context, "adequacy")
            yield lacking(context, place, Certainty.PRACTICE, {}, "", "adequacy")


def implied(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words that imply a purpose of the list on a feed that is not called dietetic."""
    if is_dietetic(context):
        return
    printed = [(e, words) for e, words in _searches("implied-by") if said(context, words)]
    for stretch in free_text(context) if printed else ():
        for entry, words in printed:
            if match := words.search(stretch.text):
                values = {"words": one_line(match.group()), "purpose": entry["purpose"]}
                yield Observation(stretch.span(match), Certainty.PRACTICE, values)
                return


def kind(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a dietetic feed of a type that the entry of its purpose does not allow."""
    routes = {statement.route: statement.span for statement in context.label.adequacy}
    for purpose in _stated(context):
        wanted = purpose.entry["kind"]
        other = {"complete": "complementary", "complementary": "complete"}.get(wanted)
        if other in routes and wanted not in routes:
            values = {**_values(purpose), "printed": other, "wanted": wanted}
            yield Observation(routes[other], Certainty.PRACTICE, values)


def limit(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds declared figures outside what the list asks for the purpose that is stated.

    The limits per kg of complete feed follow the energy of the food (part B, note to the basis).
    """
    for purpose in _stated(context):
        groups = list(_groups(context, purpose))
        hidden = [group for group in groups if "limits" not in group]
        outside = [
            [seen for limit in group["limits"] if (seen := _departure(context, purpose, limit))]
            for group in groups
            if group not in hidden
        ]
        # A group that is kept is enough, and so is one that the label names; of several the one
        # that is missed by fewest figures is the nearest.
        if not outside or not all(outside) or any("only-with" in group for group in hidden):
            continue
        for seen in min(outside, key=len):
            if hidden:  # what no label shows may keep the entry too
                values = {**seen.values, "other": hidden[0]["other"]}
                seen = seen._replace(certainty=Certainty.PRACTICE, values=values, variant="other")
            yield seen


def declared(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a purpose whose declarations are not on the label."""
    lines = data(_DATA)["lines"]
    printed = {guarantee.nutrient for guarantee in context.label.guarantees}
    printed |= {
        element_of(amount)[0] for amount in context.label.additives if amount.value is not None
    }
    for purpose in _stated(context):
        missing = []
        for name in purpose.entry["declares"]:
            if name in lines:
                words = Wording(lines[name]["words"])
                if not any(map(words.search, texts_of(context))):
                    missing.append(lines[name]["what"])
            elif name == ENERGY:
                if context.label.energy is None and ENERGY not in printed:
                    missing.append("the energy value")
            elif name not in printed:
                missing.append(name_of(name))
        if missing:
            values = {**_values(purpose), "missing": listed(missing, "and")}
            yield lacking(context, purpose.span, Certainty.PRACTICE, values, "", "guarantees")
        else:
            yield Observation.met(purpose.span)


def sentence(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a purpose whose sentences are not on the label, in the languages in which they are
    looked for."""
    for purpose in _stated(context):
        missing = []
        for name in purpose.entry.get("says", ()):
            asked = data(_DATA)["sentences"][name]
            words = asked["words"].get(context.language)
            if words and not any(Wording(words).search(text) for text in texts_of(context)):
                missing.append(asked["what"])
        if missing:
            values = {**_values(purpose), "missing": listed(missing, "and")}
            yield Observation(purpose.span, Certainty.PRACTICE, values, state=State.MISSING)


def length(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a purpose without its recommended length of use, or with a longer one."""
    for purpose in _stated(context):
        most = purpose.entry.get("months")
        if most is None:
            continue
        lengths = [time for text in stretches_of(context) for time in _lengths(text)]
        values = {**_values(purpose), "length": purpose.entry["length"]}
        if not lengths:
            yield lacking(context, purpose.span, Certainty.PRACTICE, values, "", "feeding")
            continue
        months, span, words = max(lengths)
        if months > most and not purpose.entry.get("note"):
            yield Observation(span, Certainty.PRACTICE, {**values, "printed": words}, "longer")
        else:
            yield Observation.met(span)


def purposes(context: LabelContext) -> tuple[Purpose, ...]:
    """Returns the purposes of the list that a dietetic label states, each once."""
    by_entry: dict[int, Purpose] = {}
    for entry, words in _searches("words"):
        for stretch in stretches_of(context):
            match = words.search(stretch.text)
            if match and entry["entry"] not in by_entry:
                by_entry[entry["entry"]] = Purpose(entry, stretch.span(match))
    # Some purposes are printed with the words of a wider one.
    for purpose in list(by_entry.values()):
        wide = by_entry.get(purpose.entry.get("instead-of", 0))
        if wide and purpose.span.start <= wide.span.end:
            del by_entry[wide.entry["entry"]]
    return tuple(by_entry.values())


def _stated(context: LabelContext) -> tuple[Purpose, ...]:
    return context.once(purposes) if is_dietetic(context) else ()


def _values(purpose: Purpose) -> dict[str, object]:
    return {"purpose": purpose.entry["purpose"], "entry": purpose.entry["entry"]}


@cache
def _searches(key: str) -> tuple[tuple[Mapping[str, Any], Wording], ...]:
    entries = data(_DATA)["purposes"]
    return tuple((entry, Wording(entry[key])) for entry in entries if entry.get(key))


@cache
def _times() -> tuple[tuple[Wording, float], ...]:
    return tuple(
        (Wording([f"# {words}" for words in row["words"]]), float(row["months"]))
        for row in data(_DATA)["lengths"]
    )


def _lengths(stretch: FreeText) -> Iterator[tuple[float, Span, str]]:
    """Yields each length of use in months, with its place and words."""
    for words, months in _times():
        for match in words.finditer(stretch.text):
            number = read_number(match.group().split()[0])
            if number is not None:
                yield float(number) * months, stretch.span(match), one_line(match.group())


def _groups(context: LabelContext, purpose: Purpose) -> Iterator[Mapping[str, Any]]:
    """Yields the groups of characteristics that are open to the food."""
    for group in purpose.entry["groups"]:
        shown = Wording(group["only-with"]) if "only-with" in group else None
        if shown and not any(shown.search(text) for text in texts_of(context)):
            continue
        if context.species in (None, *group["species"]):
            yield group


def _departure(
    context: LabelContext, purpose: Purpose, limit: Mapping[str, Any]
) -> Observation | None:
    """Returns how a declared figure departs from a limit; None where it does not, or is not there.

    A limit L per kg at 12 % moisture and E kcal ME/kg of dry matter allows L / (0.88 E) per kcal:
    the food's own moisture counts for the limits of energy alone.
    """
    moisture = context.guarantee("moisture")
    statement = statement_of(context)
    printed = statement.facts.kcal_per_kg
    kcal = printed or statement.kcal_per_kg
    if kcal is None:
        return None
    basis = data(_DATA)["basis"]
    dry = 1 - basis["moisture"] / 100
    if limit["nutrient"] == ENERGY:
        if moisture is None or moisture.unit != "%" or not 0 <= moisture.value < 100:
            return None
        water = float(moisture.value) / 100
        wet = "wet" in limit and water * 100 >= basis["wet-from"]
        at = 1 - basis["wet-moisture"] / 100 if wet else dry
        bound = {**limit, "at-most": limit["wet"]} if wet else limit
        value = kcal / (1 - water) * at
        span = context.label.energy.span if context.label.energy else moisture.span
        slack = tolerance(context.market, ENERGY, value).below or 0
        return _judged(purpose, bound, value, span, slack if printed else None)
    given = context.guarantee(limit["nutrient"])
    amount = in_unit(given, limit["unit"]) if given and given.basis == "as fed" else None
    if given is None or amount is None:
        return None
    if limit["unit"] == "%":
        return _judged(purpose, limit, float(amount), given.span, _slack(context, given))
    per_dry = limit.get("kcal", basis["kcal-per-kg-dry-matter"])
    value = float(amount) / kcal * dry * per_dry
    slack = _slack(context, given) / max(float(given.value), 1e-9) * value
    return _judged(purpose, limit, value, given.span, slack if printed else None)


def _judged(
    purpose: Purpose, limit: Mapping[str, Any], value: float, span: Span, slack: float | None
) -> Observation | None:
    """Returns that a figure, in the unit of its limit per kg of complete feed, is beyond it; sure
    beyond the slack, and never without one (the energy is worked out, and not printed)."""
    side = "at-most" if "at-most" in limit else "at-least"
    beyond = value - limit[side] if side == "at-most" else limit[side] - value
    if beyond <= 0:
        return None
    values = {
        **_values(purpose),
        "nutrient": name_of(limit["nutrient"]),
        "value": number(value),
        "limit": f"{side.replace('-', ' ')} {limit[side]}",
        "unit": limit["unit"],
    }
    sure = slack is not None and beyond > slack
    certainty = Certainty.PROVEN if sure else Certainty.POSSIBLE
    return Observation(span, certainty, values, "" if sure else "about", rests_on=("guarantees",))


def _slack(context: LabelContext, given: Guarantee) -> float:
    """Returns the tolerance of a printed figure, in its own unit: annex IV's, else the deviation
    that the list allows."""
    value = float(given.value)
    try:
        margin = tolerance(context.market, given.nutrient or "", value)
        widest = max(margin.below or 0, margin.above or 0)
    except (KeyError, ImpossibleFigure):
        widest = 0
    return float(widest or value * data(_DATA)["deviation"] / 100)
