"""The panel file that a batch sheet supports."""

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.catalogue import files
from panellint.core.errors import PanellintError
from panellint.core.findings import FileFindings
from panellint.core.numbers import number, read_number
from panellint.core.phrases import capital, listed
from panellint.core.source import Source
from panellint.ingredients.own_names import supports
from panellint.label.model import Label
from panellint.label.statements import species_in, stages_in
from panellint.lint.engine import lint
from panellint.maker.balance import balance
from panellint.maker.context import Item, formula_of, label_of, weighed, with_batch
from panellint.maker.declare import entries, guarantees
from panellint.maker.declare.promises import in_words, tiers
from panellint.maker.model import Batch
from panellint.maker.reconcile import reconcile
from panellint.maker.reconcile.adequacy import adequacy_of
from panellint.maker.reconcile.data import analysis_data, sheet_data
from panellint.output.findings.json import file_data
from panellint.output.render_options import CAUTION
from panellint.output.views.balance import sentence as sentence_of_balance
from panellint.results.batch import Declaration, EarnedName
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

_UNIT = re.compile(r"(?P<unit>[^\W\d]+)\D*?(?P<grams>[\d.,]+)\s*g\b", re.IGNORECASE)
_COMPLETE = ("formulated", "complete")


@dataclass(frozen=True, slots=True)
class Product:
    """What a formula does not say of the food: words for the label. Empty fields are taken from
    the sheet's facts. `unit` is a familiar unit with its weight ("cup 110 g"). `stage` is a
    life stage in words; `complete` that the food is meant to meet the profile."""

    name: str = ""
    species: str = ""
    form: str = ""
    stage: str = ""
    unit: str = ""
    complete: bool = False


@dataclass(frozen=True, slots=True)
class Declared:
    """A panel file with what stands behind it: the label of its components, the names that were
    tried, what the reader must know or do yet, what `lint` says of the file, how it reads, and
    what the recipe does not bear of it."""

    text: str
    context: LabelContext
    tiers: tuple[EarnedName, ...]
    notes: tuple[str, ...]
    linted: FileFindings
    label: Label
    faults: tuple[str, ...] = ()

    def to_dict(self) -> Declaration:
        """Returns the object of `declare --format json`."""
        return {
            "panel": self.text,
            "names": list(self.tiers),
            "notes": list(self.notes),
            "caution": CAUTION,
            "analysis": analysis_data(self.context),
            "sheet": sheet_data(self.context),
            "lint": file_data(self.linted)["findings"],
        }


def declare(
    batch: Batch,
    product: Product,
    settings: Settings,
    margin: float = 1.0,
    worst: bool = False,
    percentages: str = "",
    path: str = "-",
    force: bool = False,
    languages: tuple[str, ...] = (),
) -> Declared:
    """Returns the label of a batch under the market of `settings`; `languages` are codes.
    `panellint.api.declare` says the rest."""
    market = settings.market_for(batch.facts.get("market"))
    settings = settings.with_market(market)
    product = _filled(batch, product)
    if not product.species:
        raise PanellintError(f"{batch.path}: no species is stated (--species dog or cat)")
    facts = {"species": product.species, "form": product.form, "market": market}
    text = _written("head.panel.j2", product=product, market=market)
    head = LabelContext(Source(text, path), settings)
    formula, finished_known = formula_of(batch, head)
    if not finished_known:
        raise PanellintError(
            f"{batch.path}: what the finished food holds is not known: state its moisture or the "
            "yield in the sheet (Finished moisture: 8 %), or with --moisture or --yield"
        )
    items = entries.items_of(formula, market, grouped=head.edition == "modernised")
    if not items:
        raise PanellintError(f"{batch.path}: nothing is left to declare")
    tried = tuple(tiers(items, formula, settings, facts))
    if not product.name:
        product = replace(product, name=_best(tried, product.species))
    context = label_of(items, formula, settings, name=product.name, facts=facts, path=path)
    europe = market in data("data/batch")["additives"]["markets"]
    which = percentages or ("named" if europe else "none")
    items = entries.with_percentages(
        items, _named(context) if which == "named" else frozenset(), which
    )
    known = _known(context, product, items, europe, margin, worst)
    text = _written("label.panel.j2", **known)
    spoken = _spoken(languages, europe)
    if spoken:
        read = LabelContext(Source(text, path), settings)
        text += _written("languages.panel.j2", read=read, languages=spoken, **known)
    linted = lint(Source(text, path), settings)
    written = with_batch(Source(text, path), batch, settings)
    left = not_shown(written) if product.complete else []
    known |= {"left": left, "languages": spoken, "leaves": written.leaves}
    notes = (*in_words(tried), *_written("notes.txt.j2", **known).splitlines())
    faults = not_borne(written, linted)
    if faults:
        if not force:
            words = "\n".join(f"  {fault}" for fault in faults)
            raise PanellintError(
                f"{batch.path}: this recipe does not bear such a label; --force writes it with "
                f"these findings as notes:\n{words}"
            )
        text += "".join(f"\n{entries.wrapped(f'Note: {fault}')}\n" for fault in faults)
    return Declared(text, context, tried, notes, linted, written.label, tuple(faults))


