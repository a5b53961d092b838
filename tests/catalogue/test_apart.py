"""Names that stand for different things are different entries, each of its own animal or plant."""

from __future__ import annotations

import pytest

from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import CatalogueEntry

#: "one|other": neither is the other, nor a kind of it.
APART = """
bully stick|rawhide
beef pizzle|rawhide
cod skin|salmon skin
fish skin|salmon skin
pork brain|pork liver
pork pancreas|pork liver
goat heart|goat liver
venison tripe|venison liver
rabbit kidney|rabbit liver
bison heart|bison liver
duck gizzard|duck heart
chicken hearts and livers|chicken liver
freeze-dried beef heart|freeze-dried beef liver
dried beef lung|dried beef liver
dried chicken hearts|dried chicken liver
beef blood meal|beef blood
poultry blood|poultry blood meal
chicken plasma|chicken blood
freeze-dried pollock|pollock meal
dried sardines|sardine meal
dried shrimp|shrimp meal
crab meal|shrimp meal
lobster meal|shrimp meal
hydrolysed crustaceans|shrimp meal
cultivated meat|cultivated chicken
distillers dried grains|corn distillers grains
distillers grains|wheat distillers grains
feta|goat cheese
selenomethionine|selenium yeast
mycoprotein|bacterial protein
koji|mycoprotein
beta-glucans|barley beta glucan
oat beta glucan|barley beta glucan
beta-1,3/1,6-glucan|barley beta glucan
oat milk|rice milk
white vinegar|apple cider vinegar
buffered vinegar|apple cider vinegar
red wine vinegar|red wine
marigold petals|marigold extract
white chocolate|chocolate
white chocolate|cocoa
macadamia oil|macadamia
hops extract|hops
pennyroyal|tea tree oil
guar meal|guar gum
greaves|meat meal
pork greaves|pork meal
pork belly|pork neck
pig trotters|pig ears
pork skin|pig ears
pork trachea|pork cartilage
beef trachea|beef cartilage
beef gullet|beef cartilage
beef tail|beef cartilage
chicken collagen|chicken cartilage
bone marrow|beef bone
deer antler|venison bone
pepperoni|sausage
carob chips|carob
mutton|lamb
hare|rabbit
bonito|tuna
arctic char|trout
pangasius|catfish
hake|whiting
blue whiting|whiting
mullet|sea bass
barramundi|sea bass
wallaby|kangaroo
crocodile|alligator
grouse|partridge
nori|kelp
dulse|kelp
wakame|kelp
halibut|flounder
salmon roe|fish roe
crab stick|surimi
okara|tofu
soy milk|tofu
tempeh|tofu
dried tofu|tofu
sugar beet|beet pulp
safflower seed|safflower meal
cottonseed|cottonseed meal
lupin protein|lupin
mung bean protein|faba bean protein
chickpea starch|faba bean starch
malt sprouts|barley malt
low-fat cheese|goat cheese
double cream|sour cream
monkfish|ling
crayfish|lobster
octopus|squid
cockles|clams
zander|perch
saury|mackerel
sprats|herring
goose egg|duck egg
yak milk|dried cheese
colostrum|whey protein concentrate
milk replacer|milk protein
lithothamnium|kelp extract
fructose|dextrose
isomaltulose|dextrose
polydextrose|maltodextrin
erythritol|sorbitol
agave syrup|glucose syrup
preservatives|EDTA
antioxidants|natural antioxidants
EC permitted antioxidants|artificial colors
propyl gallate|TBHQ
natamycin|calcium propionate
methylparaben|calcium propionate
lauric arginate|cultured dextrose
cherry powder|cultured dextrose
MSM|hyaluronic acid
coenzyme Q10|PABA
lactoferrin|enzymes
pancreatin|enzymes
canthaxanthin|lutein
sucralose|stevia
licorice root|echinacea
bee pollen|echinacea
astragalus|echinacea
sunflower lecithin|soy lecithin
CBD oil|hemp seed oil
borage oil|pumpkin seed oil
castor oil|pumpkin seed oil
tuna oil|sardine oil
mackerel oil|herring oil
green-lipped mussel oil|krill oil
shark liver oil|cod liver oil
stearic acid|fat powder
MCT oil|coconut oil
goat fat|venison fat
insects|black soldier fly larvae
earthworm meal|silkworm
eggshell membrane|fish cartilage
algae|chlorella
euglena|chlorella
zinc hydroxychloride|zinc amino acid chelate
zinc gluconate|zinc amino acid chelate
ferrous fumarate|iron amino acid chelate
basic copper chloride|copper amino acid chelate
manganous chloride|manganese sulfate
calcium hydroxide|calcium sulfate
calcium lactate|calcium citrate
potassium bicarbonate|potassium phosphate
phosphates|tricalcium phosphate
calcium|calcium carbonate
magnesium stearate|magnesium proteinate
chromium picolinate|sodium molybdate
EDDI|potassium iodide
dolomite|bentonite
humic acid|bentonite
L-glutamine|glycine
MSG|glycine
L-cysteine|L-cystine
agave inulin|inulin
prebiotics|galactooligosaccharides
soluble corn fiber|galactooligosaccharides
spearmint extract|rosemary extract
cumin|anise
mustard|anise
tarragon|bay leaf
marjoram|oregano
allspice|cloves
cauliflower|dried broccoli
beet greens|chard
copra meal|palm kernel meal
lingonberries|cranberries
fenugreek gum|tara gum
methylcellulose|cellulose gum
timothy hay|miscanthus
bamboo fiber|powdered cellulose
saccharomyces boulardii|yeast culture
cayenne|black pepper
treats|tomato
ketchup|tomato
""".strip().splitlines()


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load()


