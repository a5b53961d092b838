"""A proof says all that it rests on, and no more than it needs."""

from __future__ import annotations

import random
import re

from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.premises import CHOICES, LITERATURE, Premise
from panellint.shares.solver.formula_set import Formulas

from .honest import honest_label
from .labels import declare, entry, guarantee, percent, ranges_by_name


def test_a_bound_holds_under_what_it_rests_on_alone() -> None:
    """With only those premises, and composition only where it is named, nothing is lost."""
    checked = 0
    for seed in range(30):
        label = honest_label(seed)
        asked = Formulas(label.declaration, **label.arguments())
        rng = random.Random(seed)
        leaf = rng.choice(asked.tree.leaves)
        base = rng.choice((Base.MIX, Base.FOOD))
        bounds = asked.bounds({leaf.path: 1}, base)
        for end, proof in (("high", bounds.high_proof), ("low", bounds.low_proof)):
            if not proof.rests_on:
                continue
            arguments = label.arguments()
            if LITERATURE.isdisjoint(proof.rests_on):
                if label.unlisted:
                    continue
                arguments["ranges"] = lambda ingredient: {}
            again = Formulas(
                label.declaration,
                **arguments,
                premises=[p for p in proof.rests_on if p in CHOICES],
            ).bounds({leaf.path: 1}, base)
            gap = getattr(again, end) - getattr(bounds, end)
            assert abs(gap) < 1e-6, (seed, leaf.path, base, end, proof)
            checked += 1
    assert checked > 20


def test_a_ledger_adds_up() -> None:
    """Duck is printed 26 %, so rice behind it is at most 26.5 %: one order, one percentage."""
    asked = Formulas(declare(entry("duck", percent=percent("26")), "rice", "peas", "salt"))
    proof = asked.bounds({(1,): 1}).high_proof
    assert proof.rests_on == (Premise.ORDER, Premise.PERCENTAGES)
    assert [factor for factor, _ in proof.ledger] == [1.0, 1.0]
    assert proof.exact


def test_the_labels_own_words_are_preferred_to_ranges() -> None:
    """Salt is fifth of five: a fifth at most, whatever the guarantees could add."""
    table = ranges_by_name({"rice": {"protein": (6, 9)}, "salt": {"protein": (0, 0)}})
    asked = Formulas(
        declare("beef", "rice", "peas", "oats", "salt"),
        ranges=table,
        guarantees=[guarantee("protein", "5")],
    )
    proof = asked.bounds({(4,): 1}).high_proof
    assert proof.rests_on == (Premise.ORDER,)
    assert proof.sentences[0].startswith("Four ingredients are declared before salt")


def test_a_proof_from_guarantees_names_what_ingredients_hold() -> None:
    table = ranges_by_name({"beef": {"protein": (15, 20)}, "rice": {"protein": (6, 9)}})
    asked = Formulas(declare("beef", "rice"), ranges=table, guarantees=[guarantee("protein", "16")])
    told = " ".join(asked.nutrient("protein").low_proof.sentences)
    assert "Protein is guaranteed at least 16 %" in told
    joint = asked.judge([Condition({(1,): 1}, 60, of="rice")])
    assert joint.verdict is Verdict.REFUTED
    assert joint.proof.rests_on == (Premise.ORDER,)


def test_plurals_are_spoken_of_as_such() -> None:
    asked = Formulas(declare("peas", "molasses", "oats"))
    assert "peas are at least" in asked.bounds({(0,): 1}).low_proof.sentences[-1].lower()
    assert "molasses is at most" in asked.bounds({(1,): 1}).high_proof.sentences[-1].lower()


def test_sentences_are_sentences() -> None:
    for seed in range(10):
        label = honest_label(seed)
        asked = Formulas(label.declaration, **label.arguments())
        for leaf in asked.tree.leaves[:3]:
            bounds = asked.bounds({leaf.path: 1})
            for proof in (bounds.low_proof, bounds.high_proof):
                for sentence in proof.sentences:
                    assert re.match(r"[^a-z].*\.$", sentence), sentence
                    assert "None" not in sentence
                    assert "Fraction" not in sentence
