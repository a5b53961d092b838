"""Every entry of the catalogue: well formed, sourced, and able to close to 100 %."""

from __future__ import annotations

import pytest
import yaml

from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import PARTS, CatalogueEntry
from panellint.core.files import rules_folder

KINDS = yaml.safe_load((rules_folder() / "ingredients" / "kinds.yaml").read_text("utf-8"))["kinds"]
NUTRIENTS = {
    nutrient["id"]: nutrient["unit"]
    for nutrient in yaml.safe_load(
        (rules_folder() / "nutrients" / "nutrients.yaml").read_text("utf-8")
    )["nutrients"]
}
ORIGINS = {"animal", "plant", "mineral", "microbial", "synthetic", "unknown"}


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load()


@pytest.fixture(scope="module")
def everything(catalogue: Catalogue) -> list[CatalogueEntry]:
    return list(catalogue)


def test_the_catalogue_is_as_large_as_ordinary_labels_need(
    everything: list[CatalogueEntry],
) -> None:
    assert len(everything) >= 450
    assert sum(len(known.names) for known in everything) >= 1600


def test_ids_are_in_order_and_found_again(
    catalogue: Catalogue, everything: list[CatalogueEntry]
) -> None:
    ids = [known.id for known in everything]
    assert ids == sorted(set(ids))
    assert all(catalogue.get(known.id) == known for known in everything)
    assert catalogue.get("no-such-thing") is None


def test_kinds_origins_and_nutrients_are_of_the_vocabulary(
    everything: list[CatalogueEntry],
) -> None:
    for known in everything:
        assert known.kind in KINDS, known.id
        assert known.origin in ORIGINS, known.id
        for nutrient in (*known.supplies, *known.carries):
            assert nutrient in NUTRIENTS, (known.id, nutrient)


def test_every_figure_has_a_source_its_nutrients_unit_and_order(
    everything: list[CatalogueEntry],
) -> None:
    for known in everything:
        for nutrient, figure in known.figures.items():
            assert figure.source.strip(), (known.id, nutrient)
            assert figure.unit == NUTRIENTS[nutrient], (known.id, nutrient)
            assert 0 <= figure.range.low <= figure.range.high, (known.id, nutrient)
            if figure.unit == "%":
                # Crude protein is 6.25 x nitrogen: of gelatin, arginine and urea more than weighs.
                most = known.nitrogen.high if known.nitrogen and nutrient == "protein" else 1
                assert figure.range.high <= 100 * max(1, most) + 1, (known.id, nutrient)


def test_the_six_parts_are_there_and_can_sum_to_a_hundred(everything: list[CatalogueEntry]) -> None:
    for known in everything:
        ranges = [known.range_of(part) for part in PARTS]
        assert all(ranges), known.id
        low = sum(found.low for found in ranges if found)
        high = sum(found.high for found in ranges if found)
        protein = known.range_of("protein")
        assert protein is not None
        factor = max(1, known.nitrogen.high) if known.nitrogen else 1
        assert low <= 100 + protein.high * (1 - 1 / factor), (known.id, low)
        assert high >= 100, (known.id, high)


def test_hazards_binders_and_glycaemic_figures_carry_their_source(
    everything: list[CatalogueEntry],
) -> None:
    for known in everything:
        for hazard in known.hazards:
            assert hazard.species in ("dog", "cat")
            assert hazard.level in ("error", "warning", "note", "do not flag")
            assert hazard.what
            assert hazard.dose
            assert hazard.source
        for binding in known.binding:
            assert binding.function
            assert binding.forms
            assert binding.source
            assert 0 <= binding.usual.low <= binding.usual.high
        for index in known.glycaemic:
            assert 5 <= index.value <= 110
            assert index.form
            assert index.source


@pytest.mark.parametrize(
    ("id", "species", "level"),
    [
        ("xylitol", "dog", "error"),
        ("raisin", "dog", "error"),
        ("macadamia", "dog", "error"),
        ("onion", "cat", "error"),
        ("propylene-glycol", "cat", "error"),
        ("benzoates", "cat", "error"),
        ("garlic", "dog", "warning"),
        ("onion-powder", "dog", "warning"),
        ("carob", "dog", "do not flag"),
        ("blackcurrant", "dog", "do not flag"),
    ],
)
def test_hazards_by_species(catalogue: Catalogue, id: str, species: str, level: str) -> None:
    """Merck/MSD Veterinary Manual; Cortinovis & Caloni 2016; 21 CFR 500.50."""
    known = catalogue.get(id)
    assert known is not None
    assert {h.level for h in known.hazards if h.species == species} == {level}


def test_propylene_glycol_is_no_hazard_of_dogs(catalogue: Catalogue) -> None:
    """21 CFR 582.1666: generally recognised as safe in dog food."""
    known = catalogue.get("propylene-glycol")
    assert known is not None
    assert not [h for h in known.hazards if h.species == "dog"]


@pytest.mark.parametrize(
    ("id", "nutrients"),
    [
        ("zinc-proteinate", ("zinc",)),
        ("beta-carotene", ("beta-carotene",)),
        ("iron-oxide", ()),
        ("ferrous-carbonate", ()),
        ("copper-oxide", ()),
        ("mixed-tocopherols", ()),
        ("thiamine-mononitrate", ("thiamine",)),
        ("salt", ("sodium", "chloride")),
        ("dicalcium-phosphate", ("calcium", "phosphorus")),
    ],
)
def test_what_additives_supply(catalogue: Catalogue, id: str, nutrients: tuple[str, ...]) -> None:
    """Iron and copper from carbonate and oxides do not count (footnotes of the US profiles)."""
    known = catalogue.get(id)
    assert known is not None
    assert known.supplies == nutrients


def test_families_put_the_plant_first_and_the_group_last(catalogue: Catalogue) -> None:
    assert catalogue.known("pea-starch").classes[1:3] == ("peas", "all pulses")
    assert catalogue.known("soybean-hulls").classes[1:3] == ("soy", "cellulose and fibre")
    assert catalogue.known("chicken-fat").family == ""
    known = catalogue.get("pea-fibre")
    assert known is not None
    assert (known.family, known.member) == ("peas", "pea fiber")
