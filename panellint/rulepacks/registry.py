"""The checks by name, and where each one is kept.

A rule names its check; the function is imported when the rule first runs. A check is
`check(case, rule) -> Iterable[Observation]` and knows neither severity nor wording. To add
one: write the function in `panellint/checks/`, and name it here. Other packages add theirs
through the entry-point group `panellint.checks`, which is looked at only for a name that is
not in this table.
"""

from collections.abc import Callable, Iterable
from functools import cache
from importlib import import_module
from typing import Any, NamedTuple

from panellint.errors import PanellintError
from panellint.findings import Observation

GROUP = "panellint.checks"

#: The check that judges waivers; it looks at the findings, so `lint` runs it after all others.
WAIVER = "waiver"

#: Where the checks lie that need a batch sheet.
_RECONCILING = "panellint.reconcile."

#: Check name -> "module:function", in the order of the alphabet.
CHECKS: dict[str, str] = {
    "absent-claim": "panellint.checks.absence:check",
    "additive-amount": "panellint.checks.additives:without_amount",
    "additive-maximum": "panellint.checks.additives:maximum",
    "additive-misplaced": "panellint.checks.additives:misplaced",
    "additive-stressed": "panellint.checks.additives:stressed",
    "additives-said": "panellint.checks.additives:said_of_all",
    "adequacy-contradiction": "panellint.checks.adequacy:contradiction",
    "adequacy-large-size": "panellint.checks.adequacy:large_size",
    "adequacy-missing": "panellint.checks.adequacy:missing",
    "adequacy-species": "panellint.checks.adequacy:species",
    "adequacy-stage": "panellint.checks.adequacy:stage",
    "barred-ingredient": "panellint.checks.ingredient:check",
    "binder-or-bulk": "panellint.checks.binders:check",
    "broth-claim": "panellint.checks.claims:broth",
    "calorie-figure": "panellint.checks.calories:figure",
    "calorie-from-guarantees": "panellint.checks.calories:against_guarantees",
    "calorie-line": "panellint.checks.calories:line",
    "calorie-reach": "panellint.checks.nutrition:energy",
    "calorie-unit-weight": "panellint.checks.calories:unit_weight",
    "category-mixing": "panellint.checks.composition:mixing",
    "category-permitted": "panellint.checks.composition:permitted",
    "claim-energy-limit": "panellint.checks.claim_limits:energy",
    "claim-fat-limit": "panellint.checks.claim_limits:fat",
    "claim-of-less": "panellint.checks.claim_limits:compared",
    "claim-words": "panellint.checks.words:spoken",
    "code-share": "panellint.checks.code_share:check",
    "constituent-bound": "panellint.checks.constituents:as_declared",
    "constituent-missing": "panellint.checks.constituents:missing",
    "constituent-moisture": "panellint.checks.constituents:moisture",
    "constituent-name": "panellint.checks.constituents:other_names",
    "declaration-missing": "panellint.checks.text:no_declaration",
    "declared-twice": "panellint.checks.twice:check",
    "dish-claim": "panellint.checks.claims:dish",
    "editions-mixed": "panellint.checks.special_claims:both_forms",
    "emphasis-in-category": "panellint.checks.composition:stressed_nowhere",
    "emphasis-percentage": "panellint.checks.composition:emphasis",
    "fact-not-understood": "panellint.checks.noted:not_understood",
    "feed-type": "panellint.checks.particulars:feed_type",
    "first-ingredient-claim": "panellint.checks.claims:first_ingredient",
    "formula-clash": "panellint.checks.formulas:clash",
    "further-guarantee-order": "panellint.checks.further_guarantees:order",
    "further-guarantee-units": "panellint.checks.further_guarantees:units",
    "glycaemic-starch": "panellint.checks.starch:check",
    "guarantee-bound": "panellint.checks.guarantees:bound",
    "guarantee-claimed": "panellint.checks.special_claims:without_guarantee",
    "guarantee-disclaimer": "panellint.checks.disclaimers:unmarked",
    "guarantee-figures": "panellint.checks.guarantees:figures",
    "guarantee-missing": "panellint.checks.guarantees:missing",
    "guarantee-order": "panellint.checks.guarantees:order",
    "guarantee-pair": "panellint.checks.further_guarantees:pair",
    "guarantee-source": "panellint.checks.disclaimers:without_source",
    "guarantee-sum": "panellint.checks.guarantees:sums",
    "hazard": "panellint.checks.hazards:check",
    "heading-languages": "panellint.checks.particulars:languages",
    "heading-words": "panellint.checks.particulars:heading",
    "human-grade-claim": "panellint.checks.claims:human_grade",
    "label-part": "panellint.checks.particulars:part",
    "label-words": "panellint.checks.anywhere:check",
    "life-stage-stated": "panellint.checks.particulars:stage",
    "limited-claim": "panellint.checks.claims:limited",
    "list-percentage": "panellint.checks.disclaimers:percentages",
    "list-words": "panellint.checks.words:listed",
    "made-with-claim": "panellint.checks.claims:made_with",
    "mineral-ratio": "panellint.checks.nutrition:ratio",
    "misspelt-name": "panellint.checks.words:misspelt",
    "moisture-ceiling": "panellint.checks.guarantees:moisture",
    "moisture-of-form": "panellint.checks.guarantees:of_form",
    "named-alone": "panellint.checks.names:alone",
    "named-behind": "panellint.checks.names:behind",
    "named-declared": "panellint.checks.names:declared",
    "named-order": "panellint.checks.names:order",
    "named-percentage": "panellint.checks.named_share:printed_share",
    "named-share": "panellint.checks.named_share:share",
    "natural-claim": "panellint.checks.special_claims:natural",
    "nutrient-sources": "panellint.checks.premix:check",
    "organic-claim": "panellint.checks.special_claims:organic",
    "percent-falling": "panellint.checks.composition:falling",
    "percent-reach": "panellint.checks.composition:short_of_whole",
    "percent-sum": "panellint.checks.composition:sums",
    "profile-limit": "panellint.checks.nutrition:limit",
    "profile-reach": "panellint.checks.formulas:out_of_reach",
    "purpose-said": "panellint.checks.words:purpose",
    "raw-claim": "panellint.checks.claims:raw",
    "sheet-adequacy": "panellint.reconcile.gate:adequacy",
    "sheet-calories": "panellint.reconcile.gate:calories",
    "sheet-guarantee": "panellint.reconcile.gate:guarantees",
    "sheet-hazard": "panellint.reconcile.gate:hazards",
    "sheet-named": "panellint.reconcile.gate:named",
    "sheet-not-declared": "panellint.reconcile.gate:not_declared",
    "sheet-not-in-batch": "panellint.reconcile.gate:not_in_sheet",
    "sheet-order": "panellint.reconcile.gate:order",
    "sheet-percentage": "panellint.reconcile.gate:percentage",
    "sheet-settles": "panellint.reconcile.gate:settled",
    "sheet-tail": "panellint.reconcile.gate:tail",
    "single-protein-claim": "panellint.checks.claims:single_protein",
    "species-stated": "panellint.checks.particulars:species",
    "split-family": "panellint.checks.split:check",
    "statement-against-words": "panellint.checks.particulars:against_words",
    "statement-foreign": "panellint.checks.particulars:foreign_statement",
    "text-fault": "panellint.checks.text:fault",
    "undue-capitals": "panellint.checks.words:capitals",
    "unknown-name": "panellint.checks.text:unknown_name",
    "unnamed-animal": "panellint.checks.words:unnamed_animal",
    WAIVER: "panellint.waivers:review",
}


