"""Statutory terms of three languages as texts of law print them, and how the program reads each.

German: Futtermittelverordnung, § 1, § 11, Anlage 2b (BGBl. I 2007 p. 839) and Anlage 4. French:
décret no 86-1037 of 15 September 1986, articles 2 and 15 and annexe I; arrêté of 16 March 1989,
articles 8 and 9. Dutch: Verordening PDV diervoeders 2003, articles 1:1, 7:3:1, 7:3:3. All of them
were read; they carry out the directives that Regulation (EC) No 767/2009 follows, and Directive
82/475/EEC. The language versions of the Regulation itself were not, nor any text in Italian or
Spanish.
"""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.catalogue.store import load
from panellint.core.source import Source
from panellint.core.text import fold
from panellint.label.headings import PER_WEIGHT, heading_kinds
from panellint.lint.engine import lint_context
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

# In the order of the annexes, which is that of the categories' numbers.
CATEGORIES = {
    "de": """Fleisch und tierische Nebenerzeugnisse; Milch und Molkereierzeugnisse; Eier und
        Eiererzeugnisse; Öle und Fette; Hefen; Fisch und Fischnebenerzeugnisse; Getreide; Gemüse;
        Pflanzliche Nebenerzeugnisse; Pflanzliche Eiweißextrakte; Mineralstoffe; Zucker; Früchte;
        Nüsse; Saaten; Algen; Weich- und Krebstiere; Insekten; Bäckereierzeugnisse""",
    "fr": """Viandes et sous-produits animaux; Lait et produit de laiterie; Oeufs et produits
        d'oeufs; Huiles et graisses; Levures; Poissons et sous-produits de poissons; Céréales;
        Légumes; Sous-produits d'origine végétale; Extraits de protéines végétales; Substances
        minérales; Sucres; Fruits; Noix; Graines; Algues; Mollusques et crustacés; Insectes;
        Produits de la boulangerie""",
}
# What a word of everyday language names too is read as that, and not as the category.
EVERYDAY = {"Zucker": "sugar", "Noix": "walnut"}
TYPES = [
    ("de", "Alleinfuttermittel für Hunde", "complete"),
    ("de", "Ergänzungsfuttermittel für Hunde", "complementary"),
    ("de", "Einzelfuttermittel für Hunde", "material"),
    ("fr", "Aliment complet pour chiens", "complete"),
    ("fr", "Aliment complémentaire pour chiens", "complementary"),
    ("fr", "Aliment minéral pour chiens", "mineral"),
    ("nl", "Volledig diervoeder voor honden", "complete"),
    ("nl", "Aanvullend diervoeder voor honden", "complementary"),
    ("nl", "Voedermiddel voor honden", "material"),
    ("nl", "Volledig dieetvoeder voor honden", "complete"),
    ("nl", "Aanvullend dieetvoeder voor honden", "complementary"),
]
CONSTITUENTS = [
    ("Analytische Bestandteile", "Rohprotein", "protein"),
    ("Analytische Bestandteile", "Rohfett", "fat"),
    ("Analytische Bestandteile", "Rohfaser", "fibre"),
    ("Analytische Bestandteile", "Rohasche", "ash"),
    ("Constituants analytiques", "Protéine brute", "protein"),
    ("Constituants analytiques", "Graisses brutes", "fat"),
    ("Constituants analytiques", "Cellulose brute", "fibre"),
    ("Constituants analytiques", "Cendres brutes", "ash"),
    ("Constituants analytiques", "Humidité", "moisture"),
]
HEADINGS = [
    ("umsetzbare Energie", "calories"),
    ("mode d'emploi", "feeding"),
    ("constituants analytiques", "guarantees"),
    ("à utiliser avant", "best-before"),
    ("à utiliser de préférence avant", "best-before"),
    ("gebruiksaanwijzing", "feeding"),
    ("analytische bestanddelen", "guarantees"),
    ("toevoegingsmiddelen", "additives"),
    ("nettogewicht", "net-contents"),
    ("te gebruiken vóór", "best-before"),
]


