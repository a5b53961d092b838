"""What it would take to reach a target: what to add to the food, from `blend`."""

from collections.abc import Iterator, Sequence

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import helpful_questions, likely_parts
from panellint.core.errors import NotComputable
from panellint.core.phrases import capital, listed
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.targets import Target
from panellint.output.document import Heading, Paragraph, Table
from panellint.output.likely import helpful_sentences, untold
from panellint.report.blocks import Block
from panellint.report.saying import figure
from panellint.results.foods import Blend
from panellint.results.nutrition import Assessed, CarbohydrateData
from panellint.rulepacks.data import data as rule_data
from panellint.tasks.blend import Portion, blend, portion_of, portion_of_known

_RULES = "data/reading"
_SHARE = "energy share"


def section(context: LabelContext, assessment: Assessment, data: Assessed) -> Iterator[Block]:
    """Yields ways to a carbohydrate and a protein target, or why there are none.

    The targets are those of `rules/data/carbohydrate.yaml`: the trade's for carbohydrate, and
    what animals chose in the first study there for protein.
    """
    yield Heading(2, "To reach a target", "target")
    yield Paragraph(
        "A target is somebody's wish, not a requirement. This shows the arithmetic of adding one "
        "plain food; it is no advice to feed it.",
        "once",
    )
    if not context.species:
        yield Paragraph(
            "Targets differ for dogs and cats, and the label does not say which it is for.",
            "usual",
        )
        return
    if apart := [use for use in context.uses if use in rule_data(_RULES)["no-target-for"]]:
        uses = listed(f"a {use}" for use in apart)
        yield Paragraph(f"Not asked: it is sold as {uses}, not as a bowl.", "usual")
        return
    try:
        base = portion_of(assessment, "this food")
    except NotComputable as fault:
        yield Paragraph(f"Cannot be worked out: {fault.reason}.", "usual")
        return
    targets = list(_targets(data["carbohydrate"]))
    for target, whose in targets:
        yield Heading(3, capital(str(target)))
        yield Paragraph(f"{capital(whose)}.")
        doubt = untold(target.part, likely_parts(context), target.value)
        if doubt:
            yield Paragraph(doubt)
            asked = helpful_questions(context, target.part, "energy_share")
            yield from map(Paragraph, helpful_sentences(asked))
        else:
            yield from _ways(base, _added(context), target)
    if not targets:
        yield Paragraph("No target is known for this animal.", "usual")


def _added(context: LabelContext) -> list[list[Portion]]:
    """Returns what may be added: by food, its cuts from the usual to the leanest."""
    return [
        [portion_of_known(context.catalogue.known(row["id"]), row["name"]) for row in cuts]
        for cuts in rule_data(_RULES)["added"]
    ]


def _targets(carbohydrate: CarbohydrateData) -> Iterator[tuple[Target, str]]:
    trade = carbohydrate["target"]
    if trade:
        yield (
            Target("carbohydrate", _SHARE, trade["high"], "at most"),
            "a rule of the trade without a source, not a requirement",
        )
    for study in carbohydrate["research"]:
        if study["protein"] is not None:
            what = f"what animals ate in one study ({study['what']}; {study['source']})"
            target = Target("protein", _SHARE, study["protein"], "at least")
            yield target, f"{what}, not a requirement"
            return


def _ways(base: Portion, added: Sequence[Sequence[Portion]], target: Target) -> Iterator[Block]:
    blends: dict[str, Blend] = {}
    words: list[str] = []
    for cuts in added:
        tried: dict[str, Blend] = {}
        for portion in cuts:
            try:
                tried[portion.name] = blend(base, portion, target)
            except NotComputable as fault:
                words.append(f"{portion.name}: {fault.reason}")
        # The usual cut that gets there; where none does, the leanest says so.
        enough = [name for name, bowl in tried.items() if bowl["possible"]]
        kept = enough[:1] or list(tried)[-1:]
        blends |= {name: tried[name] for name in kept}
    possible = {name: bowl for name, bowl in blends.items() if bowl["possible"]}
    if any(bowl["share_percent"] == 0 for bowl in possible.values()):
        yield Paragraph("The food is there already; nothing need be added.")
        return
    if blends and not possible:
        reasons = "; ".join(f"{name}: no amount of it is enough" for name in blends)
        yield Paragraph(f"None of these gets there. {capital(reasons)}.")
        return
    if blends:
        headings = (
            "Add", "g per kg of food", "% of bowl", "% of energy", "Energy of the bowl then",
        )  # fmt: skip
        rows = tuple(map(_row, possible, possible.values()))
        yield Table(headings, rows, (1, 2, 3), "What to add to this food", "figures")
    bowls = [bowl["completeness"] for bowl in possible.values()]
    if over := [bowl for bowl in bowls if bowl["over"]]:
        shares = [bowl["incomplete_energy_percent"] or 0.0 for bowl in over]
        low, high = figure(min(shares), 0), figure(max(shares), 0)
        words.append(
            "This food is not complete by itself, and no such bowl would be."
            if base.complete is False
            else f"That way {low if low == high else f'{low} to {high}'} % of the energy comes "
            f"from food that is not complete. More than "
            f"{figure(over[0]['customary_most_percent'])} % (a rule of the trade) can leave the "
            "whole diet short of what a complete food holds: ask a veterinarian or a qualified "
            "nutritionist first."
        )
    if possible:
        words.append(
            "What is added is weighed as it is named; its figures are the means of USDA rows "
            "(`panellint ingredient NAME` lists them)."
        )
    yield from map(Paragraph, dict.fromkeys(words))


def _row(name: str, blend: Blend) -> tuple[str, ...]:
    shares = blend["energy"]["shares"]
    return (
        name,
        figure(blend["added_grams_per_kg_of_base"], 0),
        figure(blend["share_percent"]),
        figure(blend["added_energy_percent"]),
        ", ".join(f"{part} {figure(share)} %" for part, share in shares.items()),
    )
