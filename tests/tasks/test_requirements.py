"""What a market asks of a label: each requirement ends in exactly one state, and what is in order
is told apart from what was not looked at."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.findings import State
from panellint.core.source import Source
from panellint.lint.runner.files import source_of
from panellint.rulepacks import packs
from panellint.rulepacks.model import Change
from panellint.rulepacks.requirements import requirements
from panellint.rulepacks.settings import Settings, markets
from panellint.tasks.requirements import sheet
from tests.labels.labels import faultless

CORPUS = Path(__file__).parents[2] / "corpus"
#: The packs whose rules are law or code of a market.
LAW = ("us", "eu", "uk", "ca")

LABEL = """\
Product name: Quillbrook Larder Duck & Millet Recipe
For adult dogs

Ingredients: Duck, millet, hemp seed, pumpkin, salt.

Guaranteed analysis
Crude protein (min) 26.0%
Crude fat (min) 14.0%
Crude fiber (max) 5.0%
Moisture (max) 8.0%

Calorie content (calculated): 3,500 kcal/kg, 390 kcal per cup

Nutritional adequacy: Duck & Millet Recipe is formulated to meet the nutritional levels \
established by the AAFCO Dog Food Nutrient Profiles for maintenance.

Feeding directions: Feed 1 cup per 20 lb of body weight of dog daily.

Net weight: 2 lb (907 g)

