"""What a label proves of the shares of its ingredients, as plain data."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from panellint.analysis.foods import foods_in_text
from panellint.analysis.likely_answers import likely_origins, likely_promise, likely_share
from panellint.analysis.promised_shares import asked_of
from panellint.core.errors import PanellintError
from panellint.core.phrases import capital
from panellint.core.records import to_data
from panellint.label.model import PercentOf
from panellint.results import shares as shapes
from panellint.rulepacks.settings import order_readings
from panellint.shares.model import Condition, ShareAnswers
from panellint.shares.premises import DEFAULT, Premise, chosen
from panellint.shares.rank import as_one, rank_without_water
from panellint.shares.unlisted import is_unlisted

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.ingredients.model import Ingredient
    from panellint.ingredients.product_name import Promise
    from panellint.results.shares import Certificate
    from panellint.shares.solver.formula_set import Formulas
    from panellint.shares.tree import Leaf

#: The checks whose rules say what a tier of a name asks for.
_NAMED_SHARE = frozenset({"named-share", "code-share"})


class AskedPromise(NamedTuple):
    """A promise with the sets of conditions of which it has to meet one, and the rule's id."""

    promise: Promise
    sets: tuple[tuple[Condition, ...], ...]
    rule: str


def shares(
    context: LabelContext,
    premises: Sequence[str] | None = None,
    progress: Callable[[int, int], None] = lambda _done, _total: None,
) -> shapes.Shares:
    """Returns least, most and estimate of each ingredient, the families, the promises of the name.

    `premises` are names of premises; None takes those on by default (fewer where brackets had
    to be mended). Raises PanellintError for a name that is none. Shares are in percent of the
    mix; where no formula fits, `clash` says why and the lists are empty. `progress` is
    called with the number of ingredients that are done, and of all.
    """
    asked = tuple(asked_promises(context))
    formulas = _formulas(context, premises, asked)
    consistent = formulas.consistent
    readings = order_readings(context.market)
    held = [f"{capital(readings)}; least and most hold for both."] if readings else []
    # A name counts as its list does, and formulas weigh as mixed.
    judging = context.answers_of(formulas) if readings else formulas
    return {
        "path": context.source.path,
        "foods_in_text": foods_in_text(context),
        "premises": [str(premise) for premise in formulas.premises],
        "premises_left_out": [
            str(premise) for premise in DEFAULT if premise not in formulas.premises
        ],
        "consistent": consistent,
        "clash": [{"premise": str(line.premise), "words": line.words} for line in formulas.clash],
        "ingredients": _ingredients(context, formulas, progress) if consistent else [],
        "families": list(_families(context, formulas)) if consistent else [],
        "promises": [
            {
                **_promise(promise, judging, formulas.tree.leaves),
                "likely": likely_promise(context, promise.sets),
            }
            for promise in asked
            if consistent
        ],
        "origins": likely_origins(context) if consistent else {},
        "order_in_doubt": bool(readings),
        "notes": [*formulas.notes, *held],
    }


def certificate(context: LabelContext, premises: Sequence[str] | None = None) -> Certificate:
    """Returns the proof of every bound and verdict of `shares`, whole, as fractions."""
    from panellint.analysis.certificate import certificate as proofs_of

    asked = tuple(asked_promises(context))
    formulas = _formulas(context, premises, asked)
    listed = order_readings(context.market)
    sets = {} if listed else {promise.promise.id: promise.sets for promise in asked}
    return proofs_of(context.source.path, formulas, sets)


def promises(context: LabelContext) -> list[shapes.JudgedPromise]:
    """The promises of the name alone, by whatever the case asks about shares: a quick case
    answers without the solver. Each is an element of `promises` of `shares`."""
    if not context.bounds.consistent:
        return []
    return [_promise(promise, context.bounds) for promise in asked_promises(context)]


def _formulas(
    context: LabelContext, premises: Sequence[str] | None, asked: tuple[AskedPromise, ...]
) -> Formulas:
    if premises is None:
        return context.formulas
    try:
        taken = chosen(premises)
    except ValueError as error:
        raise PanellintError(str(error)) from None
    # Of sets of which one must be met, none is sure by itself.
    kept = [
        condition for promise in asked if len(promise.sets) == 1 for condition in promise.sets[0]
    ]
    return context.formulas_under(tuple(premises), kept if Premise.NAME in taken else ())