def _filled(batch: Batch, product: Product) -> Product:
    """Empty fields from the facts of the sheet."""
    facts = batch.facts
    name = product.name or facts.get("product_name", "")
    stated = product.species or facts.get("species", "") or name
    stage = product.stage or facts.get("life_stage", "")
    stages = stages_in(stage) if stage else ()
    return Product(
        name=name,
        species=species_in(stated) or "",
        form=product.form or facts.get("form", ""),
        stage=stages[0] if stages else stage,
        unit=product.unit or facts.get("unit_weight", ""),
        complete=product.complete or facts.get("route", "").lower() in _COMPLETE,
    )


def _best(tried: tuple[EarnedName, ...], species: str) -> str:
    """The best name that the first ingredient of an animal earns, else the first that any does."""
    earned = next((name for name in tried if name["earned"]), None)
    return earned["name"] if earned else f"Food for {species.title()}s"


def _named(context: LabelContext) -> frozenset[str]:
    """The declared names (lower case) that the product's name stresses."""
    return frozenset(
        entry.name.lower()
        for promise in context.promises
        for named in promise.named
        for entry in context.declaration.ingredients
        if entry.match and supports(named.match.known, entry.match.known, entry.name)
    )


def _known(
    context: LabelContext,
    product: Product,
    items: tuple[Item, ...],
    europe: bool,
    margin: float,
    worst: bool,
) -> dict[str, Any]:
    """What the label and its notes are written from, by the names of the templates."""
    formula = weighed(context).formula
    unit = _UNIT.search(product.unit) if product.unit else None
    return {
        "product": product,
        "market": context.market,
        "europe": europe,
        "worst": worst,
        "formula": formula,
        "declaration": entries.sentence(items),
        "constituents": guarantees.eu_constituents(context) if europe else "",
        "guarantees": [] if europe else list(guarantees.us_guarantees(context, margin, worst)),
        "additives": list(guarantees.additives(context)) if europe else [],
        "kcal": guarantees.kilocalories(context),
        "unit": unit["unit"] if unit else "",
        "grams": float(read_number(unit["grams"]) or 0) if unit else 0.0,
        "nutrients": {
            nutrient["id"]: nutrient["names"]
            for nutrient in data("nutrients/nutrients")["nutrients"]
        },
        "balance": sentence_of_balance(balance(formula)),
        "unsaid": list(guarantees.unsaid(context)),
        "has_tiers": bool(data("data/batch")["name_tiers"][context.market]),
        "unknown": [c.name for c in formula.components if c.known is None and c.share],
        "by_tables": any(c.share and not c.own and not c.is_water for c in formula.components),
    }


def _spoken(languages: tuple[str, ...], europe: bool) -> list[dict[str, Any]]:
    """What is printed in other languages than English: statutory words, and names of ingredients.
    Raises PanellintError for a language without statutory words."""
    known = data("words/statutory")["languages"] if europe else {}
    if unknown := [code for code in languages if code not in ("en", *known)]:
        raise PanellintError(f"no words in {listed(unknown)}: there are {listed(known) or 'none'}")
    names = {path.stem: files.read(path)["names"] for path in files.foreign_files()}
    return [
        {"code": code, "words": known[code], "names": names[code]}
        for code in dict.fromkeys(languages)
        if code != "en"
    ]


def _written(template: str, **known: Any) -> str:
    from panellint.output.templates import templates

    folder = Path(__file__).parent / "templates"
    environment = templates(folder, entries.wrapped, listed, number, capital, pages=False)
    return environment.get_template(template).render(known)


def not_borne(context: LabelContext, linted: FileFindings) -> list[str]:
    """Returns the findings on names, hazards and adequacy of a label beside its batch, as words;
    which rules and checks count, and at which severity, stands in the data."""
    kinds = data("data/batch")["not_borne"]
    findings = (*linted.findings, *reconcile(context).findings)
    rules = context.settings.rules
    return list(
        dict.fromkeys(
            finding.message
            for finding in findings
            if finding.rule in rules
            and finding.severity
            in kinds.get(finding.rule, kinds.get(rules[finding.rule].check, ()))
        )
    )


def not_shown(context: LabelContext) -> list[str]:
    """Returns the nutrients of the profile that the figures at hand leave open: no figure, or a
    range on both sides of the limit."""
    judged = adequacy_of(context)
    if judged is None:
        return []
    left = [limit.limit.nutrient for limit in judged[1] if limit.verdict in ("open", "unknown")]
    return [nutrient.replace("-", " ") for nutrient in dict.fromkeys(left)]
