"""Sentences as packs of six languages carry them, without a heading, are read or told as prose;
from label usage, with no source."""

import pytest

from panellint import api

HEADS = {
    "en": "Complete pet food for dogs\nComposition: beef 30 %, rice.\n",
    "de": "Alleinfuttermittel für Hunde\nZusammensetzung: Rind 30 %, Reis.\n",
    "fr": "Aliment complet pour chiens\nComposition : bœuf 30 %, riz.\n",
    "it": "Alimento completo per cani\nComposizione: manzo 30 %, riso.\n",
    "es": "Alimento completo para perros\nComposición: vacuno 30 %, arroz.\n",
    "nl": "Volledig diervoeder voor honden\nSamenstelling: rund 30 %, rijst.\n",
}
SENTENCES = [
    ("en", "Satisfaction guaranteed or your money back."),
    ("de", "Vor direkter Sonneneinstrahlung schützen."),
    ("de", "Packung nach Gebrauch gut verschließen."),
    ("de", "Vor Gebrauch gut schütteln."),
    ("de", "Unter Schutzatmosphäre verpackt."),
    ("fr", "Après ouverture, conserver au réfrigérateur et consommer sous 48 heures."),
    ("fr", "Agiter avant emploi."),
    ("fr", "Ne pas recongeler."),
    ("it", "Tenere fuori dalla portata dei bambini."),
    ("it", "Agitare prima dell'uso."),
    ("es", "Una vez abierto, conservar en el frigorífico y consumir en 48 horas."),
    ("es", "Agitar antes de usar."),
    ("nl", "Verpakt onder beschermende atmosfeer."),
    ("nl", "Lauwwarm serveren."),
]


@pytest.mark.parametrize(("language", "sentence"), SENTENCES)
def test_a_customary_sentence_is_not_unread(language: str, sentence: str) -> None:
    assert api.outline(f"{HEADS[language]}{sentence}\n")["unread"] == []