@pytest.mark.parametrize("language", CATEGORIES)
def test_the_categories_of_a_national_text(language: str) -> None:
    known = data("words/categories")["categories"]
    terms = [" ".join(term.split()) for term in CATEGORIES[language].split(";")]
    assert len(terms) == len(known) == 19
    for term, category in zip(terms, known, strict=True):
        assert language in category["read"], term
        found = load().lookup(term, market="eu", language=language)
        assert found is not None, term
        assert found.known.id == EVERYDAY.get(term, category.get("id", "bakery-meal"))


@pytest.mark.parametrize(("language", "printed", "route"), TYPES)
def test_a_type_of_feed(language: str, printed: str, route: str) -> None:
    context = LabelContext.of(Source(f"{printed}\n", language), Settings().with_market("eu"))
    assert [statement.route for statement in context.label.adequacy] == [route]


@pytest.mark.parametrize(("heading", "printed", "nutrient"), CONSTITUENTS)
def test_a_constituent(heading: str, printed: str, nutrient: str) -> None:
    source = Source(f"{heading}: {printed} 9 %\n", "label")
    context = LabelContext.of(source, Settings().with_market("eu"))
    assert [guarantee.nutrient for guarantee in context.label.guarantees] == [nutrient]


@pytest.mark.parametrize(("printed", "kind"), HEADINGS)
def test_a_heading(printed: str, kind: str) -> None:
    assert heading_kinds()[fold(printed)] == kind


def test_what_was_not_read_says_so() -> None:
    """A language whose statutory words were read nowhere is marked."""
    statutory = data("words/statutory")["languages"]
    for language, words in statutory.items():
        assert words["confirmed"] is (language in ("de", "fr", "nl")), language
    for language in ("de", "fr", "it", "es", "nl"):
        assert data(f"words/requirements/{language}")["confirmed"] is False


@pytest.mark.parametrize("language", ["es", "it", "pl", "pt", "sv", "da", "cs", "fi"])
def test_what_rests_on_unread_words_is_a_warning_at_most(language: str) -> None:
    words = data("words/statutory")["languages"][language]
    text = (
        f"{words['types']['complete']} {words['animals']['dog']['any']}\n"
        f"{words['composition']}: zorblat 20 %, zarblit 40 %, zurblot 60 %\n"
    )
    context = LabelContext.of(Source(text, language), Settings().with_market("eu"))
    findings = lint_context(context, context.settings, quick=True).findings
    assert context.language == language
    assert findings
    assert {finding.severity.value for finding in findings} <= {"warning", "information", "hint"}


@pytest.mark.parametrize("language", data("words/statutory")["languages"])
def test_each_term_is_read_as_what_it_is(language: str) -> None:
    """Every statutory word that is printed again is read, in every language; on a label of words
    that were read nowhere a fault that is an error elsewhere is a warning."""
    words = data("words/statutory")["languages"][language]
    headings = heading_kinds()

    def kind(printed: str) -> str:
        return headings[fold(PER_WEIGHT.sub("", printed.replace("(/kg)", "/kg")))]

    assert kind(words["composition"]) == "declaration"
    assert kind(words["constituents"]) == "guarantees"
    for printed in (words["additives"], *words["groups"].values()):
        assert kind(printed) == "additives", printed
    for route, feed in words["types"].items():
        for species, animals in words["animals"].items():
            for stage, printed in animals.items():
                text = f"{feed} {printed}\n{words['composition']}: 120 % salt\n"
                context = LabelContext.of(Source(text), Settings().with_market("eu"))
                [statement] = context.label.adequacy
                assert (statement.route, statement.species) == (route, species), text
                assert stage in ("any", "senior") or statement.stages == (stage,), text
                findings = lint_context(context, context.settings, quick=True).findings
                errors = [finding.rule for finding in findings if finding.severity == "error"]
                assert bool(errors) is words["confirmed"], text
