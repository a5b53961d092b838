"""One food in plain words: what its owner's page, its slide and its row of a range have in common.

Sentences are short and use everyday words; what a label prints stands in them as it is printed.
"""

import os
from collections.abc import Iterator
from typing import Any, NamedTuple

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import helpful_questions, likely_parts, likely_share
from panellint.analysis.nutrition_input import calories_clash, statement_of
from panellint.analysis.shares_report import shares
from panellint.analysis.starch_roles import answers
from panellint.core.phrases import listed
from panellint.ingredients.model import Ingredient
from panellint.nutrition.serialize import target_of
from panellint.output.document import Paragraph, Printed, RangeRow, Text, joined
from panellint.results.likely import HelpfulQuestion, LikelyRange
from panellint.results.nutrition import CarbohydrateTarget
from panellint.results.shares import JudgedPromise
from panellint.rulepacks.data import data
from panellint.tasks.bowl import harmful
from panellint.tasks.food import Food, food_of

#: The rule whose limits say what binds; a settings file may change them.
_BINDERS = "starch-as-bulk"


class Owner(NamedTuple):
    """One food as its owner gets it told.

    `group` is complete, other (a topper, a treat, a supplement) or unsaid; `consistent` is False
    where not all that the label says can be true. `meat` is the likely
    part of meat and fish in the mix and `carbohydrate` that of the dry matter, in percent; None
    where nothing can be said. `entries` are the first of the list; `clash` is True where the
    calorie line does not fit the rest.
    """

    context: LabelContext
    food: Food
    name: Printed
    group: str
    consistent: bool
    meat: LikelyRange | None
    carbohydrate: LikelyRange | None
    entries: tuple[RangeRow, ...]
    promises: tuple[JudgedPromise, ...]
    target: CarbohydrateTarget | None
    clash: bool
    helpful: tuple[HelpfulQuestion, ...]

    @property
    def words(self) -> Any:
        """The plain words of `rules/words/sheet.yaml`."""
        return data("words/sheet")

    @property
    def animals(self) -> str:
        """Returns dogs, cats, both, or pets where the label does not say."""
        return listed(f"{kind}s" for kind in self.context.animals) or "pets"


def file_of(context: LabelContext) -> str:
    """Returns the file's name alone: a report is handed on, and folders are nobody's business."""
    return "standard input" if context.source.path == "-" else os.path.basename(context.source.path)


def owner(context: LabelContext) -> Owner:
    """Returns what is to be told of one food."""
    food, proven = food_of(context), shares(context)
    likely = {tuple(share["path"]): share["likely"] for share in proven["ingredients"]}
    complete = food.statement.facts.complete
    aside = complete is False or any(use in data("words/sheet")["uses"] for use in context.uses)
    part = likely_parts(context).get("carbohydrate")
    return Owner(
        context=context,
        food=food,
        name=Printed(context.label.product_name or file_of(context), context.language),
        group="other" if aside else "complete" if complete else "unsaid",
        consistent=proven["consistent"],
        meat=_meat(context) if proven["consistent"] else None,
        carbohydrate=part["dry_matter"] if part else None,
        entries=tuple(_entries(context, likely)),
        promises=tuple(proven["promises"]),
        target=target_of(food.statement, part),
        clash=bool(calories_clash(context)),
        helpful=tuple(helpful_questions(context)),
    )


def _meat(context: LabelContext) -> LikelyRange | None:
    meat = {*data("words/sheet")["meat"], *data("words/sheet")["meat-groups"]}
    weights: dict[tuple[int, ...], int] = {}
    for leaf in sorted(context.formulas.tree.leaves, key=lambda leaf: len(leaf.path)):
        known = leaf.ingredient.match.known if leaf.ingredient.match else None
        counts = known is not None and not meat.isdisjoint((known.kind, known.id))
        # The weight of a group of which only some is named counts for what is in it, too.
        above = sum(weights.get(leaf.path[:depth], 0) for depth in range(1, len(leaf.path)))
        weights[leaf.path] = counts - above
    return likely_share(context, weights) if any(weights.values()) else None


