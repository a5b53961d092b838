"""What is a kind of what: one tree that recalls, claims and promises ask."""

from __future__ import annotations

from itertools import pairwise

import pytest

from panellint.catalogue import Catalogue, load

KINGDOMS = {"animal", "plant", "microbial", "mineral", "synthetic", "unknown"}


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load()


def test_every_entry_leads_up_to_a_kingdom(catalogue: Catalogue) -> None:
    for known in catalogue:
        assert known.classes[0] == known.id
        assert known.classes[-1] in KINGDOMS, known.id
        if known.species:
            assert known.species in known.classes, known.id
            assert catalogue.lineage(known.species)[0] in known.classes


@pytest.mark.parametrize(
    ("id", "above"),
    [
        ("beef", "cattle ruminant mammal animal"),
        ("dried-beef-liver", "cattle ruminant mammal animal"),
        ("tuna", "fish seafood animal"),
        ("wheat-gluten", "wheat|gluten cereal|grain|plant"),
        ("duck-fat", "duck poultry bird animal"),
        ("egg", "chicken egg|chicken|poultry|bird|animal"),
        ("pea-starch", "pea|pulse|legume|plant"),
        ("shrimp", "crustacean shellfish seafood animal"),
    ],
)
def test_classes_of_an_entry(catalogue: Catalogue, id: str, above: str) -> None:
    known = catalogue.get(id)
    assert known is not None
    wanted = above.split("|") if "|" in above else above.split()
    assert [one for one in known.classes if one in wanted] == wanted


def test_a_composed_entry_is_of_the_classes_of_its_source(catalogue: Catalogue) -> None:
    match = catalogue.lookup("freeze-dried bison spleen")
    assert match is not None
    assert match.known.classes == ("dried-bison-spleen", "bison", "ruminant", "mammal", "animal")


def test_what_is_a_kind_of_another_does_not_turn_round(catalogue: Catalogue) -> None:
    for known in catalogue:
        above = catalogue.lineage(known.species)
        assert len(set(above)) == len(above)
        for nearer, farther in pairwise(above):
            assert nearer not in catalogue.lineage(farther)


def test_no_two_entries_share_a_name_in_a_market_and_a_language(catalogue: Catalogue) -> None:
    """Every listed name leads back to its own entry in a market that it is listed for."""
    owners: dict[tuple[str, str], set[str]] = {}
    for language in ("de", "en", "es", "fr", "it", "nl"):
        for market in ("us", "eu"):
            region = {"us": f"{language}-us", "eu": f"{language}-gb"}[market]
            for table in (catalogue.table(language), catalogue.table(region)):
                for name in table:
                    id = catalogue.listed(name, market, language)
                    owners.setdefault((f"{language} {market}", name), set()).add(id or "")
    assert len(owners) > 9000
    assert all(len(ids) == 1 for ids in owners.values())


def test_a_cut_is_summed_with_what_it_is_a_cut_of(catalogue: Catalogue) -> None:
    for known in catalogue:
        above = catalogue.known(known.kind_of).family if known.kind_of else ""
        assert not above or above in known.classes, known.id
