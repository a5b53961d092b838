"""The checks by name, and where each one is kept.

A rule names its check; the function is imported when the rule first runs. A check is
`check(context, rule) -> Iterable[Observation]` and knows neither severity nor wording. To add
one: write the function in `panellint/lint/checks/`, name it here, and state in
rules/data/checks.yaml what its rules may give. Other packages add theirs
through the entry-point group `panellint.checks`, which is looked at only for a name that is
not in this table.
"""

from collections.abc import Callable, Iterable
from enum import StrEnum
from functools import cache
from importlib import import_module
from typing import Any, NamedTuple

from panellint.core.errors import PanellintError, UnknownName
from panellint.core.findings import Observation
from panellint.rulepacks.data import DECLARATIONS, data
from panellint.rulepacks.parameters import Declaration, declared

GROUP = "panellint.checks"

#: The check that judges waivers; it looks at the findings, so `lint` runs it after all others.
WAIVER = "waiver"


class Needs(StrEnum):
    """What a check looks at; it runs, and is imported, only where that is there."""

    LABEL = "label"
    BATCH_SHEET = "batch sheet"
    NAMED_SHEET = "name of a batch sheet"


#: Check name -> "module:function", in the order of the alphabet.
CHECKS: dict[str, str] = {
    "absent-claim": "panellint.lint.checks.absence:check",
    "additive-amount": "panellint.lint.checks.additives:without_amount",
    "additive-maximum": "panellint.lint.checks.additives:maximum",
    "additive-misplaced": "panellint.lint.checks.additives:misplaced",
    "additive-number": "panellint.lint.checks.additives:disagreeing",
    "additive-unauthorised": "panellint.lint.checks.additives:unauthorised",
    "additives-said": "panellint.lint.checks.additives:stated_for_all",
    "adequacy-contradiction": "panellint.lint.checks.adequacy:contradiction",
    "adequacy-large-size": "panellint.lint.checks.adequacy:large_size",
    "adequacy-missing": "panellint.lint.checks.adequacy:missing",
    "adequacy-species": "panellint.lint.checks.adequacy:species",
    "adequacy-stage": "panellint.lint.checks.adequacy:stage",
    "adequacy-wording": "panellint.lint.checks.adequacy:wording",
    "barred-ingredient": "panellint.lint.checks.ingredient:check",
    "binder-or-bulk": "panellint.lint.checks.binders:check",
    "broth-claim": "panellint.lint.checks.claims:broth",
    "calorie-figure": "panellint.lint.checks.calories:figure",
    "calorie-from-guarantees": "panellint.lint.checks.calories:against_guarantees",
    "calorie-household": "panellint.lint.checks.unit_calories:household",
    "calorie-line": "panellint.lint.checks.calories:line",
    "calorie-package": "panellint.lint.checks.unit_calories:package",
    "calorie-reach": "panellint.lint.checks.nutrition:energy",
    "calorie-unit-weight": "panellint.lint.checks.calories:unit_weight",
    "category-mixing": "panellint.lint.checks.composition:mixing",
    "category-permitted": "panellint.lint.checks.composition:permitted",
    "claim-class": "panellint.lint.checks.claim_words:classed",
    "claim-energy-limit": "panellint.lint.checks.claim_limits:energy",
    "claim-fat-limit": "panellint.lint.checks.claim_limits:fat",
    "claim-of-less": "panellint.lint.checks.claim_limits:compared",
    "claim-words": "panellint.lint.checks.claim_words:claimed",
    "claimed-share": "panellint.lint.checks.named_share:claimed_share",
    "code-share": "panellint.lint.checks.named_share:code_share",
    "constituent-bound": "panellint.lint.checks.constituents:as_declared",
    "constituent-missing": "panellint.lint.checks.constituents:missing",
    "constituent-moisture": "panellint.lint.checks.constituents:moisture",
    "constituent-name": "panellint.lint.checks.constituents:other_names",
    "declaration-missing": "panellint.lint.checks.text_faults:no_declaration",
    "declared-twice": "panellint.lint.checks.duplicates:check",
    "dietetic-declarations": "panellint.lint.checks.dietetic:declared",
    "dietetic-implied": "panellint.lint.checks.dietetic:implied",
    "dietetic-length": "panellint.lint.checks.dietetic:length",
    "dietetic-limit": "panellint.lint.checks.dietetic:limit",
    "dietetic-purpose": "panellint.lint.checks.dietetic:purpose",
    "dietetic-sentences": "panellint.lint.checks.dietetic:sentence",
    "dietetic-type": "panellint.lint.checks.dietetic:kind",
    "dish-claim": "panellint.lint.checks.claims:dish",
    "doubled-word": "panellint.lint.checks.text_faults:doubled_word",
    "editions-mixed": "panellint.lint.checks.special_claims:both_forms",
    "emphasis-in-category": "panellint.lint.checks.composition:stressed_nowhere",
    "emphasis-percentage": "panellint.lint.checks.composition:emphasis",
    "fact-not-understood": "panellint.lint.checks.unknown_facts:not_understood",
    "feed-type": "panellint.lint.checks.required_parts:feed_type",
    "first-ingredient-claim": "panellint.lint.checks.claims:first_ingredient",
    "formula-clash": "panellint.lint.checks.formulas:clash",
    "further-guarantee-bound": "panellint.lint.checks.further_guarantees:bounds",
    "further-guarantee-order": "panellint.lint.checks.further_guarantees:order",
    "further-guarantee-units": "panellint.lint.checks.further_guarantees:units",
    "glycaemic-starch": "panellint.lint.checks.starch:check",
    "guarantee-bound": "panellint.lint.checks.guarantees:bound",
    "guarantee-claimed": "panellint.lint.checks.special_claims:without_guarantee",
    "guarantee-disclaimer": "panellint.lint.checks.further_guarantees:unmarked",
    "guarantee-figures": "panellint.lint.checks.guarantees:figures",
    "guarantee-missing": "panellint.lint.checks.guarantees:missing",
    "guarantee-order": "panellint.lint.checks.guarantees:order",
    "guarantee-pair": "panellint.lint.checks.further_guarantees:pair",
    "guarantee-source": "panellint.lint.checks.nutrient_sources:without_source",
    "guarantee-sum": "panellint.lint.checks.guarantees:sums",
    "hazard": "panellint.lint.checks.hazards:check",
    "heading-languages": "panellint.lint.checks.languages:headings",
    "heading-words": "panellint.lint.checks.required_parts:heading",
    "human-grade-claim": "panellint.lint.checks.claims:human_grade",
    "label-not-read": "panellint.lint.checks.text_faults:not_read",
    "label-part": "panellint.lint.checks.required_parts:part",
    "label-words": "panellint.lint.checks.claim_words:anywhere",
    "life-stage-stated": "panellint.lint.checks.required_parts:stage",
    "limited-claim": "panellint.lint.checks.claims:limited",
    "list-percentage": "panellint.lint.checks.percentages:printed",
    "list-words": "panellint.lint.checks.doubtful_words:listed",
    "lists-differ": "panellint.lint.checks.languages:differing",
    "made-with-claim": "panellint.lint.checks.claims:made_with",
    "market-by-words": "panellint.lint.checks.market_sign:by_words",
    "microorganism-guarantee": "panellint.lint.checks.further_guarantees:by_activity",
    "mineral-ratio": "panellint.lint.checks.nutrition:ratio",
    "misspelt-name": "panellint.lint.checks.doubtful_words:misspelt",
    "moisture-ceiling": "panellint.lint.checks.guarantees:moisture",
    "moisture-of-form": "panellint.lint.checks.guarantees:of_form",
    "name-languages": "panellint.lint.checks.languages:names",
    "name-size-excluded": "panellint.lint.checks.adequacy:size_excluded",
    "named-alone": "panellint.lint.checks.names:alone",
    "named-behind": "panellint.lint.checks.names:behind",
    "named-declared": "panellint.lint.checks.names:declared",
    "named-order": "panellint.lint.checks.names:order",
    "named-percentage": "panellint.lint.checks.named_share:printed_share",
    "named-share": "panellint.lint.checks.named_share:share",
    "natural-claim": "panellint.lint.checks.special_claims:natural",
    "net-quantity-agreement": "panellint.lint.checks.net_quantity:agreement",
    "net-quantity-systems": "panellint.lint.checks.net_quantity:systems",
    "nutrient-sources": "panellint.lint.checks.nutrient_sources:check",
    "official-language": "panellint.lint.checks.languages:official",
    "organic-claim": "panellint.lint.checks.special_claims:organic",
    "percent-falling": "panellint.lint.checks.percentages:falling",
    "percent-reach": "panellint.lint.checks.percentages:short_of_whole",
    "percent-sum": "panellint.lint.checks.percentages:sums",
    "profile-limit": "panellint.lint.checks.nutrition:limit",
    "profile-reach": "panellint.lint.checks.formulas:out_of_reach",
    "purpose-said": "panellint.lint.checks.doubtful_words:purpose",
    "raw-claim": "panellint.lint.checks.claims:raw",
    "sheet-adequacy": "panellint.maker.reconcile.adequacy:adequacy",
    "sheet-calories": "panellint.maker.reconcile.guarantees:calories",
    "sheet-guarantee": "panellint.maker.reconcile.guarantees:guarantees",
    "sheet-hazard": "panellint.maker.reconcile.hazards:hazards",
    "sheet-named": "panellint.maker.reconcile.sheet_reference:named",
    "sheet-not-declared": "panellint.maker.reconcile.listing:not_declared",
    "sheet-not-in-batch": "panellint.maker.reconcile.listing:not_in_sheet",
    "sheet-order": "panellint.maker.reconcile.listing:order",
    "sheet-percentage": "panellint.maker.reconcile.listing:percentage",
    "sheet-settles": "panellint.maker.reconcile.settled:settled",
    "sheet-tail": "panellint.maker.reconcile.listing:tail",
    "single-protein-claim": "panellint.lint.checks.claims:single_protein",
    "species-stated": "panellint.lint.checks.required_parts:species",
    "split-family": "panellint.lint.checks.split:check",
    "statement-against-words": "panellint.lint.checks.required_parts:against_words",
    "statement-foreign": "panellint.lint.checks.required_parts:foreign_statement",
    "text-fault": "panellint.lint.checks.text_faults:fault",
    "undue-capitals": "panellint.lint.checks.doubtful_words:capitals",
    "unknown-name": "panellint.lint.checks.text_faults:unknown_name",
    "unnamed-animal": "panellint.lint.checks.doubtful_words:unnamed_animal",
    "unread-words": "panellint.lint.checks.text_faults:unread_words",
    WAIVER: "panellint.lint.waivers:review",
}