def _entries(
    context: LabelContext, likely: dict[tuple[int, ...], LikelyRange | None]
) -> Iterator[RangeRow]:
    """Yields the first entries of the list, why each is there, and how much is likely."""
    words = data("words/sheet")
    for entry in context.declaration.ingredients[: words["entries"]]:
        band = likely.get(entry.path) if not entry.members else _group(context, entry)
        kind = entry.match.known.kind if entry.match else ""
        what = words["kinds"][kind] if kind else words["unknown"]
        notes = (words["group"] if entry.members else what,)
        low, high = (band["low"], band["high"]) if band else (None, None)
        share = f"likely {band_words(band)}" if band else "the label does not say how much"
        yield RangeRow(Printed(entry.name, context.language), low, high, share, notes)


def _group(context: LabelContext, entry: Ingredient) -> LikelyRange | None:
    return likely_share(context, {entry.path: 1}) if context.formulas.consistent else None


def band_words(band: LikelyRange) -> str:
    """Returns such as "20 to 35 %": whole figures, since a finer one would be false."""
    low, high = f"{band['low']:.0f}", f"{band['high']:.0f}"
    return f"{low} %" if low == high else f"{low} to {high} %"


def what_it_is(owner: Owner) -> Iterator[str]:
    """Yields what the food is, for whom, and whether the label calls it complete."""
    context, words = owner.context, owner.words
    use = next((words["uses"][use] for use in context.uses if use in words["uses"]), "")
    form = words["forms"].get(context.form.id) or context.form.moisture_class or ""
    article = "an" if form[:1] in "aeiou" and form else "a"
    what = use or f"{article} {form} food".replace("  ", " ")
    stages = [words["stages"][stage] for stage in context.stages if stage in words["stages"]]
    yield f"This is {what} for {stages[0].format(owner.animals) if stages else owner.animals}."
    if owner.group == "complete":
        yield "The maker says it is a complete food, one to be fed alone."
        if context.label.adequacy[0].route == "formulated":
            yield "That was worked out on paper. The label names no feeding test."
    elif owner.food.statement.facts.complete is False:
        yield "It is not a complete food. Feed it with a complete food, not in place of one."
    else:
        yield "The label does not say that it is a complete food. Do not feed it alone."


def how_much(owner: Owner) -> Iterator[Paragraph]:
    """Yields the likely meat and carbohydrate, and what the water hides."""
    if owner.meat is not None:
        yield Paragraph(
            f"Meat and fish likely make up {band_words(owner.meat)} of the mix; organs, meals and "
            "by-products count as meat. Fresh meat is weighed with its own water."
        )
    if owner.carbohydrate is not None:
        yield Paragraph(
            "Carbohydrate (starch, sugar and some fibre) likely makes up "
            f"{band_words(owner.carbohydrate)} of the food when its water is left out."
        )
    if owner.target is not None and owner.carbohydrate is not None and owner.group != "other":
        yield Paragraph(_of_target(owner.target))
    if owner.clash:
        yield Paragraph("The calories do not fit the rest of the label. Ask the maker why.")
    if not owner.consistent:
        yield Paragraph("What the label says cannot all be true, so no part can be worked out.")
    elif owner.meat is None and owner.carbohydrate is None:
        yield Paragraph("The label gives too little to say how much meat or starch is in it.")
    else:
        yield Paragraph("Nine of ten foods with such a label lie in these bands. It is no proof.")
    if words := wet_and_dry(owner):
        yield Paragraph(words)


def _of_target(target: CarbohydrateTarget) -> str:
    """Returns where the food stands against what some in the trade aim for."""
    ends = f"{target['low']:g} to {target['high']:g} % of the calories"
    places = {"below": "below that", "within": "there", "above": "above that"}
    place = places.get(target["of_energy"] or "")
    known = f"This food is likely {place}." if place else ""
    sentence = known or "The label does not tell if this food is there."
    return f"Some in the trade aim for {ends} from it. {sentence}"


def wet_and_dry(owner: Owner) -> str:
    """Returns in a sentence or two what the food's water hides; "" where the label does not say."""
    statement = statement_of(owner.context)
    moisture, protein = statement.analysis.moisture, statement.analysis.protein
    dry = statement.dry_matter["protein"]
    if moisture is None or protein is None or dry is None:
        return ""
    water = owner.words["wet_water"]
    if owner.context.form.moisture_class == "wet":
        return (
            f"Up to {moisture:g} % of this food is water. Leave the water out, and its "
            f"{protein:g} % protein is {dry:.0f} %. Set that next to a dry food."
        )
    match = dry * (100 - water) / 100
    return (
        f"Up to {moisture:g} % of this food is water. A wet food that says {match:.0f} % protein "
        "has just as much, once the water is left out."
    )


