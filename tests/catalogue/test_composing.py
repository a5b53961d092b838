"""Names that no entry lists: what they are composed of, and what is never guessed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.catalogue import Catalogue, load
from panellint.catalogue.composing import Composed
from panellint.catalogue.model import BARE_STATES, CatalogueEntry
from panellint.core.text import fold_name


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load()


def entry(catalogue: Catalogue, name: str, language: str = "en") -> CatalogueEntry:
    match = catalogue.lookup(name, market="us" if language == "en" else "eu", language=language)
    assert match is not None, name
    return match.known


# printed name | id | kind | source / part / state / treatment
FACTS = """
freeze-dried lamb lung|dried-lamb-lung|organ|sheep/lung/dried/freeze-dried
lamb lung, freeze-dried|dried-lamb-lung|organ|sheep/lung/dried/freeze-dried
dried chicken breast|dried-chicken-breast|muscle-meat|chicken/breast/dried/
freeze-dried turkey hearts|dried-turkey-heart|organ|turkey/heart/dried/freeze-dried
dehydrated organic elk liver|dried-elk-liver|organ|elk/liver/dried/
bison lung powder|dried-bison-lung|organ|bison/lung/dried/
goose hearts|goose-heart|organ|goose/heart/raw/
beef blood meal|beef-blood-meal|by-product|cattle/blood meal/dried/
spray dried chicken plasma|chicken-plasma|by-product|chicken/plasma/dried/
porcine haemoglobin|pork-haemoglobin|by-product|pig/haemoglobin/dried/
pork brain|pork-brain|organ|pig/brain/raw/
hydrolyzed turkey liver|hydrolysed-turkey-liver|palatant|turkey/liver/hydrolysed/
hydrolysed venison|hydrolysed-venison|palatant|deer//hydrolysed/
cooked tuna loin|cooked-tuna|fish|tuna/loin/cooked/
smoked herring fillet|smoked-herring|fish|herring/fillet/smoked/
cooked duck heart|cooked-duck-heart|organ|duck/heart/cooked/
beef short ribs|beef-ribs|muscle-meat|cattle/ribs/raw/
duck thigh|duck|muscle-meat|duck/thigh/raw/
venison leg|venison|muscle-meat|deer/leg/raw/
salmon milt|salmon-milt|fish|salmon/milt/raw/
cod liver|cod-liver|fish|cod/liver/raw/
pork belly|pork-belly|muscle-meat|pig/belly/raw/
rabbit ears|rabbit-ear|by-product|rabbit/ear//
dried kangaroo tendon|dried-kangaroo-tendon|by-product|kangaroo/tendon/dried/
bovine collagen peptides|beef-collagen|by-product|cattle//collagen/
air-dried ostrich|air-dried-ostrich|muscle-meat|ostrich//dried/air-dried
venison jerky|venison-jerky|muscle-meat|deer//jerky/
dried emu broth|dried-emu-broth|broth|emu//dried broth/
emu broth powder|dried-emu-broth|broth|emu//dried broth/
kangaroo broth|kangaroo-broth|broth|kangaroo//broth/
ostrich meal|ostrich-meal|rendered-meal|ostrich//meal/
elk liver flavour|elk-liver-flavour|palatant|elk/liver/flavour/
mechanically deboned emu|mechanically-separated-emu|muscle-meat|emu//mechanically separated/
whole ground pork with bone|ground-pork-with-bone|muscle-meat|pig/with bone/raw/
millet bran|millet-hulls|fibre|millet//hulls/
extract of chamomile|chamomile-extract|herb|chamomile//extract/
pheasant thigh, smoked|smoked-pheasant|muscle-meat|pheasant/thigh/smoked/
""".strip().splitlines()


@pytest.mark.parametrize("line", FACTS)
def test_a_name_is_composed_of_facts(catalogue: Catalogue, line: str) -> None:
    name, id, kind, facts = line.split("|")
    known = entry(catalogue, name)
    assert (known.id, known.kind) == (id, kind)
    composition = catalogue.composition(name)
    assert composition is not None
    assert "/".join(composition) == facts


SOURCES = ["turkey", "duck", "bison", "pork", "lamb", "goat", "venison", "elk", "rabbit", "ostrich"]
PARTS = ["heart", "kidney", "lung", "spleen", "tongue", "liver", "brain", "pancreas"]
STATES = ["", "dried ", "freeze-dried ", "cooked ", "hydrolysed ", "organic "]


@pytest.mark.parametrize(("source", "part"), list(product(SOURCES, PARTS)))
def test_every_part_is_itself_in_every_state(catalogue: Catalogue, source: str, part: str) -> None:
    """One organ never becomes another; a dried one is dry; words come in any order."""
    for state in STATES:
        found = catalogue.composition(f"{state}{source} {part}")
        assert found is not None
        assert found.part == part, state
        known = entry(catalogue, f"{state}{source} {part}")
        assert part in known.id
        moisture = known.range_of("moisture")
        assert moisture is not None
        if "dried" in state:
            assert moisture.high <= 14
            assert entry(catalogue, f"{source} {part} {state}").id == known.id
        if "hydrolysed" not in state:
            assert known.kind == "organ"


@pytest.mark.parametrize(
    "name",
    [
        "chicken rice", "beef chicken", "salmon potato", "chicken of the woods", "white chocolate",
        "low-fat chicken oats", "lung", "dried", "meal of", "guinea pig", "heart rice",
        "Aspergillus oryzae protein", "wild yam", "chicken hydrolysed rice flavour lung",
    ],
)  # fmt: skip
def test_what_cannot_be_composed_is_no_neighbour(catalogue: Catalogue, name: str) -> None:
    match = catalogue.lookup(name)
    assert match is None or match.how == "listed"


def test_what_changes_a_food_is_not_set_aside(catalogue: Catalogue) -> None:
    assert entry(catalogue, "rendered rabbit").kind == "rendered-meal"
    assert entry(catalogue, "rabbit").kind == "muscle-meat"
    assert entry(catalogue, "red onions").id == "onion"
    assert entry(catalogue, "wild blueberries").id == "blueberry"


def test_a_tail_says_what_it_is_preserved_with_or_a_source_of(catalogue: Catalogue) -> None:
    assert entry(catalogue, "poultry fat naturally preserved with mixed tocopherols").id == (
        "poultry-fat"
    )
    assert entry(catalogue, "salmon oil source of DHA").id == "salmon-oil"
    assert entry(catalogue, "mixed tocopherols").id == "mixed-tocopherols"


@pytest.mark.parametrize(
    ("name", "hazard"),
    [
        ("macadamia flour", True),
        ("ground macadamia", True),
        ("macadamia oil", False),
        ("dried leek powder", True),
        ("cooked onion", True),
        ("onion broth", False),
        ("moose liver", True),
        ("dried moose liver", True),
        ("moose liver broth", False),
        ("moose liver flavour", False),
        ("moose heart", False),
    ],
)
def test_a_hazard_belongs_to_the_substance(catalogue: Catalogue, name: str, hazard: bool) -> None:
    known = entry(catalogue, name)
    assert any(one.level != "do not flag" for one in known.hazards) is hazard


def test_nutrients_to_count_on_belong_to_the_substance_too(catalogue: Catalogue) -> None:
    assert "vitamin-a" in entry(catalogue, "dried reindeer liver").carries
    assert not entry(catalogue, "reindeer liver broth").carries
    assert not entry(catalogue, "reindeer kidney").carries
    assert "calcium" in entry(catalogue, "goat with bone").carries
    assert "glucosamine" in entry(catalogue, "ostrich cartilage").carries


def test_kinds_follow_what_a_thing_is_of(catalogue: Catalogue) -> None:
    for name in ("cooked salmon", "canned herring", "smoked trout", "halibut protein"):
        assert entry(catalogue, name).kind == "fish", name
    assert entry(catalogue, "emu liver protein").kind == "organ"
    assert entry(catalogue, "dried emu").kind == "muscle-meat"


def test_latin_names_keep_their_letters(catalogue: Catalogue) -> None:
    assert entry(catalogue, "Bacillus coagulans GBI-30").id == "bacillus-coagulans"
    assert entry(catalogue, "Weizmannia coagulans").id == "bacillus-coagulans"
    assert entry(catalogue, "Bacillus amyloliquefaciens").species == "Bacillus amyloliquefaciens"
    assert (
        entry(catalogue, "Lactiplantibacillus plantarum").id
        == entry(catalogue, "Lactobacillus plantarum").id
    )


@pytest.mark.parametrize(
    ("name", "language", "id"),
    [
        ("Rinderleber, getrocknet", "de", "dried-beef-liver"),
        ("getrocknetes Rindfleisch", "de", "dried-beef"),
        ("poulet déshydraté", "fr", "dried-chicken"),
        ("E320", "de", None),
        ("BHA", "de", "bha"),
        ("Enterococcus faecium", "fr", "enterococcus-faecium"),
    ],
)
def test_states_of_other_languages_and_names_that_all_share(
    catalogue: Catalogue, name: str, language: str, id: str | None
) -> None:
    match = catalogue.lookup(name, market="eu", language=language)
    assert match is not None or id is None
    assert id is None or (match is not None and match.known.id == id)


#: Names of the trade for two parts, and of animals that differ by market.
TWO_PARTS = {"beef-giblets", "beef-thymus", "pork-stomach", "poultry-giblets"}


def composed_beside(catalogue: Catalogue, name: str, id: str) -> Iterator[Composed]:
    """Yields what an English name states where the entry with an id does not claim it."""
    for parse in catalogue._parser.parses(fold_name(name), "us", "en"):
        if parse.source != id and (composed := catalogue._composer.compose(parse)):
            yield composed


def test_one_entry_is_one_thing(catalogue: Catalogue) -> None:
    """No listed name states another animal, another organ or another state than its entry."""
    for known in catalogue:
        if known.origin != "animal" or not known.species:
            continue
        parts: set[str] = set()
        for name in known.names:
            composed = next(composed_beside(catalogue, name, known.id), None)
            if composed is None or not composed.facts:
                continue
            for fact in composed.facts:
                if fact["layer"] == "part" and fact["sorts"].get("*") != "same":
                    parts.add(fact["name"])
                if known.state in BARE_STATES and fact["layer"] == "state":
                    assert fact["name"] == "mechanically separated", (known.id, name)
            one, other = known.species, composed.entry.species
            assert (
                one in catalogue.lineage(other)
                or other in catalogue.lineage(one)
                or ("buffalo" in name)
            ), (known.id, name)
        if known.kind == "organ" and known.id not in TWO_PARTS:
            assert len(parts) <= 1, known.id


words = st.sampled_from(
    "dried freeze-dried raw organic turkey bison lung liver heart broth meal powder flavour oil "
    "cooked smoked hydrolysed ground whole red pea rice protein starch with bone xyz of".split()
)


@given(st.lists(words, min_size=1, max_size=9))
def test_any_words_get_an_answer_that_names_its_facts(found: list[str]) -> None:
    name = " ".join(found)
    match = load().lookup(name)
    if match is not None and match.how == "composed":
        assert "xyz" not in found
        assert match.known.classes[0] == match.known.id
        composition = load().composition(name)
        assert composition is not None
        assert composition.source == match.known.species