def asked_promises(context: LabelContext) -> Iterator[AskedPromise]:
    """Yields what each promise asks for, by the first rule of the market that speaks of it."""
    rules = [
        rule
        for rule in context.settings.rules.values()
        if rule.check in _NAMED_SHARE and rule.is_about(context.kind)
    ]
    for promise in context.promises:
        for rule in rules:
            asked = asked_of(promise, context, rule)
            if asked is not None:
                yield AskedPromise(promise, tuple(map(tuple, asked[1])), rule.id)
                break


def _ingredients(
    context: LabelContext, formulas: Formulas, progress: Callable[[int, int], None]
) -> list[shapes.ShareData]:
    shares: list[shapes.ShareData] = []
    answers = context.answers_of(formulas)
    for leaf in formulas.tree.leaves:
        bounds = answers.bounds(leaf.weights)
        likely = likely_share(context, leaf.weights)
        shares.append(
            to_data(
                shapes.ShareData,
                bounds,
                name=leaf.name,
                path=leaf.path,
                group=formulas.tree.entries[leaf.path[:-1]].name if leaf.path[1:] else None,
                rest=leaf.rest,
                listed=not is_unlisted(leaf.ingredient),
                declared=None if leaf.rest else _declared(leaf.ingredient),
                estimate=likely["middle"] if likely else None,
                likely=likely,
                proof={
                    "low": list(bounds.low_proof.sentences),
                    "high": list(bounds.high_proof.sentences),
                },
                rank_without_water=rank_without_water(formulas, leaf.path)
                if _is_fresh(leaf)
                else None,
            )
        )
        progress(len(shares), len(formulas.tree.leaves))
    return shares


def _declared(entry: Ingredient) -> shapes.DeclaredShare | None:
    """Returns the printed part of the food, to half a unit of the last digit."""
    percent = entry.percent
    if percent is None or percent.of is not PercentOf.FOOD:
        return None
    least, most = percent.least, percent.most
    if least is most is None:
        return None
    return {"low": float(least or 0), "high": 100.0 if most is None else float(most)}


def _is_fresh(leaf: Leaf) -> bool:
    """Fresh meat and fish stand high in the list by their water; of others nobody asks."""
    match = leaf.ingredient.match
    return bool(match and match.known.origin == "animal" and match.known.state == "raw")


def _families(context: LabelContext, formulas: Formulas) -> Iterator[shapes.FamilyData]:
    """Families of which two or more different members are declared, in printed order."""
    by_family: dict[str, list[Leaf]] = {}
    for leaf in formulas.tree.leaves:
        match = leaf.ingredient.match
        if match and match.known.family and not leaf.rest:
            by_family.setdefault(match.known.family, []).append(leaf)
    for family, members in by_family.items():
        if len({leaf.name.casefold() for leaf in members}) < 2:
            continue
        family_alone = as_one(formulas, [leaf.path for leaf in members])
        yield to_data(
            shapes.FamilyData,
            family_alone.bounds,
            family=family,
            members=[leaf.name for leaf in members],
            likely=likely_share(context, {leaf.path: 1 for leaf in members}),
            rank_as_one=family_alone.rank,
        )


def _promise(
    asked: AskedPromise, formulas: ShareAnswers, leaves: Sequence[Leaf] = ()
) -> shapes.JudgedPromise:
    promise = asked.promise
    judgement = formulas.judge(*asked.sets)
    return to_data(
        shapes.JudgedPromise,
        promise,
        named=[named.name for named in promise.named],
        rule=asked.rule,
        verdict=judgement.verdict,
        likely=None,
        rests_on=judgement.proof.rests_on,
        proof=judgement.proof.sentences,
        conditions=[
            to_data(
                shapes.ConditionData,
                answer.condition,
                bound="max" if answer.condition.at_most else "min",
                low=answer.bounds.low,
                high=answer.bounds.high,
                verdict=answer.verdict,
            )
            for answer in judgement.conditions
        ],
        examples=[
            to_data(
                shapes.ExampleData,
                leaf,
                4,  # places; a solver's are no truer
                kept=(judgement.kept or {}).get(leaf.path),
                broken=(judgement.broken or {}).get(leaf.path),
            )
            for leaf in (leaves if judgement.kept or judgement.broken else ())
        ],
    )
