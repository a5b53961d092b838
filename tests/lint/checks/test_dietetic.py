"""Dietetic feed against the list of purposes of Regulation (EU) 2020/354 (annex, part B).

The figures of the list were read in the regulation; each is tried from both sides on a feed of the
list's own basis: 12 % moisture and 4,000 kcal ME per kg of dry matter, which is 3,520 kcal/kg.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from panellint.core.findings import Finding, Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.data import data

NAMES = {
    "phosphorus": "phosphorus", "protein": "crude protein", "sugars": "total sugars",
    "fat": "crude fat", "sodium": "sodium", "potassium": "potassium", "magnesium": "magnesium",
    "copper": "copper", "iodine": "iodine", "linoleic-acid": "linoleic acid",
    "epa-dha": "EPA + DHA",
    "omega-3": "omega-3 fatty acids", "carbohydrate": "carbohydrate", "epa": "EPA", "dha": "DHA",
}  # fmt: skip
KCAL = 3520


def label(
    purpose: str, species: str, figures: dict[str, str], kcal: float = KCAL, kind: str = "complete"
) -> str:
    shown = {"moisture": "12 %", "crude protein": "20 %", "crude fat": "10 %", **figures}
    constituents = ", ".join(f"{name} {value}" for name, value in shown.items())
    return (
        f"Product name: Quiet Bowl for {species}s\nMarket: EU\n"
        f"Dietetic {kind} pet food for {species}s, {purpose}\n"
        "Composition: rice, chicken, egg\n"
        f"Analytical constituents: {constituents}\nEnergy: {kcal:g} kcal/kg\n"
    )


def found(text: str, rule: str) -> list[Finding]:
    findings = lint(Source(text, "dietetic.panel"), quick=True).findings
    return [one for one in findings if one.rule == rule]


def limits() -> Iterator[object]:
    """Each figure of the list, for each animal."""
    for entry in data("data/dietetic")["purposes"]:
        for group in entry["groups"]:
            for one in group.get("limits", ()):
                for species in group["species"]:
                    name = f"{entry['entry']}-{species}-{one['nutrient']}"
                    yield pytest.param(entry, species, one, id=name)


def printed(value: float, unit: str) -> str:
    return f"{value / 10:.3g} %" if unit == "g/kg" else f"{value:g} {unit}"


@pytest.mark.parametrize(("entry", "species", "limit"), list(limits()))
def test_each_figure_of_the_list_is_held_from_both_sides(
    entry: dict[str, object], species: str, limit: dict[str, float | str]
) -> None:
    most = limit.get("at-most", limit.get("at-least"))
    assert isinstance(most, int | float)
    # Where another basis is named (fat: 3,500 kcal per kg of dry matter), the figure follows it.
    on_basis = most * 4000 / float(limit.get("kcal", 4000))
    # So far off that no other group of the entry is kept either.
    kept, missed = (0.95, 1.8) if "at-most" in limit else (1.05, 0.02)
    kind = "complementary" if entry["kind"] == "complementary" else "complete"

    def departures(share: float) -> list[Finding]:
        value, unit, figures, kcal = on_basis * share, str(limit["unit"]), {}, float(KCAL)
        if limit["nutrient"] == "energy":
            kcal = value
            if entry["entry"] == 15:  # which asks for protein too
                figures = {"crude protein": "30 %"}
        else:
            figures = {NAMES[str(limit["nutrient"])]: printed(value, unit)}
        text = label(str(entry["purpose"]), species, figures, kcal, kind)
        return found(text, "eu-dietetic-limit")

    assert not departures(kept)
    [finding] = departures(missed)
    assert str(limit.get("at-most", limit.get("at-least"))) in finding.message or (
        entry["entry"] in (14, 16, 26)  # another group of the entry is nearer
    )


def test_a_limit_follows_the_energy_of_the_food() -> None:
    """5 g of phosphorus at 4,000 kcal per kg of dry matter are 1.42 g per 1,000 kcal: 0.55 % passes
    in a food of 4,400 kcal/kg (1.25 g) and not in one of 3,000 (1.83 g)."""
    purpose = "support of renal function in case of chronic renal insufficiency"
    figures = {"crude protein": "14 %", "phosphorus": "0.55 %"}
    assert not found(label(purpose, "dog", figures, 4400), "eu-dietetic-limit")
    (finding,) = found(label(purpose, "dog", figures, 3000), "eu-dietetic-limit")
    assert "phosphorus of at most 5 g/kg" in finding.message


def test_protein_of_a_renal_food_follows_its_energy() -> None:
    """320 g at 4,000 kcal per kg of dry matter are 90.9 g per 1,000 kcal: 36 % is within them at
    4,100 kcal/kg (87.8 g), and not at 3,600 (100 g)."""
    purpose = "support of renal function in case of chronic renal insufficiency"
    figures = {"crude protein": "36 %", "crude fat": "18 %", "moisture": "8 %"}
    assert not found(label(purpose, "cat", figures, 4100), "eu-dietetic-limit")
    (finding,) = found(label(purpose, "cat", figures, 3600), "eu-dietetic-limit")
    assert "crude protein of at most 320 g/kg" in finding.message


def test_within_the_tolerance_it_is_no_error() -> None:
    purpose = "reduction of copper in the liver"
    for copper, severity in (("9.5 mg/kg", Severity.WARNING), ("14 mg/kg", Severity.ERROR)):
        (finding,) = found(label(purpose, "dog", {"copper": copper}), "eu-dietetic-limit")
        assert finding.severity is severity


def test_lanthanum_opens_the_other_group() -> None:
    purpose = "support of renal function in case of chronic renal insufficiency"
    text = label(purpose, "cat", {"phosphorus": "1.2 %"})
    assert found(text, "eu-dietetic-limit")
    text += "Additives (per kg): lanthanum carbonate octahydrate 3000 mg\n"
    assert not found(text, "eu-dietetic-limit")


def test_energy_of_a_wet_feed_has_its_own_limit() -> None:
    purpose = "reduction of excessive body weight"
    wet = {"moisture": "82 %", "crude protein": "8 %", "crude fat": "3 %"}
    # 560 kcal at 85 % moisture are 672 at 82 %.
    assert not found(label(purpose, "dog", wet, 660), "eu-dietetic-limit")
    assert found(label(purpose, "dog", wet, 750), "eu-dietetic-limit")


@pytest.mark.parametrize(
    ("line", "entry"),
    [
        ("Diät-Alleinfuttermittel für Hunde zur Unterstützung der Leberfunktion", 23),
        ("Aliment diététique complet pour chiens : réduction du surpoids", 25),
        ("Alimento dietetico completo per cani: supporto della funzione cardiaca", 24),
        ("Alimento dietético completo para perros: apoyo a la función renal", 10),
        ("Dieetvoeder voor honden, volledig: ondersteuning van de huidfunctie", 26),
    ],
)
def test_purposes_are_read_in_six_languages(line: str, entry: int) -> None:
    text = f"Product name: Bowl\nMarket: EU\nSpecies: dog\n{line}\nComposition: rice, egg\n"
    findings = found(text, "eu-dietetic-declarations")
    assert [f"(entry {entry})" in one.message for one in findings] == [True]


@pytest.mark.parametrize(
    ("length", "told"),
    [
        ("Recommended length of use: initially up to 6 months.", 0),
        ("Use for 5 weeks.", 0),
        ("Use for up to one year.", 1),
        ("Use for up to 9 months.", 1),
        ("", 1),
    ],
)
def test_the_length_of_use_lies_within_the_list(length: str, told: int) -> None:
    text = label("support of heart function in case of chronic cardiac insufficiency", "dog", {})
    assert len(found(f"{text}Feeding instructions: {length}\n", "eu-dietetic-length")) == told


def test_a_feed_of_everyday_words_implies_nothing() -> None:
    text = (
        "Product name: Lamb Menu for adult dogs\nMarket: EU\nComplete pet food for adult dogs\n"
        "With taurine for a healthy heart and skin.\nComposition: lamb 40 %, rice\n"
    )
    assert not found(text, "eu-dietetic-implied")
