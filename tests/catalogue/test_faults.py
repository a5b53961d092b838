"""A faulty catalogue file is refused with file and line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml

from panellint.catalogue import Catalogue, compile, files
from panellint.core.errors import InputError
from panellint.core.files import rules_folder

#: Tables that name ingredients, without their rows.
EMPTY = {
    "binders": {"binders": []},
    "carries": {"carries": []},
    "families": {"families": {}, "groups": {}},
    "glycaemic": {"glycaemic": []},
    "hazards": {"hazards": []},
    "notes": {"notes": []},
    "strengths": {"sources": {}, "strengths": []},
    "usual": {"usual": {}},
}
FIVE = """ingredients:
  chicken: {as: oil, names: [chicken]}
  salmon-oil: {as: oil, names: [salmon oil]}
  pork-fat: {as: oil, names: [pork fat, lard]}
  linseed-oil: {as: oil, names: [linseed oil]}
  krill-oil: {as: oil, names: [krill oil]}
"""


@pytest.fixture
def rules(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The tables of the rules with a catalogue of five entries, in which a test may break
    something."""
    copy = tmp_path / "rules"
    (copy / "ingredients").mkdir(parents=True)
    for part in ("words", "nutrients", "data"):
        shutil.copytree(rules_folder() / part, copy / part)
    for name in ("classes", "kinds", "tree", "widening"):
        shutil.copy(rules_folder() / "ingredients" / f"{name}.yaml", copy / "ingredients")
    forms = files.read(rules_folder() / "ingredients" / "forms.yaml")
    tables = {**EMPTY, "forms": {**forms, "parts": [], "products": [], "states": []}}
    for name, table in tables.items():
        (copy / "ingredients" / f"{name}.yaml").write_text(yaml.safe_dump(table))
    (copy / "ingredients" / "five.yaml").write_text(FIVE)
    monkeypatch.setattr(files, "rules_folder", lambda: copy)
    return copy


def add(rules: Path, text: str) -> Path:
    path = rules / "ingredients" / "zz-new.yaml"
    path.write_text(f"ingredients:\n  first-thing: {{as: oil, names: [first thing]}}\n{text}")
    return path


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("  new-oil: {as: oil, names: [salmon oil]}\n", "both claim the name 'salmon oil'"),
        ("  new-oil: {as: oil, names: [first things]}\n", "once plurals are folded"),
        ("  new-oil: {as: oyl, names: [new oil]}\n", "no sort of material is called 'oyl'"),
        ("  new-oil: {as: oil, kind: fluid, names: [new oil]}\n", "no kind is called 'fluid'"),
        ("  new-oil: {as: oil, naems: [new oil]}\n", "unknown key 'naems'"),
        ("  new-oil: {as: oil}\n", "has no names"),
        ("  New_Oil: {as: oil, names: [new oil]}\n", "not in plain words"),
        ("  chicken: {as: oil, names: [new oil]}\n", "stands in another file too"),
    ],
)
def test_faults_of_names(rules: Path, text: str, message: str) -> None:
    path = add(rules, text)
    with pytest.raises(InputError, match=message) as caught:
        compile.names()
    fault = caught.value.faults[0]
    assert (fault.path, fault.line) == (str(path), 3)


def test_one_name_may_differ_between_the_regions(rules: Path) -> None:
    add(
        rules,
        "  us-oil: {as: oil, names: {en-us: [strange oil]}}\n"
        "  gb-oil: {as: oil, names: {en-gb: [strange oil]}}\n",
    )
    catalogue = Catalogue(compile.names())
    assert catalogue.table("en-us")["strange oil"] == "us-oil"
    assert catalogue.table("en-gb")["strange oil"] == "gb-oil"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("  new-oil: {as: oil, names: [new oil], holds: {fat: [10, 20]}}\n", "sum to between"),
        ("  new-oil: {as: oil, names: [new oil], holds: {fat: [99, 20]}}\n", "from 99 to 20"),
        ("  new-oil: {as: oil, names: [new oil], holds: {fatt: [9, 20]}}\n", "no nutrient"),
    ],
)
def test_faults_of_figures(rules: Path, text: str, message: str) -> None:
    path = add(rules, text)
    with pytest.raises(InputError, match=message) as caught:
        compile.figures()
    fault = caught.value.faults[0]
    assert (fault.path, fault.line) == (str(path), 3)


def test_a_file_that_is_no_yaml(rules: Path) -> None:
    path = add(rules, "  broken: {as: oil\n  other: ]\n")
    with pytest.raises(InputError) as caught:
        compile.names()
    assert caught.value.faults[0].path == str(path)
    assert caught.value.faults[0].line is not None


def test_an_unknown_id_in_a_table_by_subject(rules: Path) -> None:
    path = rules / "ingredients" / "carries.yaml"
    path.write_text("carries:\n  - {nutrients: [zinc], ids: [chicken, no-such-thing]}\n")
    with pytest.raises(InputError, match="no ingredient has the id 'no-such-thing'"):
        compile.names()
