"""What it would take to reach a target: what to add to the food, from `blend`."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import helpful_questions, likely_parts
from panellint.core.errors import NotComputable
from panellint.core.phrases import listed
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.targets import Target
from panellint.results.foods import Blend
from panellint.results.likely import HelpfulQuestion, LikelyRange
from panellint.results.nutrition import Assessed, CarbohydrateData
from panellint.rulepacks.data import data as rule_data
from panellint.tasks.blend import Portion, blend, portion_of, portion_of_known

_RULES = "data/reading"
_SHARE = "energy share"


class Ways(NamedTuple):
    """What may be added so that a target is reached: bowls by what is added, foods of which no
    amount is enough, what else is to be said; `there` is True where nothing need be added."""

    there: bool
    bowls: dict[str, Blend]
    not_enough: tuple[str, ...]
    words: tuple[str, ...]


class Asked(NamedTuple):
    """A target, and by whom it is wished. Where the label does not tell on which side of it the
    food lies, `doubt` is the likely range, and `questions` are what a maker could tell."""

    target: Target
    whose: str
    doubt: LikelyRange | None
    questions: Sequence[HelpfulQuestion]
    ways: Ways | None


def targets(
    context: LabelContext, assessment: Assessment, data: Assessed
) -> tuple[str, list[Asked]]:
    """Returns why no target is asked for ("" where some are), and those that are.

    The targets are those of `rules/data/carbohydrate.yaml`: the trade's for carbohydrate, and
    what animals chose in the first study there for protein.
    """
    if not context.species:
        return "Targets differ for dogs and cats, and the label does not say which it is for.", []
    if apart := [use for use in context.uses if use in rule_data(_RULES)["no-target-for"]]:
        uses = listed(f"a {use}" for use in apart)
        return f"Not asked: it is sold as {uses}, not as a bowl.", []
    try:
        base = portion_of(assessment, "this food")
    except NotComputable as fault:
        return f"Cannot be worked out: {fault.reason}.", []
    asked = [_asked(context, base, *row) for row in _targets(data["carbohydrate"])]
    return "" if asked else "No target is known for this animal.", asked


def _asked(context: LabelContext, base: Portion, target: Target, whose: str) -> Asked:
    part = likely_parts(context).get(target.part)
    energy = part["energy_share"] if part else None
    if energy and energy["low"] <= target.value <= energy["high"]:
        questions = helpful_questions(context, target.part, "energy_share")
        return Asked(target, whose, energy, questions, None)
    return Asked(target, whose, None, (), _ways(base, _added(context), target))


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


def _ways(base: Portion, added: Sequence[Sequence[Portion]], target: Target) -> Ways:
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
    there = any(bowl["share_percent"] == 0 for bowl in possible.values())
    return Ways(there, possible, () if possible else tuple(blends), tuple(dict.fromkeys(words)))
