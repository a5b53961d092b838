"""Names of other languages that no entry lists: forms before and behind a source, compounds, and
letters written out; from label usage, with no source."""

import pytest

from panellint.catalogue.store import load

NAMES = [
    ("de", "Straußenleber", "ostrich-liver"),
    ("de", "Ziegenlebermehl", "goat-liver-meal"),
    ("de", "Leber vom Rind", "beef-liver"),
    ("de", "Karottenpulver", "dried-carrot"),
    ("de", "Lammlunge gefriergetrocknet", "dried-lamb-lung"),
    ("de", "Huehnerleber", "chicken-liver"),
    ("de", "Ruebenschnitzel", "beet-pulp"),
    ("fr", "oreille d'agneau", "lamb-ear"),
    ("fr", "foie de lapin séché", "dried-rabbit-liver"),
    ("fr", "poudre de tomate", "dried-tomato"),
    ("it", "carne fresca d'anatra", "duck"),
    ("it", "fegato di coniglio", "rabbit-liver"),
    ("es", "corazón de conejo", "rabbit-heart"),
    ("es", "zanahoria en polvo", "dried-carrot"),
    ("nl", "geitenhart", "goat-heart"),
    ("nl", "gedroogde konijnenlever", "dried-rabbit-liver"),
]


@pytest.mark.parametrize(("language", "name", "id"), NAMES)
def test_a_name_is_composed_in_its_language(language: str, name: str, id: str) -> None:
    match = load().lookup(name, market="eu", language=language)
    assert match is not None
    assert match.known.id == id


@pytest.mark.parametrize(
    ("language", "name"),
    [("de", "Erdmandel"), ("de", "Quarzleber"), ("fr", "dinconnu"), ("en", "rinderleber")],
)
def test_a_word_that_is_no_source_stays_unknown(language: str, name: str) -> None:
    assert load().lookup(name, market="eu", language=language) is None
