"""Published analyses lie in ranges that were made without them; every range is plausible."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest

from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import PARTS, CatalogueEntry
from tests.catalogue.bench import JUDGED, verdicts

#: Kinds of which a name says nothing about the parts.
OPEN = frozenset(
    {
        "acidulant", "amino-acid", "antioxidant", "broth", "category", "colour", "gum", "herb",
        "mineral", "mixed", "other", "palatant", "preservative", "probiotic", "vitamin",
    }
)  # fmt: skip
#: A name that stands for dry and fresh alike, or for a liquid and its powder.
ANY_MOISTURE = 40
TISSUE = frozenset({"muscle-meat", "organ", "by-product", "fish"})


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load()


def middle(entry: CatalogueEntry, part: str) -> float:
    """The middle of a range, percent as added."""
    span = entry.range_of(part)
    assert span is not None
    return (span.low + span.high) / 2


def width(entry: CatalogueEntry, part: str) -> float:
    """The width of a range in percentage points."""
    span = entry.range_of(part)
    assert span is not None
    return span.high - span.low


def most(entry: CatalogueEntry, part: str) -> float:
    """The high end of a range, percent as added."""
    span = entry.range_of(part)
    assert span is not None
    return span.high


def least(entry: CatalogueEntry, part: str) -> float:
    """The low end of a range, percent as added."""
    span = entry.range_of(part)
    assert span is not None
    return span.low


def tissues(catalogue: Catalogue) -> Iterator[CatalogueEntry]:
    """The meats, organs and fish that are not surimi or sausage."""
    mixed = {"surimi", "crab-stick", "fish-paste"}
    for entry in catalogue:
        if entry.kind in TISSUE and entry.id not in mixed:
            yield entry


def test_five_hundred_analyses_lie_in_ranges_made_without_them() -> None:
    judged = verdicts()
    assert len({(one.entry, one.source) for one in judged}) >= 500
    for part in JUDGED:
        inside = [one.inside for one in judged if one.part == part]
        assert sum(inside) >= 0.94 * len(inside), part
    assert sum(one.inside for one in judged) >= 0.96 * len(judged)


def test_most_ranges_with_a_published_analysis_tell_something() -> None:
    silent = {one.entry for one in verdicts() if one.says_nothing and not one.alone}
    assert len(silent) <= 0.06 * len({one.entry for one in verdicts()}), sorted(silent)


def test_the_middles_of_the_parts_sum_to_about_a_hundred(catalogue: Catalogue) -> None:
    odd = {
        entry.id: round(sum(middle(entry, part) for part in PARTS), 1)
        for entry in catalogue
        if entry.kind not in OPEN and width(entry, "moisture") <= ANY_MOISTURE
    }
    assert len(odd) > 1000
    far = {id: total for id, total in odd.items() if not 82 <= total <= 122}
    assert len(far) <= 0.02 * len(odd), far


def test_what_is_dry_holds_little_water(catalogue: Catalogue) -> None:
    for entry in catalogue:
        if entry.kind in OPEN or entry.kind in ("sugar", "humectant", "fruit"):
            continue
        if entry.state in ("dried", "meal", "isolate", "powder", "hulls", "starch"):
            assert most(entry, "moisture") <= 25 or width(entry, "moisture") > ANY_MOISTURE, (
                entry.id
            )


def test_what_is_raw_or_fresh_holds_much_water(catalogue: Catalogue) -> None:
    dense = {"pork-jowl"}
    for entry in catalogue:
        if entry.state in ("raw", "fresh") and entry.kind in (*TISSUE, "vegetable"):
            assert most(entry, "moisture") >= 45 or entry.id in dense, entry.id


def test_animal_tissue_holds_hardly_any_carbohydrate(catalogue: Catalogue) -> None:
    """Glycogen of liver and shellfish; what is made by difference holds the errors of the rest."""
    for entry in tissues(catalogue):
        if entry.state in ("jerky", "cooked") or width(entry, "moisture") > ANY_MOISTURE:
            continue
        if entry.state == "dried" and "mollusc" in entry.classes:
            continue
        assert least(entry, "carbohydrate") <= 0.5 or entry.kind == "organ", entry.id
        assert middle(entry, "carbohydrate") <= 13, entry.id


def test_rendered_meals_hold_ash(catalogue: Catalogue) -> None:
    soft = ("feather", "greaves", "liver", "squid", "meat-meal")
    for entry in catalogue:
        if entry.kind == "rendered-meal":
            assert middle(entry, "ash") >= 10 or any(word in entry.id for word in soft), entry.id
            assert least(entry, "protein") >= 20, entry.id


def test_oils_hold_no_water(catalogue: Catalogue) -> None:
    spreads = {"margarine", "vegetable-oil", "butter"}
    for entry in catalogue:
        if entry.kind == "fat-or-oil" and entry.state in ("oil", "rendered"):
            assert most(entry, "moisture") <= 8 or entry.id in spreads | {"garlic-oil"}, entry.id
            assert most(entry, "fat") >= 90 or entry.id in spreads, entry.id


@pytest.mark.parametrize(
    ("id", "most_fat"),
    [
        ("chicken-breast", 15), ("turkey-breast", 12), ("lean-beef", 15), ("lean-pork", 11),
        ("cod", 9.5), ("haddock", 9.5), ("venison", 31), ("egg-white", 2), ("skim-milk", 2),
        ("low-fat-yogurt", 3.5), ("beef-heart", 10), ("beef-kidney", 9), ("beef-lung", 8),
    ],
)  # fmt: skip
def test_lean_cuts_are_lean(catalogue: Catalogue, id: str, most_fat: float) -> None:
    """9 CFR 317.362: lean meat holds at most 10 g of fat in 100 g; the rest by the food table."""
    entry = catalogue.get(id)
    assert entry is not None
    assert most(entry, "fat") <= most_fat


@pytest.mark.parametrize(
    ("id", "least_fat"),
    [("pork-belly", 30), ("pork-jowl", 30), ("chicken-skin", 15), ("beef-suet", 80), ("lard", 85)],
)
def test_fat_cuts_are_fat(catalogue: Catalogue, id: str, least_fat: float) -> None:
    entry = catalogue.get(id)
    assert entry is not None
    assert least(entry, "fat") >= least_fat


def test_every_kind_of_material_has_entries(catalogue: Catalogue) -> None:
    kinds = Counter(entry.kind for entry in catalogue)
    assert sum(kinds.values()) >= 1400
    assert kinds["muscle-meat"] > 60
    assert kinds["fish"] > 60


def test_what_is_a_kind_of_another_is_of_its_animal_or_plant(catalogue: Catalogue) -> None:
    for entry in catalogue:
        seen = {entry.id}
        above = catalogue.get(entry.kind_of) if entry.kind_of else None
        while above is not None:
            assert above.id not in seen, entry.id
            seen.add(above.id)
            assert not above.species or above.species in entry.classes, (entry.id, above.id)
            above = catalogue.get(above.kind_of) if above.kind_of else None
