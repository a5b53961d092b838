import json

from click.testing import CliRunner

from panellint.cli import cli
from panellint.rulepacks.packs import load

PACK = """pack: house
rules:
  - id: no-white-potato
    title: No white potato
    check: waiver
    severity: {practice: warning}
    with: {fault: unused}
    says: "No white potato."
    because: A promise of the house.
    source: {document: House rules, practice: true}
    examples:
      passes: ["Ingredients: duck."]
      fails: [{text: "Ingredients: potato.", marks: [potato]}]
"""


def invoke(*arguments):
    result = CliRunner().invoke(cli, ["rule", *arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result


def test_the_list_has_every_rule():
    result = invoke()
    assert result.exit_code == 0
    assert all(rule in result.stdout for rule in load())
    listed = json.loads(invoke("--format", "json").stdout)
    assert [row["rule"] for row in listed] == list(load())


def test_one_rule_with_its_source_and_examples():
    result = invoke("waiver-unused")
    rule = load()["waiver-unused"]
    assert rule.title in result.stdout
    assert "Source" in result.stdout
    assert "Passes:" in result.stdout
    assert json.loads(invoke("waiver-unused", "--format", "json").stdout)["rule"] == "waiver-unused"


def test_an_unknown_rule_names_the_nearest():
    result = invoke("waiver-unsed")
    assert result.exit_code == 2
    assert "waiver-unused" in result.stderr


def test_a_pack_whose_examples_fail_is_told(tmp_path):
    pack = tmp_path / "house.yaml"
    pack.write_text(PACK)
    result = invoke("--try", str(pack))
    assert result.exit_code == 1
    assert "2 examples tried, 1 not as they should be." in result.stdout
    trials = json.loads(invoke("--try", str(pack), "--format", "json").stdout)
    assert [bool(trial["problem"]) for trial in trials] == [False, True]


def test_a_faulty_pack_is_refused_with_its_place(tmp_path):
    pack = tmp_path / "house.yaml"
    pack.write_text(PACK.replace("severity:", "severty:"))
    result = invoke("--try", str(pack))
    assert result.exit_code == 2
    assert "house.yaml:6" in result.stderr


def test_one_question_at_a_time():
    assert invoke("waiver-unused", "--new", "pack.yaml").exit_code == 2
    assert invoke("waiver-unused", "waiver-expired").exit_code == 2
