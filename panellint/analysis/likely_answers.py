"""What is likely of one label: shares, origins, contents, and the name's promises.

An estimate and no proof. Nothing is given for a label that no formula fits, nor where the
sampling leaves an end of a range unsure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from panellint.analysis.foods import foods_in_text
from panellint.analysis.nutrition_input import calories_clash, ranges_by_shares, statement_of
from panellint.catalogue.model import Range
from panellint.core.once import once
from panellint.core.text import fold
from panellint.nutrition.bounds import undeclared_at_most
from panellint.nutrition.energy import factors
from panellint.nutrition.serialize import to_dict
from panellint.results.nutrition import Assessed, Nutrition

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.nutrition.forms import Form
    from panellint.results.shares import HelpfulQuestion, LikelyPart, LikelyPromise, LikelyRange
    from panellint.shares.likely.likely import Estimate, Likely
    from panellint.shares.model import Condition, Weights

#: Nine of ten foods with such a label lie between the two ends of a likely range.
_OF = 90
#: By difference carbohydrate holds the fibre that crude fibre misses; the last two part it.
_PARTS = ("protein", "fat", "carbohydrate", "ash", "fibre", "starch and sugar", "all fibre")
#: What keeps a sum of energy, kcal per 100 g, above nothing.
_NO_ENERGY = 1e-9


@once
def likely_of(context: LabelContext) -> Likely | None:
    """Returns the samples for a label, drawn once; None where no formula fits."""
    from panellint.analysis.nutrition_input import calculated_kcal
    from panellint.shares.likely.likely import likely

    known = any(entry.match for entry in context.leaves)  # else there is nothing to estimate by
    if context.quick or not known or not context.formulas.consistent:
        return None
    return likely(
        context.formulas,
        context.label.guarantees,
        _form(context),
        calculated_kcal(context),
        sha256(fold(context.source.text).encode(errors="surrogatepass")).digest()[:16],
    )


def _form(context: LabelContext) -> Form:
    """Returns the form; where an analysis leaves the moisture out as one may of a dry food, with no
    more of it than may go unsaid."""
    form, unsaid = context.form, undeclared_at_most(context.market, "moisture")
    if unsaid is None or form.moisture_class not in (None, "dry") or not context.label.guarantees:
        return form
    low = form.moisture_usual.low if form.moisture_usual else 0.0
    return form._replace(moisture_usual=Range(min(low, unsaid), unsaid))


def likely_share(context: LabelContext, weights: Weights) -> LikelyRange | None:
    """Returns the likely range of a weighted sum of entries, percent of the mix."""
    likely = likely_of(context)
    return _range(likely.share(weights)) if likely else None


def likely_promise(
    context: LabelContext, sets: Iterable[Sequence[Condition]]
) -> LikelyPromise | None:
    """Returns how many of the foods with such a label meet one of the sets of conditions."""
    likely = likely_of(context)
    return {"kept": round(likely.kept(sets), 2)} if likely else None


def likely_origins(context: LabelContext) -> Mapping[str, LikelyRange | None]:
    """Returns what is animal, plant and other, percent of the mix; declared water is apart."""
    likely = likely_of(context)
    if likely is None:
        return {}
    weights: dict[str, dict[tuple[int, ...], int]] = {"animal": {}, "plant": {}, "other": {}}
    tree = context.formulas.tree
    for leaf in tree.leaves:
        if leaf.rest or leaf.index in tree.water:
            continue
        known = leaf.ingredient.match.known if leaf.ingredient.match else None
        origin = known.origin if known and known.origin in weights else "other"
        weights[origin][leaf.path] = 1
    return {name: _range(likely.share(paths)) if paths else None for name, paths in weights.items()}


def likely_parts(context: LabelContext) -> dict[str, LikelyPart]:
    """Returns the likely contents of the food by part, on each basis."""
    likely = likely_of(context)
    if likely is None:
        return {}

    def on(part: str, basis: str) -> LikelyRange | None:
        return _range(likely.figure(_content(part, basis)))

    return {
        part: {
            "as_fed": on(part, "as_fed"),
            "dry_matter": on(part, "dry_matter"),
            "energy_share": on(part, "energy_share") if part in factors() else None,
        }
        for part in _PARTS
    }


def _content(part: str, basis: str) -> Callable[[Mapping[str, Any]], Any]:
    """Returns what makes a content on a basis of the parts of foods."""
    per_gram = factors()
    if basis == "dry_matter":
        return lambda food: 100 * food[part] / (100 - food["moisture"])
    if basis == "energy_share":
        # A food without any energy (a list of salts) has no shares of it: all are nothing.
        return lambda food: (
            100
            * per_gram[part]
            * food[part]
            / sum([factor * food[name] for name, factor in per_gram.items()], _NO_ENERGY)
        )
    return lambda food: food[part]


def helpful_questions(
    context: LabelContext, part: str = "carbohydrate", basis: str = "dry_matter"
) -> list[HelpfulQuestion]:
    """Returns what to ask the maker, by how far the answer would narrow the likely range of a part
    on a basis; the most helpful first."""
    likely = likely_of(context)
    if likely is None:
        return []
    from panellint.shares.likely.evidence import model

    limits = model()["questions"]
    asked = [
        (
            f"What is the typical {asked_part} (percent as fed)?",
            likely.samples(_content(asked_part, "as_fed")),
        )
        for asked_part in ("ash", "fibre", "moisture", "fat", "protein")
        if asked_part != "ash" or all(line.nutrient != "ash" for line in context.label.guarantees)
    ]
    leaves = [leaf for leaf in context.formulas.tree.leaves if not leaf.rest]
    asked += [
        (f"What part of the mix is {leaf.name} (percent)?", likely.shares({leaf.path: 1}))
        for leaf in leaves[: limits["first-entries"]]
        if leaf.ingredient.percent is None
    ]
    wanted = likely.samples(_content(part, basis))
    rows: list[HelpfulQuestion] = []
    for words, samples in asked:
        narrows = likely.narrowed(wanted, samples)
        if narrows >= limits["worth-asking"]:
            rows.append(
                {
                    "ask": words,
                    "narrows": round(narrows, 2),
                    "to": round(likely.width(wanted) * (1 - narrows), 1),
                    "part": part,
                    "basis": basis,
                }
            )
    return sorted(rows, key=lambda row: (-row["narrows"], row["ask"]))


def _range(estimate: Estimate) -> LikelyRange | None:
    """Returns a range as it is printed; None where its ends are unsure."""
    if not estimate.is_known():
        return None
    places = 1 if estimate.high >= 1 else 3 if estimate.high >= 0.01 else 6
    return {
        "low": round(estimate.low, places),
        "middle": round(estimate.middle, places),
        "high": round(estimate.high, places),
        "of": _OF,
    }


def assessed_of(context: LabelContext) -> Assessed:
    """Returns all that the figures of a label allow."""
    assessment = statement_of(context)
    likely = likely_parts(context).get("carbohydrate")
    assessed = to_dict(assessment, ranges_by_shares(context, assessment), likely)
    if words := calories_clash(context):
        assessed["notes"].insert(0, words)
    return assessed


def nutrition(context: LabelContext) -> Nutrition:
    """Returns the same with the label's path and name, what is likely, and what to ask the maker:
    the object of `nutrition --format json`."""
    return {
        "path": context.source.path,
        "foods_in_text": foods_in_text(context),
        "name": context.label.product_name or None,
        **assessed_of(context),
        "likely": likely_parts(context),
        "questions": helpful_questions(context),
    }
