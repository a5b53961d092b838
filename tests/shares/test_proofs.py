"""A proof says all that it rests on, and no more than it needs."""

from __future__ import annotations

import json
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.cli import cli
from panellint.core.lp import Solution, Status
from panellint.core.source import Source
from panellint.label.model import Bound
from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.premises import CHOICES, LITERATURE, Premise
from panellint.shares.solver.formula_set import Formulas
from panellint.shares.solver.problem import Program

from .honest import honest_label
from .labels import declare, entry, guarantee, percent, ranges_by_name

ROOT = Path(__file__).parents[2]
CAN = "Form: canned\nIngredients: beef, rice, salt\nMoisture (max) 78%\n"


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
                label.declaration, **arguments, premises=[p for p in proof.rests_on if p in CHOICES]
            ).bounds({leaf.path: 1}, base)
            gap = getattr(again, end) - getattr(bounds, end)
            assert abs(gap) < 1e-6, (seed, leaf.path, base, end, proof)
            checked += 1
    assert checked > 20


def test_a_short_proof_names_its_premises() -> None:
    """Duck is printed 26 %, so rice behind it is at most 26.5 %: one order, one percentage."""
    asked = Formulas(declare(entry("duck", percent=percent("26")), "rice", "peas", "salt"))
    proof = asked.bounds({(1,): 1}).high_proof
    assert proof.rests_on == (Premise.ORDER, Premise.PERCENTAGES)
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


def test_that_water_holds_no_protein_is_said_where_a_proof_needs_it() -> None:
    """Water is at most 46 % here only because it brings no protein; the label does not say so."""
    text = "Form: canned\nIngredients: water, zorbane, wobble\nCrude protein (min) 60%\n"
    proof = LabelContext.of(Source(text, "a.panel")).formulas.bounds({(0,): 1}).high_proof
    assert Premise.COMPOSITION in proof.rests_on
    assert any("protein" in words and "water 0 %" in words for words in proof.sentences)


def test_that_only_water_leaves_is_said_where_no_amount_of_it_matters() -> None:
    table = ranges_by_name({"beef": {"protein": (0, 20)}, "rice": {"protein": (6, 9)}})
    asked = Formulas(
        declare("beef", "rice"), ranges=table, guarantees=[guarantee("fat", "5", Bound.MAX)]
    )
    bounds = asked.bounds({(1,): 1}, Base.FOOD)
    assert Premise.WATER in bounds.high_proof.rests_on
    assert any("nothing else" in words for words in bounds.high_proof.sentences)


@pytest.mark.parametrize("threads", [0, 1, 2])
def test_users_of_the_solver_do_not_disturb_one_another(threads: int) -> None:
    """The solver's threads are set up by whoever comes first, and another number of them is then
    refused: whoever comes first and whoever comes after has an answer."""
    script = (
        "import highspy\n"
        "from panellint import api\n"
        "def ours():\n"
        f"    found = api.shares({CAN!r})\n"
        "    return [round(one['high']) for one in found['ingredients']], found['notes']\n"
        "def other():\n"
        "    h = highspy.Highs(); h.setOptionValue('output_flag', False)\n"
        f"    h.setOptionValue('threads', {threads})\n"
        "    h.addVar(0, 1); h.changeColCost(0, -1.0)\n"
        "    return str(h.run())\n"
        "print([ours(), other(), ours(), other(), ours()])\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT
    )
    mine, fine = ([100, 50, 33], []), "HighsStatus.kOk"
    assert run.stdout.splitlines()[-1] == str([mine, fine, mine, fine, mine])


def test_a_solver_that_fails_is_told_and_order_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Program, "most", lambda self, cost: Solution(Status.TROUBLE))
    found = api.shares(CAN)
    assert [round(one["high"]) for one in found["ingredients"]] == [100, 50, 33]
    assert any("solver gave no answer" in note for note in found["notes"])


def test_lint_says_once_that_the_solver_failed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    label = (ROOT / "corpus/beef-chunks-gravy-uk.panel").read_text(encoding="utf-8")
    for name in ("one.panel", "two.panel"):
        (tmp_path / name).write_text(label, encoding="utf-8")

    def linted() -> tuple[str, set[str]]:
        run = CliRunner().invoke(cli, ["lint", str(tmp_path), "--format", "json"])
        files = json.loads(run.stdout)["files"]
        return run.stderr, {finding["message"] for file in files for finding in file["findings"]}

    told, sound = linted()
    assert "solver" not in told
    monkeypatch.setattr(Program, "most", lambda self, cost: Solution(Status.TROUBLE))
    told, unsure = linted()
    assert told.count("the solver gave no answer") == 1
    assert "one.panel" in told
    # Order alone answers: nothing is found that the solver did not prove, and shares are wider.
    assert "any share" in " ".join(unsure - sound)


@pytest.mark.parametrize("threads", [0, 2])
def test_another_user_of_the_solver_changes_no_lint(threads: int) -> None:
    script = (
        "import highspy\n"
        "from pathlib import Path\n"
        "from panellint import api\n"
        "h = highspy.Highs(); h.setOptionValue('output_flag', False)\n"
        f"h.setOptionValue('threads', {threads}); h.addVar(0, 1); h.run()\n"
        f"path = Path({str(ROOT / 'corpus/beef-chunks-gravy-uk.panel')!r})\n"
        "print([found['message'] for found in api.lint(path.read_text('utf-8'))['findings']])\n"
        "h.changeColCost(0, -1.0); print(h.run())\n"
    )
    alone = script.replace("h.addVar(0, 1); h.run()", "").replace("h.run()", "0")
    first, second = (
        subprocess.run(
            [sys.executable, "-c", each], capture_output=True, text=True, check=True, cwd=ROOT
        ).stdout.splitlines()
        for each in (alone, script)
    )
    findings = [[line for line in lines if line.startswith("[")] for lines in (first, second)]
    assert findings[0] == findings[1] != []
    assert second[-1] == "HighsStatus.kOk"
