"""The outputs of the corpus against the schemas that are published, taken strictly: no key that the
schema does not know, none that it wants and that is not there."""

from __future__ import annotations

import copy
import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator, ValidationError, validate

from panellint.cli import cli
from panellint.commands.schema import FILES
from panellint.output.schema import OUTPUTS, VERSION, output_schema
from panellint.rulepacks.settings import Settings, markets

ROOT = Path(__file__).parents[2]
LABELS = sorted(str(path.relative_to(ROOT)) for path in (ROOT / "corpus").glob("*.panel"))
#: Labels with short lists, for what estimates shares.
SHEET = "corpus/sheets/duck-millet-freeze-dried.csv"
SHORT = ("corpus/pumpkin-topper.panel", "corpus/water-first-chicken-can.panel")


def printed(*arguments: str) -> Any:
    result = CliRunner().invoke(cli, [*arguments, "--format", "json"])
    assert result.exit_code in (0, 1), result.output
    return json.loads(result.stdout)


@cache
def strict(name: str) -> Draft202012Validator:
    schema = copy.deepcopy(output_schema(name, list(Settings().rules), markets()))
    for one in (schema, *schema["$defs"].values()):
        if "properties" in one:
            one["additionalProperties"] = False
    return Draft202012Validator(schema)


@pytest.fixture(autouse=True)
def at_the_top(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


@pytest.mark.parametrize("name", [*OUTPUTS, *FILES])
def test_each_schema_is_one_and_has_an_id(name: str) -> None:
    schema = json.loads(CliRunner().invoke(cli, ["schema", name]).stdout)
    Draft202012Validator.check_schema(schema)
    assert schema["$id"].startswith("urn:panellint:schema:")
    assert schema["$schema"].endswith("2020-12/schema")


def test_every_label_of_the_corpus_is_linted_as_the_schema_says() -> None:
    data = printed("lint", "--quick", "--fail-at", "never", *LABELS)
    strict("lint").validate(data)
    assert data["version"] == VERSION
    assert len(data["files"]) == len(LABELS)


@pytest.mark.parametrize("path", LABELS)
def test_every_label_of_the_corpus_is_understood_as_the_schema_says(path: str) -> None:
    strict("outline").validate(printed("outline", path))
    strict("requirements").validate(printed("requirements", path))


@pytest.mark.parametrize(
    "arguments",
    [
        *(("shares", path) for path in SHORT),
        *(("nutrition", path) for path in SHORT),
        ("ingredient", "dried lamb lung"),
        ("rule", "name-quarter"),
        ("compare", *SHORT),
        ("changes", *SHORT),
        ("trace", "duck", "corpus"),
        ("report", SHORT[0]),
        ("plan", "corpus/chicken-barley-kibble.panel", "--body-weight", "12"),
        ("blend", "corpus/chicken-barley-kibble.panel", "pumpkin", "--target", "fat at most 10 %"),
        ("reconcile", "corpus/duck-millet-freeze-dried.panel", SHEET, "--quiet"),
        ("declare", SHEET, "--moisture", "8", "--quiet"),
        ("reformulate", SHEET, "--target", "protein >= 30 %", "--moisture", "8", "--quiet"),
        ("reformulate", SHEET, "--target", "protein >= 90 %", "--moisture", "8", "--quiet"),
        ("release", "corpus/sheets", *SHORT),
        ("release", "corpus/sheets", "--with-weights"),
    ],
    ids=" ".join,
)
def test_other_answers_are_as_the_schema_says(arguments: tuple[str, ...]) -> None:
    strict(arguments[0]).validate(printed(*arguments))


def test_a_schema_refuses_what_is_none() -> None:
    data = printed("lint", "--quick", LABELS[0])
    data["files"][0]["findings"] = [{"rule": "x"}]
    with pytest.raises(ValidationError):
        strict("lint").validate(data)
    settings = json.loads(CliRunner().invoke(cli, ["schema", "settings"]).stdout)
    validate({"market": "us", "rules": {"calorie-line": "off"}, "fail-at": "never"}, settings)
    validate({"packs": ["own.yaml"], "rules": {"of-our-own": "off"}}, settings)
    for wrong in ({"market": "uss"}, {"rules": {"calory-line": "off"}}, {"fail-at": "ever"}):
        with pytest.raises(ValidationError):
            validate(wrong, settings)