class UnknownCheck(PanellintError):
    """No check has this name; `near` is the nearest that is there, or None."""

    def __init__(self, name: str, near: str | None) -> None:
        super().__init__(name, near)
        self.name = name
        self.near = near

    def __str__(self) -> str:
        tail = f"; did you mean `{self.near}`?" if self.near else ""
        return f"there is no check `{self.name}`{tail}"


class Check(NamedTuple):
    """A check that is ready to run; `package` is the package it comes from, "" for ours."""

    name: str
    function: Callable[[Any, Any], Iterable[Observation]]
    package: str = ""


def names() -> tuple[str, ...]:
    """Every check that can be named: ours and those of installed packages, sorted."""
    return tuple(sorted({*CHECKS, *_foreign()}))


def is_elsewhere(name: str) -> bool:
    """Whether a check is at work in `reconcile` alone, where the batch sheet is at hand."""
    return CHECKS.get(name, "").startswith(_RECONCILING)


def is_known(name: str) -> bool:
    """Whether a check of that name can be found; nothing is imported."""
    return name in CHECKS or name in _foreign()


@cache
def find(name: str) -> Check:
    """The check of that name, imported. Raises UnknownCheck, with the nearest name.

    What goes wrong while a package of somebody else is imported is raised as PanellintError
    that names the package.
    """
    if name in CHECKS:
        module, _, function = CHECKS[name].partition(":")
        return Check(name, getattr(import_module(module), function))
    entry = _foreign().get(name)
    if entry is None:
        from panellint.wording import nearest

        raise UnknownCheck(name, nearest(name, names()))
    package = entry.dist.name if entry.dist else entry.value.partition(".")[0]
    try:
        loaded = entry.load()
    except Exception as error:
        raise PanellintError(
            f"check `{name}` of package {package} cannot be loaded: {type(error).__name__}: {error}"
        ) from error
    if not callable(loaded):
        raise PanellintError(f"check `{name}` of package {package} is not a function")
    return Check(name, loaded, package)


@cache
def _foreign() -> dict[str, Any]:
    """The entry points of other packages by name; the first by package name wins."""
    from importlib.metadata import entry_points

    found = sorted(
        entry_points(group=GROUP), key=lambda entry: (entry.name, str(entry.dist), entry.value)
    )
    return {entry.name: entry for entry in reversed(found)}