def promise_words(owner: Owner) -> Iterator[Text]:
    """Yields what the name promises and whether the label settles it."""
    for promise in owner.promises:
        needs = max(condition["needs"] for condition in promise["conditions"])
        bound = promise["conditions"][0]["bound"]
        least = "no more than" if bound == "max" else "at least"
        asks = f"By the rules, such a name needs {least} {needs:g} % of what it names. "
        settled = owner.words["settled"].get(promise["verdict"])
        if settled is None:
            kept = promise["likely"]["kept"] if promise["likely"] else None
            settled = "The label does not settle it."
            if kept is not None:
                settled += f" {_of_ten(kept)} keep it."
        quoted = Printed(promise["text"], owner.context.language)
        yield ("“", quoted, f"”: {asks}{settled}")
    missing = list(_missing(owner.context))
    yield from missing
    if not owner.promises and not missing:
        yield "The name does not promise how much of anything is in it, or that cannot be judged."


def _missing(context: LabelContext) -> Iterator[Text]:
    """Yields what the name names and the list does not declare under that name."""
    for promise in context.promises:
        names = [named.name for named in promise.named if not context.supported[named.span]]
        if names and not promise.tier.startswith("flavour"):
            quoted = Printed(promise.text, context.language)
            yield ("“", quoted, f"”: The list has no {listed(names, 'or')} under that very name.")


def _of_ten(part: float) -> str:
    """Returns such as "About 7 of 10 such foods"."""
    tenths = round(10 * part)
    if tenths in (0, 10):
        return "Nearly all such foods" if tenths else "Few such foods"
    return f"About {tenths} of 10 such foods"


def starch_words(owner: Owner) -> Iterator[Text]:
    """Yields each starch and gum with what it does in this food."""
    rule = owner.context.settings.rules.get(_BINDERS)
    starches = list(answers(owner.context, rule.parameters)) if rule else []
    for answer in starches[: owner.words["starches"]]:
        name = Printed(answer.entry.name, owner.context.language)
        yield (name, f": {owner.words['does'][answer.which]}.")
    if len(starches) > owner.words["starches"]:
        yield f"There are {len(starches) - owner.words['starches']} more, further down the list."
    starchy = [
        Printed(entry.name, owner.context.language)
        for entry in owner.context.leaves
        if entry.match and entry.match.known.kind in owner.words["starchy"]
    ][: owner.words["starches"]]
    if starchy:
        shape = " In such a food it gives the piece its shape, too."
        shaped = owner.context.form.id in owner.words["shaped"]
        yield ("Starch comes with ", *joined(starchy, last=" and "), "." + shape * shaped)
    if not starches:
        yield "No pure starch and no gum is on the list."


def harm_words(owner: Owner) -> Iterator[Text]:
    """Yields what on the list can harm the animal."""
    for kind in owner.context.animals or ("dog", "cat"):
        for harm in harmful(owner.context, kind):
            name = Printed(harm.name, owner.context.language)
            if harm.by_dose:
                yield (name, f" can harm {kind}s if there is too much of it. Ask a vet.")
            else:
                yield (name, f" can harm {kind}s. Ask a vet before you feed this.")


def questions(owner: Owner) -> list[Text]:
    """Returns three questions to the maker, the one that would tell most first."""
    asked: list[Text] = []
    for promise in owner.promises:
        if promise["verdict"] == "open" and not asked:
            named = Printed(" and ".join(promise["named"]), owner.context.language)
            asked.append(("How much ", named, " does it hold, in percent?"))
    asked += [_plain(question["ask"]) for question in owner.helpful[:1]]
    if owner.group == "unsaid":
        asked.append("Is it a complete food, and for which age?")
    elif owner.group == "complete" and owner.context.label.adequacy[0].route == "formulated":
        asked.append("Has this food been fed to animals in a test, and how did they do?")
    asked.append("What does a usual batch hold: protein, fat, fibre, ash and water?")
    asked.append("Who made the recipe, and what did they learn to do so?")
    return list(dict.fromkeys(asked))[: owner.words["questions"]]


def _plain(asked: str) -> str:
    """Returns a question in everyday words."""
    for words, plain in data("words/sheet")["asked"].items():
        asked = asked.replace(words, plain)
    return asked