#: The checks that need more than a label; all others need nothing else.
NEEDS = dict.fromkeys(
    (
        "sheet-adequacy",
        "sheet-calories",
        "sheet-guarantee",
        "sheet-hazard",
        "sheet-not-declared",
        "sheet-not-in-batch",
        "sheet-order",
        "sheet-percentage",
        "sheet-settles",
        "sheet-tail",
    ),
    Needs.BATCH_SHEET,
) | {"sheet-named": Needs.NAMED_SHEET}

#: The function that gives a label the batch sheet that is written out in its panel file.
_SHEET_OF_LABEL = "panellint.maker.context:with_written_sheet"


class Check(NamedTuple):
    """A check that is ready to run; `package` is the package it comes from, "" for ours."""

    name: str
    function: Callable[[Any, Any], Iterable[Observation]]
    package: str = ""


def names() -> tuple[str, ...]:
    """Returns every check that can be named: ours and those of installed packages, sorted."""
    return tuple(sorted({*CHECKS, *_foreign()}))


def is_elsewhere(name: str) -> bool:
    """Returns whether a check is at work in `reconcile` alone, where the batch sheet is at hand."""
    return name in NEEDS


@cache
def find(name: str) -> Check:
    """Returns the check of that name, imported. Raises UnknownName, with the nearest name.

    What goes wrong while a package of somebody else is imported is raised as PanellintError that
    names the package.
    """
    if name in CHECKS:
        return Check(name, _imported(CHECKS[name]))
    entry = _foreign().get(name)
    if entry is None:
        from panellint.core.phrases import nearest

        raise UnknownName("check", name, nearest(name, names()))
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


