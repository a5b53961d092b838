"""The names that a formula earns, and by how much it falls short of those that it does not.

Every name is put to the rules about names with the weights known; no threshold stands here.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Severity
from panellint.core.phrases import capital, listed
from panellint.core.records import to_data
from panellint.ingredients.own_names import supporting
from panellint.lint.engine import observations
from panellint.maker.context import Item, bare, label_of, weighed
from panellint.maker.formula import Formula
from panellint.results.batch import EarnedName
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings
from panellint.shares.model import Path

#: The checks that judge a name by shares.
_CHECKS = ("named-share", "named-percentage", "named-order", "code-share", "named-declared")

#: A rule that only informs forbids no name.
_FORBID = (Severity.ERROR, Severity.WARNING)


def tiers(
    items: Sequence[Item], formula: Formula, settings: Settings, facts: Mapping[str, str]
) -> Iterator[EarnedName]:
    """For each candidate the tiers, best first, down to the first one that is earned.

    `facts` are those of the label: species, form and market.
    """
    species, market = facts["species"], facts["market"]
    for named in _candidates(items):
        names = [bare(item.name) for item in named]
        for row in data("data/batch")["name_tiers"][market]:
            name = _name(row["name"], names, species)
            context = label_of(items, formula, settings, name=name, facts=facts)
            tried = _tried(context, row)
            if tried is None:
                continue
            earned, why, rule = tried
            given = {"named": names, "name": name, "earned": earned, "why": why, "rule": rule}
            yield to_data(EarnedName, row, **given)
            if earned:
                break


def _candidates(items: Sequence[Item]) -> Iterator[tuple[Item, ...]]:
    """Single ingredients that foods are named for, the heaviest first, then the first two."""
    kinds = data("data/batch")["name_kinds"]
    most = int(data("data/batch")["name_candidates"])

    def of(names: Sequence[str]) -> list[Item]:
        return [
            item
            for item in items
            if not item.members and (known := item.components[0].known) and known.kind in names
        ]

    first, then = of(kinds["first"]), of(kinds["then"])
    singles = list(islice((*first, *then), most))
    yield from ((item,) for item in singles)
    if first and len(first) + len(then) > 1:
        pair = [first[0], (first[1:] or then)[0]]
        if then:
            pair[1] = max(pair[1], then[0], key=lambda item: item.share)
        yield tuple(sorted(pair, key=lambda item: -item.share))


def _name(pattern: str, names: Sequence[str], species: str) -> str:
    animal = {"dog": "Dog", "cat": "Cat"}.get(species, "Pet")
    titled = [" ".join(map(capital, name.split())) for name in names]
    return pattern.format(names=" & ".join(titled), animals=f"{animal}s", animal=animal)


def _tried(context: LabelContext, row: Mapping[str, Any]) -> tuple[bool, str, str] | None:
    """Whether the name is earned, why not, by which rule; None where the words do not make the
    promise that was meant, so that nothing can be said."""
    if not any(promise.tier == row["tier"] for promise in context.promises):
        return None
    covered: set[Path] = set()
    answers = weighed(context).answers
    for rule in context.settings.rules_about(context.kind):
        if rule.check not in _CHECKS or rule.severity.get(Certainty.PROVEN) not in _FORBID:
            continue
        answers.judged.clear()
        if any(seen.certainty is not None for seen in observations(rule, context)):
            why = answers.shortfall()[1] or "the rules about names do not allow it"
            return False, why, rule.id
        for alternatives in answers.judged:
            for conditions in alternatives:
                covered |= {path for condition in conditions for path in condition.weights}
    # A name that no rule about shares has judged (plants, where only animals count) is not earned.
    wanted = {
        entry.path
        for promise in context.promises
        for named in promise.named
        for entry in supporting(named, context.declaration, context.market)
    }
    if row.get("any_share") or (wanted and wanted <= covered):
        return True, "", ""
    return None


def in_words(names: Sequence[EarnedName]) -> Iterator[str]:
    """ "May be called duck recipe for dogs; not duck for dogs: 41 % ..., short of 95 %." """
    by_named: dict[tuple[str, ...], list[EarnedName]] = {}
    for name in names:
        by_named.setdefault(tuple(name["named"]), []).append(name)
    for named, tried in by_named.items():
        earned = next((name for name in tried if name["earned"]), None)
        not_earned = [f"not “{row['name']}”: {row['why']}" for row in tried if not row["earned"]]
        first = f"may be called “{earned['name']}”" if earned else "earns no name"
        yield f"{listed(named)}: {'; '.join([first, *not_earned])}."
