"""Against the JSON Schema that OASIS publishes with SARIF 2.1.0."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from panellint.core.errors import Fault
from panellint.core.findings import FileFindings
from panellint.core.source import Source, Span
from panellint.lint.runner.results import Checked
from panellint.output.findings import sarif
from panellint.output.render_options import RenderOptions

SCHEMA = json.loads((Path(__file__).parent / "sarif-2.1.0.schema.json").read_text("utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)


def told(*stream, **look):
    made = json.loads("".join(sarif.write(iter(stream), RenderOptions(**look))))
    VALIDATOR.validate(made)
    [run] = made["runs"]
    return run


def test_the_schema_can_say_no(checked):
    run = told(checked)
    run["results"][0]["locations"][0]["physicalLocation"]["region"]["startLine"] = 0
    assert not VALIDATOR.is_valid({"version": "2.1.0", "runs": [run]})
    assert not VALIDATOR.is_valid({"version": "2.1.0", "runs": [{"results": []}]})


def test_a_result(checked, source):
    run = told(checked)
    first = run["results"][0]
    assert run["columnKind"] == "unicodeCodePoints"
    assert first["level"] == "error"
    assert [result["level"] for result in run["results"]] == ["error", "warning", "note"]
    place = first["locations"][0]["physicalLocation"]
    region = place["region"]
    assert region["snippet"] == {"text": "Millet"}
    line = source.text.splitlines()[region["startLine"] - 1]
    assert line[region["startColumn"] - 1 : region["endColumn"] - 1] == "Millet"
    assert place["artifactLocation"] == {"uri": "labels/duck.panel", "uriBaseId": "%SRCROOT%"}
    # Braces stand for placeholders in a SARIF message and are doubled where they are none.
    assert first["message"]["text"].startswith("Duck can be at most 20 % of this {{food}}.")


def test_pages_are_named_where_the_settings_name_them(checked):
    assert "informationUri" not in told(checked)["tool"]["driver"]
    driver = told(
        checked, page_of=lambda path, rule: f"https://rules.example/site/rules/{rule}.html"
    )["tool"]["driver"]
    assert driver["informationUri"] == "https://rules.example/site/index.html"
    for rule in driver["rules"]:
        assert rule["helpUri"] == f"https://rules.example/site/rules/{rule['id']}.html"


def test_rules_are_described_and_pointed_at(checked):
    run = told(checked)
    rules = run["tool"]["driver"]["rules"]
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
    for rule in rules:
        assert rule["shortDescription"]["text"]
        assert rule["fullDescription"]["text"]
        assert rule["help"]["text"]


def test_a_rule_of_a_pack_brings_its_own_words(checked, findings):
    from panellint.rulepacks.packs import load

    rule = next(iter(load().values()))
    finding = findings[0]._replace(rule=rule.id)
    run = told(
        checked._replace(result=FileFindings(checked.result.source, (finding,))),
        rule_of=lambda _path, _id: rule,
    )
    [described] = run["tool"]["driver"]["rules"]
    assert described["shortDescription"]["text"] == rule.title
    assert described["fullDescription"]["text"] == rule.because
    assert str(rule.source) in described["help"]["text"]


def marks(text: str, finding) -> list[str]:
    start = text.index("pea protein")
    moved = finding._replace(span=Span(start, start + len("pea protein")))
    source = Source(text, "labels/duck.panel")
    run = told(Checked(source.path, FileFindings(source, (moved,))))
    return [result["partialFingerprints"] for result in run["results"]]


def test_fingerprints_survive_a_moved_line(source, findings):
    first = marks(source.text, findings[1])
    assert marks("Species: dog\n\n" + source.text, findings[1]) == first
    assert marks(source.text.replace("\n", "\r\n"), findings[1]) == first
    assert marks(source.text.replace("peas", "green peas"), findings[1]) == first
    assert marks(source.text, findings[1]._replace(rule="another")) != first


def test_the_same_twice_has_two_fingerprints(source, findings):
    result = FileFindings(source, (findings[1], findings[1]))
    run = told(Checked(source.path, result))
    first, second = (result["partialFingerprints"] for result in run["results"])
    assert first != second


def test_waived_findings_are_suppressed_in_the_source(source, findings):
    run = told(Checked(source.path, FileFindings(source, findings[:1], findings[1:2])))
    assert [result.get("suppressions") for result in run["results"]] == [
        None,
        [{"kind": "inSource"}],
    ]


def test_remedies_are_fixes(checked):
    last = told(checked)["results"][-1]
    [change] = last["fixes"][0]["artifactChanges"]
    [replacement] = change["replacements"]
    assert replacement["insertedContent"]["text"] == "salt (0.5 %)"


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        ("labels/a b.panel", {"uri": "labels/a%20b.panel", "uriBaseId": "%SRCROOT%"}),
        ("é.panel", {"uri": "%C3%A9.panel", "uriBaseId": "%SRCROOT%"}),
        ("-", {"uri": "stdin"}),
    ],
)
def test_addresses(path, uri, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert sarif.artifact(path, tmp_path) == uri


def test_a_file_outside_the_repository_has_an_absolute_address(tmp_path):
    made = sarif.artifact(str(tmp_path / "x.panel"), tmp_path / "inside")
    assert made == {"uri": (tmp_path / "x.panel").as_uri()}


def test_what_could_not_be_used_is_a_notification(clean):
    broken = Checked("x.panel", faults=(Fault("x.panel", 3, 2, "not text"),))
    [invocation] = told(clean, broken)["invocations"]
    assert not invocation["executionSuccessful"]
    [note] = invocation["toolExecutionNotifications"]
    assert note["locations"][0]["physicalLocation"]["region"] == {"startLine": 3, "startColumn": 2}
    assert told(clean)["invocations"][0]["executionSuccessful"]
