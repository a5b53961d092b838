"""Headings as packs of twelve languages print them; from label usage, with no source."""

import pytest

from panellint.core.source import Source
from panellint.label.reader import read_label

HEADED = [
    ("The ingredients are duck, rice and salt.", "declaration"),
    ("Its analytical constituents are protein 9%, fat content 5%.", "guarantees"),
    ("DAS STECKT DRIN\nEnte, Reis", "declaration"),
    ("Total net weight: 420 g", "net-contents"),
    ("Offene Deklaration: Rind, Reis", "declaration"),
    ("ingredients chicken, rice, peas, salt", "declaration"),
    ("Guide alimentaire : 80 g", "feeding"),
    ("Lista degli ingredienti: manzo, riso", "declaration"),
    ("Nährstoffgehalte: Rohprotein 20 %", "guarantees"),
    ("Composition analytique : protéines brutes 20 %", "guarantees"),
    ("Voedingsadditieven per kg: vitamine A 5000 IE", "additives"),
    ("Valore energetico: 3600 kcal/kg", "calories"),
    ("Razioni: 5 kg 80 g al giorno", "feeding"),
    ("Rations journalières recommandées : 5 kg 80 g", "feeding"),
    ("Empfohlene Tagesration: 80 g", "feeding"),
    ("Peso: 400 g", "net-contents"),
    ("Uitlekgewicht: 240 g", "net-contents"),
    ("Registriernummer: 12345", "maker"),
    ("Responsable de la mise sur le marché : Quillbrook Larder", "maker"),
    ("Kennnummer der Partie: 12345", "lot"),
    ("Consumir antes de: 12/2028", "best-before"),
    ("Da consumarsi entro: 12/2028", "best-before"),
    ("Istruzioni per la conservazione: luogo fresco", "storage"),
    ("Servicio de atención al cliente: 900 000 000", "contact"),
    ("Wichtiger Hinweis: Wasser bereitstellen", "warnings"),
    ("Pays d'origine : France", "origin"),
    ("Zalecana dzienna porcja: 80 g", "feeding"),
    ("Instruções de uso: servir seco", "feeding"),
    ("Ingrediensförteckning: anka, ris", "declaration"),
    ("Godkendelsesnr.: DK 123", "maker"),
    ("Výrobní šarže: 12345", "lot"),
    ("Ruokintasuositus: 80 g päivässä", "feeding"),
    # Accents lost in capitals, letters written out.
    ("COMPOSICION: VACUNO, ARROZ", "declaration"),
    ("A UTILISER DE PREFERENCE AVANT LE: 12/2028", "best-before"),
    ("Fuetterungsempfehlung: 80 g am Tag", "feeding"),
]


@pytest.mark.parametrize(("line", "kind"), HEADED)
def test_a_heading_of_its_language_begins_its_section(line: str, kind: str) -> None:
    assert read_label(Source(f"Produkt X\n{line}\n", "-")).sections[-1].kind == kind


@pytest.mark.parametrize(
    "line",
    ["Gewicht 5 kg 80 g", "Vitamine und Spurenelemente", "Peso 5 kg, 80 g", "Wichtig ist er"],
)
def test_a_word_of_tables_and_sentences_heads_nothing_without_a_colon(line: str) -> None:
    label = read_label(Source(f"Zusammensetzung: Rind, Reis.\n{line}\n", "-"))
    words = line.split()[0]
    assert words not in [label.source.slice(section.heading) for section in label.sections]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("ADDITIVES (per kg). Vitamins: vitamin A 15,000 IU", "additives"),
        ("Calorie content, calculated: 980 kcal ME/kg", "calories"),
        ("Constituants analytiques\n: protéine brute 8 %", "guarantees"),
        ("protéine brute 8 %. Additifs\nnutritionnels par kg : vitamine A 9 000 UI", "additives"),
        ("Guaranteed\nAnalysis\nCrude protein (min) 9 %", "guarantees"),
        ("STORAGE Keep in a cool and dry place.", "storage"),
        ("FEEDING GUIDE Offer a few a day.", "feeding"),
    ],
)
def test_a_heading_may_go_on_or_end_otherwise(text: str, kind: str) -> None:
    label = read_label(Source(f"Ingredients: duck\n\n{text}", "-"))
    section = label.sections_of(kind)[0]
    assert section.text[:1].isalnum()
    assert label.source.slice(section.heading)[:1].isupper()
