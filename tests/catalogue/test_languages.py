"""Names in other languages: how many, one thing each, and what rests on those from memory."""

from __future__ import annotations

from collections import defaultdict

import pytest

from panellint import api
from panellint.catalogue import files, load
from panellint.catalogue.compile import entries
from panellint.core.text import fold_name

NEW = ("pl", "pt", "sv", "da", "cs", "fi")


def printed() -> dict[str, dict[str, set[str]]]:
    """The ids that claim each folded name, by language or region, as the files have them."""
    claims: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for _, id, fields in entries():
        names = fields.get("names", [])
        for language, listed in (names if isinstance(names, dict) else {"en": names}).items():
            for name in listed:
                claims[language][fold_name(str(name))].add(id)
    for path in files.foreign_files():
        data = files.read(path)
        for id, listed in data["names"].items():
            for name in listed:
                claims[data["language"]][fold_name(str(name))].add(id)
    return claims


def test_no_two_entries_share_a_name_in_one_market_and_language() -> None:
    claims = printed()
    for language, names in claims.items():
        base = language.partition("-")[0]
        for name, ids in names.items():
            both = ids if base == language else ids | claims[base].get(name, set())
            assert len(both) == 1, (language, name, both)


@pytest.mark.parametrize("language", NEW)
def test_each_language_has_the_commoner_ingredients(language: str) -> None:
    names = printed()[language]
    assert len(names) >= 250
    assert len(set().union(*names.values())) >= 250


@pytest.mark.parametrize(
    ("language", "name", "id"),
    [
        ("pl", "suszone mięso z indyka", "dried-turkey"),
        ("pl", "mięso i produkty pochodzenia zwierzęcego", "meat-and-animal-derivatives"),
        ("pt", "farinha de frango", "chicken-meal"),
        ("pt", "polpa de beterraba", "beet-pulp"),
        ("sv", "torkat lammkött", "dried-lamb"),
        ("sv", "ärtstärkelse", "pea-starch"),
        ("da", "hydrolyseret kyllingeprotein", "hydrolysed-chicken"),
        ("da", "kød og animalske biprodukter", "meat-and-animal-derivatives"),
        ("cs", "kuřecí tuk", "chicken-fat"),
        ("cs", "sušené vejce", "dried-egg"),
        ("fi", "kananmaksa", "chicken-liver"),
        ("fi", "juurikasleike", "beet-pulp"),
    ],
)
def test_names_as_labels_print_them(language: str, name: str, id: str) -> None:
    match = load().lookup(name, market="eu", language=language)
    assert match is not None
    assert match.known.id == id


@pytest.mark.parametrize(
    ("language", "names"),
    [
        ("pl", "cebula czosnek kakao czekolada ksylitol winogrona rodzynki kawa chmiel por"),
        ("pt", "cebola alho cacau chocolate xilitol uvas passas café lúpulo abacate"),
        ("sv", "lök vitlök kakao choklad xylitol vindruvor russin kaffe humle purjolök"),
        ("da", "løg hvidløg kakao chokolade xylitol vindruer rosiner kaffe humle porre"),
        ("cs", "cibule česnek kakao čokoláda xylitol hrozny rozinky káva chmel pórek"),
        ("fi", "sipuli valkosipuli kaakao suklaa ksylitoli viinirypäle rusina kahvi humala purjo"),
    ],
)
def test_what_harms_is_known_in_the_new_languages(language: str, names: str) -> None:
    for name in names.split():
        match = load().lookup(name, market="eu", language=language)
        assert match is not None, name
        assert any(one.level in ("error", "warning") for one in match.known.hazards), name


def test_what_rests_on_names_from_memory_is_a_warning_at_most() -> None:
    label = "Market: EU\nLanguage: {}\nSpecies: dog\nIngredients: {}\n"
    weights = {
        language: [
            one["severity"]
            for one in api.lint(label.format(language, names))["findings"]
            if one["rule"] == "hazard"
        ]
        for language, names in (("de", "Huhn, Reis, Xylit"), ("pl", "kurczak, ryż, ksylitol"))
    }
    assert weights == {"de": ["error"], "pl": ["warning"]}
