import json

from panellint.core.errors import Fault
from panellint.core.findings import FileFindings, Severity
from panellint.core.source import Source, Span
from panellint.lint.runner.results import Checked
from panellint.output.findings import json as findings_json
from panellint.output.render_options import RenderOptions


def told(*stream, **look):
    return json.loads("".join(findings_json.write(iter(stream), RenderOptions(**look))))


def test_the_object_others_rely_on(checked, clean):
    made = told(checked, clean)
    assert [file["path"] for file in made["files"]] == [
        "labels/duck.panel",
        clean.result.source.path,
    ]
    assert made["summary"] == {"error": 1, "warning": 1, "information": 0, "hint": 1}
    first = made["files"][0]["findings"][0]
    assert first["rule"] == "name-quarter-share"
    assert first["severity"] == "error"
    assert first["certainty"] == "proven"
    assert first["message"] == "Duck can be at most 20 % of this {food}."
    # Columns count code points, so the duck before the words is one.
    assert first["start"] == {"line": 1, "column": 24}
    assert first["end"] == {"line": 1, "column": 30}
    assert first["text"] == "Millet"
    assert first["rests_on"] == ["order", "percentages"]
    assert first["proof"] == ["Four are declared before duck, so duck is at most 20 %."]
    assert first["source"].startswith("A regulation")


def test_an_empty_run_is_an_object_too():
    assert told()["files"] == []


def test_what_could_not_be_used_is_told():
    broken = Checked("x.panel", faults=(Fault("x.panel", 1, 2, "not text", "UTF-8 text"),))
    assert told(broken)["unusable"] == [
        {"path": "x.panel", "line": 1, "column": 2, "message": "not text", "expected": "UTF-8 text"}
    ]


def test_bytes_do_not_depend_on_the_locale_and_surrogates_survive(findings):
    source = Source("\udc80 Millet pea protein salt peas", "x\udcff.panel")
    finding = findings[1]._replace(span=Span(0, 1), message="\udc80 é")
    text = "".join(
        findings_json.write(
            iter([Checked(source.path, FileFindings(source, (finding,)))]), RenderOptions()
        )
    )
    assert text.isascii()
    assert json.loads(text)["files"][0]["findings"][0]["message"] == "\udc80 é"


def test_waived_findings_are_kept_apart(source, findings):
    result = FileFindings(source, findings[:1], findings[1:2])
    [file] = told(Checked(source.path, result))["files"]
    assert [one["rule"] for one in file["waived"]] == ["split-family"]
    assert told(Checked(source.path, result))["summary"]["warning"] == 0


def test_severities_are_plain_words():
    assert findings_json.dumps({"s": Severity.ERROR}) == '{"s": "error"}'