def entry(catalogue: Catalogue, name: str) -> CatalogueEntry:
    """What a printed name is; a name that is not known fails the test."""
    match = catalogue.lookup(name)
    assert match is not None, name
    return match.known


@pytest.mark.parametrize("pair", APART)
def test_one_is_not_the_other(catalogue: Catalogue, pair: str) -> None:
    first, second = (entry(catalogue, name) for name in pair.split("|"))
    assert first.id != second.id
    assert second.id not in (first.kind_of, *first.names)


@pytest.mark.parametrize(
    ("name", "stranger"),
    [
        ("cod skins", "salmon"), ("cultivated meat", "chicken"), ("ddgs", "maize"),
        ("oat drink", "rice"), ("white vinegar", "apple"), ("crab meal", "shrimp"),
        ("mutton", "goat"), ("bonito", "tuna"), ("nori", "kelp"), ("dulse", "kelp"),
        ("egg lecithin", "soybean"), ("insect protein", "black soldier fly"),
        ("borage oil", "pumpkin"), ("tuna oil", "sardine"), ("agave inulin", "chicory"),
    ],
)  # fmt: skip
def test_no_animal_or_plant_that_is_not_named(
    catalogue: Catalogue, name: str, stranger: str
) -> None:
    assert stranger not in entry(catalogue, name).classes


@pytest.mark.parametrize(
    ("name", "source"),
    [
        ("porcine gelatin", "pig"), ("fish gelatin", "fish"), ("bovine gelatin", "cattle"),
        ("pasta", "wheat"), ("bread", "wheat"), ("rusk", "wheat"), ("couscous", "wheat"),
        ("eggshell membrane", "chicken egg"), ("carmine", "insect"), ("pepsin", "pig"),
        ("lactoferrin", "cow"), ("soluble corn fiber", "maize"), ("durum wheat", "wheat"),
        ("agave syrup", "agave"), ("chondroitin sulfate", "animal"), ("papain", "papaya"),
    ],
)  # fmt: skip
def test_the_animal_or_plant_is_kept(catalogue: Catalogue, name: str, source: str) -> None:
    assert source in entry(catalogue, name).classes


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("selenomethionine", "mineral"), ("mycoprotein", "other"), ("bacterial protein", "other"),
        ("smoked salmon", "fish"), ("cooked cod", "fish"), ("salmon protein concentrate", "fish"),
        ("beef liver meal", "organ"), ("chicken liver meal", "organ"), ("bee pollen", "other"),
        ("dried beef lung", "organ"), ("marigold petals", "herb"), ("sucralose", "other"),
    ],
)  # fmt: skip
def test_kinds(catalogue: Catalogue, name: str, kind: str) -> None:
    assert entry(catalogue, name).kind == kind


HARMFUL = {
    "de": "Zwiebelpulver Lauch Porree Schnittlauch Knoblauch Kakaopulver Schokolade Xylit "
    "Weintrauben Rosinen Korinthen Macadamianüsse Hopfen Alkohol Kaffee Tee "
    "Natriumbenzoat Muskatnuss Teebaumöl Lebertran Propylenglykol Weinsäure Süßholz "
    "Bärlauch Birkenzucker Nelkenöl Bittermandeln",
    "fr": "oignon poireau ciboulette ail cacao chocolat xylitol raisin houblon alcool café "
    "thé réglisse avocat tamarin rhubarbe consoude",
    "es": "cebolla puerro cebollino ajo cacao chocolate xilitol uvas pasas lúpulo alcohol "
    "café té regaliz aguacate tamarindo ruibarbo propilenglicol",
    "it": "cipolla porro aglio cacao cioccolato xilitolo uva uvetta luppolo alcool caffè tè "
    "liquirizia avocado tamarindo rabarbaro",
    "nl": "ui prei knoflook bieslook cacao chocolade xylitol druiven rozijnen krenten hop "
    "alcohol koffie thee zoethout tamarinde rabarber levertraan theeboomolie",
    "en": "onion leek shallots cocoa chocolate xylitol grapes raisins macadamia hops "
    "alcohol coffee",
}


@pytest.mark.parametrize(
    ("language", "name"),
    [(code, name) for code, names in HARMFUL.items() for name in names.split()],
)
def test_what_harms_is_known_in_every_language(
    catalogue: Catalogue, language: str, name: str
) -> None:
    match = catalogue.lookup(name, market="us" if language == "en" else "eu", language=language)
    assert match is not None
    assert any(hazard.level in ("error", "warning") for hazard in match.known.hazards)


def test_no_hazard_is_without_a_name_in_a_language_that_is_read(catalogue: Catalogue) -> None:
    """Zante currants apart: other languages call them raisins of Corinth, and currants by a word
    of their own."""
    harmful = {
        known.id
        for known in catalogue
        if any(hazard.level in ("error", "warning") for hazard in known.hazards)
    }
    for language in ("de", "fr", "es", "it", "nl"):
        named = set(catalogue.table(language).values())
        assert not harmful - named - {"currants"}, language


@pytest.mark.parametrize(
    "name",
    [
        "macadamia oil", "hops extract", "natural lamb liver flavor", "lamb liver broth",
        "grapeseed oil", "cocoa butter", "white chocolate", "avocado oil", "carob",
    ],
)  # fmt: skip
def test_what_is_made_of_it_need_not_harm(catalogue: Catalogue, name: str) -> None:
    hazards = entry(catalogue, name).hazards
    assert all(hazard.level == "do not flag" for hazard in hazards)
