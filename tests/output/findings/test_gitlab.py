"""The code quality report against the shape that GitLab publishes.

"Code Quality report format" (docs.gitlab.com, doc/ci/testing/code_quality.md): description,
check_name, fingerprint, severity (info, minor, major, critical or blocker), location.path, relative
and without "./", location.lines.begin; no byte-order mark. What its parser itself asks
(app/validators/json_schemas/codeclimate.json) is less: no check_name and no words of severity.
"""

import json

import jsonschema

from panellint.core.errors import Fault
from panellint.lint.runner.results import Checked
from panellint.output.findings import gitlab
from panellint.output.render_options import RenderOptions

SHAPE = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["description", "check_name", "fingerprint", "severity", "location"],
        "properties": {
            "description": {"type": "string", "minLength": 1},
            "check_name": {"type": "string", "minLength": 1},
            "fingerprint": {"type": "string", "minLength": 1},
            "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
            "location": {
                "type": "object",
                "required": ["path", "lines"],
                "properties": {
                    "path": {"type": "string", "pattern": "^(?!/|\\./).+$"},
                    "lines": {
                        "type": "object",
                        "required": ["begin"],
                        "properties": {"begin": {"type": "integer", "minimum": 1}},
                    },
                },
            },
        },
    },
}


def report(*stream) -> list[dict]:
    text = "".join(gitlab.write(iter(stream), RenderOptions()))
    assert text.startswith("[")
    data = json.loads(text)
    jsonschema.validate(data, SHAPE)
    return data


def test_each_finding_is_a_row(checked):
    rows = report(checked)
    assert [row["severity"] for row in rows] == ["critical", "major", "info"]
    assert rows[0]["location"] == {"path": "labels/duck.panel", "lines": {"begin": 1}}
    assert len({row["fingerprint"] for row in rows}) == 3


def test_the_same_finding_in_two_labels_has_two_fingerprints(checked):
    rows = report(checked, checked._replace(path="labels/other.panel"))
    assert len({row["fingerprint"] for row in rows}) == 6


def test_nothing_found_and_nothing_read(clean):
    assert report(clean) == []
    broken = Checked("x.panel", faults=(Fault("x.panel", None, None, "not text"),))
    assert [row["severity"] for row in report(broken)] == ["blocker"]