Manufactured by: Quillbrook Larder, 4 Millrace Lane, Quillbrook, VT 05099
"""


def states(text: str, settings: Settings | None = None) -> dict[str, str]:
    context = LabelContext.of(Source(text, "-"), settings or Settings())
    return {one["id"]: one["state"] for one in sheet(context)["requirements"]}


@pytest.mark.parametrize("market", markets())
def test_every_rule_of_a_market_settles_one_of_its_requirements(market: str) -> None:
    named = Counter(rule for one in requirements(market) for rule in one.rules)
    law = [
        rule.id
        for rule in packs.load().values()
        if rule.pack in LAW and (not rule.applies.market or market in rule.applies.market)
    ]
    assert [rule for rule in law if named[rule] != 1] == []


@pytest.mark.parametrize("market", markets())
def test_requirements_have_ids_of_their_own_and_a_clause(market: str) -> None:
    asked = requirements(market)
    assert len({one.id for one in asked}) == len(asked)
    assert [one.id for one in asked if one.source is None and not one.rules] == []
    assert [one.id for one in asked if one.visible and not (one.rules or one.shows)] == []
    rules = packs.load()
    about = {one.id: [rules[name].applies.market for name in one.rules] for one in asked}
    assert [
        i for i, some in about.items() if some and not any(not m or market in m for m in some)
    ] == []


@pytest.mark.parametrize("label", faultless()[::12], ids=lambda label: label.id)
def test_each_requirement_of_a_label_ends_in_exactly_one_state(label) -> None:
    settings = Settings().with_market(label.market)
    context = LabelContext.of(Source(label.text, label.id), settings)
    data = sheet(context)
    asked = [one.id for one in requirements(label.market)]
    assert [one["id"] for one in data["requirements"]] == asked
    assert sum(data["summary"].values()) == len(data["requirements"])
    for one in data["requirements"]:
        assert one["state"] in set(State)
        assert one["clause"]
        if one["state"] == State.MET:
            assert one["findings"] == []


@pytest.mark.parametrize(
    "name", ["beef-carrot-dehydrated", "lamb-kibble-eu", "chicken-canada-bilingual"]
)
def test_a_faultless_label_has_nothing_to_put_right(name: str) -> None:
    context = LabelContext.of(source_of(str(CORPUS / f"{name}.panel"), None), Settings())
    summary = sheet(context)["summary"]
    assert summary["departs"] == summary["missing"] == summary["not-read"] == 0
    assert summary["met"] >= 9


#: A requirement, the lines of LABEL that hold it (an expression), and copies that cannot be read.
PARTS = {
    "product-name": (r"Product name:.*\nFor adult dogs\n", ()),
    "net-quantity": (
        r"Net weight:.*\n",
        ("N3t we1ght 2 1b (9O7 g)\n", "Net weiqht 2 Ib\n", "Net wt ~~\n"),
    ),
    "maker": (r"Manufactured by:.*\n", ("Manufactvred dy Quillbrook\n",)),
    "feeding-directions": (
        r"Feeding directions:.*\n",
        ("Feedinq directlons ~~ ~~\n", "Fe~ding directi~ns: ~\n"),
    ),
    "ingredient-statement": (r"Ingredients:.*\n", ("lngred1ents Dvck m1llet\n",)),
    "calorie-content": (
        r"Calorie content.*\n",
        ("Calorie content (calculated): 3,5?? kcaI/k9\n", "Ca1orie c0ntent 3,5?? kcaI/k9\n"),
    ),
    "guarantees": (r"Crude fiber.*\n", ("Crude fibcr (max 5.0%\n",)),
    "adequacy-statement": (
        r"Nutritional adequacy:.*\n",
        ("Nutritional adequacy: Duck is forrnu1ated to rneet the nutritiona1 1eve1s.\n",),
    ),
}


@pytest.mark.parametrize("name", PARTS)
def test_a_part_that_is_taken_away_is_missing(name: str) -> None:
    lines, _ = PARTS[name]
    assert states(LABEL)[name] == State.MET
    without, count = re.subn(lines, "", LABEL)
    assert count == 1
    assert states(without)[name] == State.MISSING


COPIES = [(name, copy) for name, (_, copies) in PARTS.items() for copy in copies]


@pytest.mark.parametrize(("name", "copy"), COPIES)
def test_a_copy_that_cannot_be_read_is_not_missing(name: str, copy: str) -> None:
    spoilt, count = re.subn(PARTS[name][0], copy, LABEL)
    assert count == 1
    assert states(spoilt)[name] == State.NOT_READ


def test_nothing_is_due_of_a_bare_list_but_what_concerns_the_list() -> None:
    found = states("chicken, grain products, salt")
    assert found["ingredient-names"] == State.DEPARTS
    assert found["ingredient-praise"] == State.MET
    assert found["calorie-content"] == found["maker"] == State.NOT_DUE


def test_a_text_of_which_nothing_is_read_meets_nothing() -> None:
    assert set(states("").values()) == {State.NOT_READ}


def test_what_hangs_on_an_animal_that_is_not_named_is_open() -> None:
    text = (
        LABEL.replace("For adult dogs\n", "").replace("AAFCO Dog ", "AAFCO ").replace("of dog ", "")
    )
    found = states(text)
    assert found["species"] == State.MISSING
    assert found["adequacy-large-size"] == State.OPEN


def test_settings_switch_off_no_law() -> None:
    settings = Settings(changes={"calorie-line": Change(severity="off")})
    assert states(re.sub("Calorie.*\n", "", LABEL), settings)["calorie-content"] == State.MISSING


def test_a_label_of_one_edition_is_held_against_the_other() -> None:
    settings = Settings().with_market("us", "modernised")
    found = states(LABEL, settings)
    assert found["intended-use"] == State.MISSING
    assert found["guarantee-heading"] == State.DEPARTS
    assert states(LABEL)["intended-use"] == State.NOT_DUE


def test_a_text_off_a_page_owes_nothing_that_only_the_pack_shows() -> None:
    page = "Source: web page\n" + re.sub("(?:Net weight|Manufactured by):.*\n", "", LABEL)
    found = states(page)
    assert found["maker"] == found["net-quantity"] == State.NOT_VISIBLE
    assert found["feeding-directions"] == State.MET
    shop = states(page.replace("Source: web page", "£3.49 In stock. Add to basket"))
    assert shop["maker"] == shop["net-quantity"] == State.NOT_VISIBLE
    pack = states(re.sub("web page", "the bag", page))
    assert pack["maker"] == pack["net-quantity"] == State.MISSING


@pytest.mark.parametrize("label", faultless()[::27], ids=lambda label: label.id)
def test_what_stands_elsewhere_changes_nothing_of_the_other_requirements(label) -> None:
    """A line that is taken away leaves nothing met that was missing or not read with it; where it
    departed, what is left may be in order."""
    settings = Settings().with_market(label.market)
    before = states(label.text, settings)
    for place, line in enumerate(label.text.splitlines(keepends=True)):
        if not line.strip() or place % 4:
            continue
        after = states(label.text.replace(line, "", 1), settings)
        assert after.keys() == before.keys()
        worse = {State.MISSING, State.NOT_READ}
        gained = [i for i in after if before[i] in worse and after[i] == State.MET]
        assert not gained, line


#: What every label of a pet food in the Union shows in words.
SHOWN = (
    "feed-type species composition composition-heading constituents constituent-heading"
    " feeding-instructions net-quantity batch best-before operator"
).split()


@pytest.mark.parametrize(
    "code", ["en", "de", "fr", "es", "it", "nl", "pl", "pt", "sv", "da", "cs", "fi"]
)
def test_the_particulars_of_a_european_label_are_met_in_each_language(code: str) -> None:
    settings = Settings().with_market("eu")
    labels = [
        one for one in faultless() if one.id.startswith((f"eu-{code}-", f"eu3-{code}-", f"{code}-"))
    ]
    full = 0
    for label in labels:
        answer = sheet(LabelContext.of(Source(label.text), settings))
        states = {one["id"]: one["state"] for one in answer["requirements"]}
        full += all(states[id] == "met" for id in SHOWN)
    assert full * 4 >= len(labels) * 2
    assert full >= 5


def test_a_single_material_owes_no_composition_and_its_own_constituents() -> None:
    text = (
        "Product name: Dried Duck Feet\nMarket: EU\nFeed material for dogs\n"
        "Analytical constituents: crude protein 60 %, crude fat 12 %\nNet weight: 100 g\n"
    )
    answer = sheet(LabelContext.of(Source(text)))
    states = {one["id"]: one["state"] for one in answer["requirements"]}
    assert states["composition"] == "not-due"
    assert states["constituents"] == "missing"
