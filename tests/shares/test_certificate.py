"""A proof can be exported whole, and a program that knows nothing of the package adds it up."""

from __future__ import annotations

import copy
import json
import math
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from panellint import api
from panellint.core.source import read

from .certificate_checker import check

ROOT = Path(__file__).parents[2]
LABELS = (
    "pumpkin-topper water-first-chicken-can beef-percentages-raw lamb-kibble-eu tuna-pouch-cat-uk"
).split()
IMPLIED = """Product name: Beef Dinner for Dogs
Form: canned
Ingredients: beef 40 %, water, rice, salt
Crude protein (min) 8 %
Moisture (max) 78 %
"""


def certificate(name: str) -> dict[str, Any]:
    return json.loads(json.dumps(api.certificate(text_of(name), name)))


def text_of(name: str) -> str:
    return read(ROOT / "corpus" / f"{name}.panel").text


@pytest.mark.parametrize("name", LABELS)
def test_every_claim_adds_up_and_is_what_shares_prints(name: str) -> None:
    data = certificate(name)
    assert data["claims"]
    assert check(data) == []
    printed = api.shares(text_of(name), name)
    ends = {"least": "low", "most": "high"}
    claims = [claim for claim in data["claims"] if claim["kind"] in ends]
    assert len(claims) == 2 * len(printed["ingredients"])
    for place, claim in enumerate(claims):
        share = printed["ingredients"][place // 2]
        bound = abs(100 * Fraction(claim["bound"]))
        assert claim["of"] == share["name"]
        assert math.isclose(share[ends[claim["kind"]]], bound, abs_tol=1e-6)  # type: ignore[literal-required]


def test_a_refuted_and_an_implied_promise_have_their_proofs() -> None:
    refuted = certificate("water-first-chicken-can")
    assert set(refuted["verdicts"].values()) == {"refuted"}
    implied = json.loads(json.dumps(api.certificate(IMPLIED)))
    assert set(implied["verdicts"].values()) == {"implied"}
    assert check(implied) == []


def _multiplier(data: dict[str, Any]) -> None:
    claim = next(c for c in data["claims"] if c["rows"] and c["kind"] == "most")
    row = next(iter(claim["rows"]))
    claim["rows"][row] = str(Fraction(claim["rows"][row]) / 2)


def _sign(data: dict[str, Any]) -> None:
    claim = next(c for c in data["claims"] if c["rows"])
    row = next(iter(claim["rows"]))
    claim["rows"][row] = "-" + claim["rows"][row]


def _bound(data: dict[str, Any]) -> None:
    claim = next(c for c in data["claims"] if c["kind"] == "most")
    claim["bound"] = str(Fraction(claim["bound"]) - Fraction(1, 10**9))


def _row(data: dict[str, Any]) -> None:
    claim = next(c for c in data["claims"] if c["rows"] and c["kind"] == "most")
    values = data["rows"][next(iter(claim["rows"]))]["values"]
    for column, value in values.items():
        values[column] = str(-int(value))


def _needs(data: dict[str, Any]) -> None:
    claim = next(c for c in data["claims"] if c["kind"] == "refuted")
    for condition in claim["conditions"]:
        condition["needs"] = "1"


def _verdict(data: dict[str, Any]) -> None:
    data["verdicts"] = dict.fromkeys(data["verdicts"], "implied")


@pytest.mark.parametrize("change", [_multiplier, _sign, _bound, _row, _needs, _verdict])
def test_a_certificate_that_was_tampered_with_fails(change: Any) -> None:
    data = certificate("water-first-chicken-can")
    changed = copy.deepcopy(data)
    change(changed)
    assert changed != data
    assert check(changed)


def test_the_checker_is_short_and_knows_nothing_of_the_package() -> None:
    text = (Path(__file__).parent / "certificate_checker.py").read_text("utf-8")
    assert len(text.splitlines()) <= 80
    assert "panellint." not in text
    assert "import panellint" not in text


def test_the_command_prints_it_and_the_checker_reads_it(tmp_path: Path) -> None:
    file = tmp_path / "proof.json"
    command = [sys.executable, "-m", "panellint", "shares", "corpus/pumpkin-topper.panel"]
    run = subprocess.run(
        [*command, "--format", "certificate", "--output", str(file)], cwd=ROOT, check=False
    )
    assert run.returncode == 0
    checker = str(Path(__file__).parent / "certificate_checker.py")
    told = subprocess.run([sys.executable, checker, str(file)], capture_output=True, check=False)
    assert told.returncode == 0
    assert told.stdout.strip() == b"every claim adds up"
