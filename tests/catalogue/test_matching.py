"""From printed words to entries: folding, qualifiers, regular names, and no false friends."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.catalogue import Catalogue, load
from panellint.core.text import fold_name as fold


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load()


def id_of(catalogue: Catalogue, name: str, market: str = "us") -> str | None:
    match = catalogue.lookup(name, market=market)
    return match.known.id if match else None


HOSTILE = """
pea|peach
rice|price
salmon oil|salmon
chicken|chicken fat
chicken|chicken meal
chicken|chicken liver
chicken|chicken broth
chicken meal|chicken by-product meal
chicken|dehydrated chicken
wheat|buckwheat
potato|sweet potato
oats|goats' milk
peppercorn|yellow corn
grape|grapefruit
grape|grapeseed oil
egg|eggplant
vitamin D2|vitamin D3
vitamin B1|vitamin B12
vitamin K|vitamin K1
carob|carrot
currants|blackcurrants
bean|bean sprouts
pumpkin|pumpkin seed
corn starch|corn
corn gluten meal|corn meal
corn gluten feed|corn gluten meal
rice|rice bran
brown rice|rice flour
pea protein|pea fiber
pea starch|pea protein
tapioca starch|potato starch
beet pulp|beets
tomato|tomato pomace
flaxseed|flaxseed oil
sunflower seed|sunflower oil
cocoa|coconut
cocoa|cocoa butter
raisin paste|fish paste
date|oat
plum|pumpkin
lamb|lamb meal
duck|duck egg
turkey|turkey liver
beef|beef fat
milk|milk thistle
peppermint|pepper
garlic|ginger
copper sulfate|copper oxide
iron oxide|zinc oxide
sodium selenite|sodium selenate
potassium chloride|potassium sorbate
calcium carbonate|calcium citrate
L-lysine|L-leucine
sorbitol|sorghum
xylitol|sorbitol
guar gum|guava
yeast|yeast culture
fish|fish meal
whitefish|whitefish meal
herring|herring oil
meat|meat meal
meat meal|meat and bone meal
barley|barley grass
lime|limestone
nutmeg|nuts
maple syrup|apple
water|watercress
squash|squid
hops|hemp
clam|lamb
""".strip().splitlines()


@pytest.mark.parametrize("pair", HOSTILE)
def test_false_friends_stay_apart(catalogue: Catalogue, pair: str) -> None:
    one, other = pair.split("|")
    first, second = id_of(catalogue, one), id_of(catalogue, other)
    assert first != second
    assert first is not None
    assert second is not None or other == "price"


@pytest.mark.parametrize(
    "word", ["price", "goat oats", "chickn", "salmonella", "lemur", "pea ch", "", "   ", "%", "of"]
)
def test_what_is_not_understood_is_none(catalogue: Catalogue, word: str) -> None:
    assert catalogue.lookup(word) is None


@pytest.mark.parametrize(
    ("name", "id", "qualifiers"),
    [
        ("organic chicken", "chicken", ("organic",)),
        ("Chicken, organic", "chicken", ("organic",)),
        ("cage-free human-grade chicken", "chicken", ("cage free", "human grade")),
        ("USDA organic carrots", "carrot", ("usda organic",)),
        ("organic dried kelp", "dried-kelp", ("organic",)),
        ("fresh Scottish salmon", "salmon", ("fresh", "scottish")),
        ("certified organic dehydrated chicken", "dried-chicken", ("certified organic",)),
    ],
)
def test_qualifiers_are_kept_as_facts(
    catalogue: Catalogue, name: str, id: str, qualifiers: tuple[str, ...]
) -> None:
    match = catalogue.lookup(name)
    assert match is not None
    assert (match.known.id, match.how, match.qualifiers) == (id, "qualified", qualifiers)


@pytest.mark.parametrize(
    ("name", "kind", "family"),
    [
        ("kangaroo broth", "broth", "kangaroo"),
        ("ostrich meal", "rendered-meal", ""),
        ("dried mango powder", "fruit", ""),
        ("millet bran", "fibre", "millet"),
        ("dehydrated organic elk liver", "organ", ""),
        ("turkey giblet broth", "broth", "turkey"),
        ("molybdenum amino acid chelate", "mineral", ""),
        ("dried L. plantarum fermentation product", "probiotic", ""),
        ("Bacillus amyloliquefaciens", "probiotic", ""),
        ("hydrolyzed venison", "palatant", "venison"),
        ("extract of chamomile", "herb", ""),
    ],
)
def test_regular_names_are_understood_by_their_parts(
    catalogue: Catalogue, name: str, kind: str, family: str
) -> None:
    match = catalogue.lookup(name)
    assert match is not None
    assert match.how == "composed"
    assert (match.known.kind, match.known.family) == (kind, family)
    moisture = match.known.range_of("moisture")
    assert moisture is not None
    assert moisture.high - moisture.low > 5
    assert not any(figure.confirmed for figure in match.known.figures.values())


def test_a_single_letter_needs_more_than_a_word_after_it(catalogue: Catalogue) -> None:
    assert catalogue.lookup("l acidophilus") is None
    assert catalogue.lookup("b vitamins") is not None
    assert id_of(catalogue, "b vitamins") == "vitamins"


def test_words_that_differ_between_the_markets(catalogue: Catalogue) -> None:
    assert id_of(catalogue, "corn", "us") == "corn"
    assert id_of(catalogue, "corn", "uk") == "corn-unspecified"
    assert id_of(catalogue, "maize", "us") == id_of(catalogue, "maize", "eu") == "corn"
    assert id_of(catalogue, "coriander", "us") == "coriander-seed"
    assert id_of(catalogue, "coriander", "uk") == "coriander-leaf"
    assert id_of(catalogue, "cilantro", "uk") is None


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Chicken", "CHICKEN"),
        ("brewer’s rice", "brewers rice"),
        ("pea fiber", "pea fibre"),
        ("soybean meal", "soya bean meal"),
        ("zinc sulfate", "zinc sulphate"),
        ("purée of nothing", "puree of nothing"),
        ("freeze–dried chicken", "freeze-dried chicken"),
        ("tomatoes", "tomato"),
        ("blueberries", "blueberry"),
        ("β-carotene", "beta-carotene"),
        ("oils & fats", "oils and fats"),
        ("Quinoa™", "quinoa"),
        ("chicken\u00a0meal", "chicken meal"),
    ],
)
def test_spellings_of_one_name(catalogue: Catalogue, one: str, other: str) -> None:
    assert id_of(catalogue, one, "uk") == id_of(catalogue, other, "uk")


@given(st.text(max_size=60))
def test_folding_twice_changes_nothing(text: str) -> None:
    once = fold(text)
    assert fold(once) == once
    assert once == once.strip()
    assert "  " not in once


@given(st.text(max_size=80), st.sampled_from(["us", "eu", "uk", "ca", "nowhere"]))
def test_any_text_gets_an_answer(text: str, market: str) -> None:
    match = load().lookup(text, market=market)
    assert match is None or match.known.id


@given(st.data())
def test_case_and_spaces_make_no_difference(data: st.DataObject) -> None:
    catalogue = load()
    known = data.draw(st.sampled_from(sorted(catalogue.table("en"))))
    noisy = f"  {known.upper()} ".replace(" ", "   ")
    assert id_of(catalogue, noisy) == id_of(catalogue, known)


def test_every_listed_name_leads_to_its_entry(catalogue: Catalogue) -> None:
    for known in catalogue:
        for name in known.names:
            found = {id_of(catalogue, name, market) for market in ("us", "uk")}
            assert known.id in found, (known.id, name)


@pytest.mark.parametrize(
    ("name", "most"),
    [
        ("dried organic fresh " * 2000 + "chicken powder", 2),
        ("dried " * 3000 + "xyz", 2),
        ("organic " * 11 + "xyz", 150),
        ("organic certified organic fresh raw dried dried dried xyz powder", 150),
    ],
)
def test_few_tables_are_asked_for_a_hostile_name(
    catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch, name: str, most: int
) -> None:
    """Nothing is searched in a name of hundreds of words, and little in one of twelve."""
    asked = []

    def listed(*question: str) -> str | None:
        asked.append(question)
        return Catalogue.listed(catalogue, *question)

    monkeypatch.setattr(catalogue, "listed", listed)
    assert catalogue.lookup(name) is None
    assert 0 < len(asked) <= most


def test_suggestions_have_the_letters_of_their_language(catalogue: Catalogue) -> None:
    assert catalogue.suggest("Hünerbrühe", market="eu", language="de")[0] == "Hühnerbrühe"


def test_suggestions_are_near_and_never_a_match(catalogue: Catalogue) -> None:
    assert catalogue.lookup("chiken meal") is None
    assert catalogue.suggest("chiken meal")[0] == "chicken meal"
    assert catalogue.suggest("potasium chloride")[0] == "potassium chloride"
    assert catalogue.suggest("zzzzqqq") == []
    assert len(catalogue.suggest("chicken", limit=2)) == 2


@pytest.mark.parametrize(
    ("name", "language", "id"),
    [
        ("viandes et sous-produits animaux", "fr", "meat-and-animal-derivatives"),
        ("Fleisch und tierische Nebenerzeugnisse", "de", "meat-and-animal-derivatives"),
        ("carnes y subproductos animales", "es", "meat-and-animal-derivatives"),
        ("carni e derivati", "it", "meat-and-animal-derivatives"),
        ("vlees en dierlijke bijproducten", "nl", "meat-and-animal-derivatives"),
        ("Öle und Fette", "de", "oils-and-fats"),
        ("HUILES ET GRAISSES", "fr", "oils-and-fats"),
        ("azúcares", "es", "various-sugars"),
        ("Geflügelprotein, getrocknet", "de", "poultry-protein"),
        ("raisin", "fr", "grape"),
        ("raisin", "en", "raisin"),
    ],
)
def test_names_of_other_languages(catalogue: Catalogue, name: str, language: str, id: str) -> None:
    """EU category names: Directive 82/475/EEC as amended by 98/67/EC; others from label use."""
    match = catalogue.lookup(name, market="eu", language=language)
    assert match is not None
    assert match.known.id == id


def test_another_language_keeps_its_qualifiers_and_knows_no_english(catalogue: Catalogue) -> None:
    match = catalogue.lookup("frisches Hühnerfleisch", market="eu", language="de")
    assert match is not None
    assert (match.known.id, match.how, match.qualifiers) == ("chicken", "qualified", ("frisches",))
    assert catalogue.lookup("chicken", market="eu", language="de") is None
    assert catalogue.lookup("Huhn", market="eu", language="en") is None