def with_written_sheet(context: Any) -> Any:
    """Returns the context with the batch sheet written out in its panel file, None without one."""
    return _imported(_SHEET_OF_LABEL)(context)


def _imported(place: str) -> Any:
    """Returns what stands at "module:name"."""
    module, _, name = place.partition(":")
    return getattr(import_module(module), name)


def declaration(name: str) -> Declaration | None:
    """Returns what a rule of the check may give; None where a check of another package declares
    nothing: its module states it under `DECLARATIONS`, by the function's name, as
    rules/data/checks.yaml states ours. Raises UnknownName, and PanellintError where the package
    cannot be loaded or states what cannot be read."""
    if name in CHECKS:
        return declared(name, data(DECLARATIONS))
    function, package = find(name)[1:]
    stated = getattr(import_module(function.__module__), "DECLARATIONS", {})
    try:
        return declared(function.__name__, stated) if function.__name__ in stated else None
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise PanellintError(
            f"what check `{name}` of package {package} declares cannot be read: {error!r}"
        ) from error


@cache
def _foreign() -> dict[str, Any]:
    """Returns the entry points of other packages by name; the first by package name wins."""
    from importlib.metadata import entry_points

    points = sorted(
        entry_points(group=GROUP), key=lambda entry: (entry.name, str(entry.dist), entry.value)
    )
    return {entry.name: entry for entry in reversed(points)}
