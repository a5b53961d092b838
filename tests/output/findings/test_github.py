"""Workflow commands, read back as the runner reads them.

The runner takes `::name key=value,key=value::message`; `%25`, `%0D`, `%0A` stand for what would end
the line, `%3A` and `%2C` in a value for what would end it (docs.github.com, "Workflow commands for
GitHub Actions"; actions/toolkit, packages/core/src/command.ts).
"""

import re
from pathlib import Path
from urllib.parse import unquote

from panellint.core.errors import Fault
from panellint.lint.runner.results import Checked
from panellint.output.findings import github
from panellint.output.render_options import RenderOptions

COMMAND = re.compile(r"::(error|warning|notice) ([^:\r\n]*)::([^\r\n]*)\n")


def commands(*stream) -> list[tuple[str, dict[str, str], str]]:
    text = "".join(github.write(iter(stream), RenderOptions(root=Path())))
    found = list(COMMAND.finditer(text))
    assert "".join(one[0] for one in found) == text
    return [
        (
            one[1],
            {key: unquote(value) for key, value in (pair.split("=") for pair in one[2].split(","))},
            unquote(one[3]),
        )
        for one in found
    ]


def test_each_finding_is_a_command(checked):
    kinds = commands(checked)
    assert [kind for kind, _, _ in kinds] == ["error", "warning", "notice"]
    _, where, message = kinds[0]
    assert where == {
        "file": "labels/duck.panel",
        "line": "1",
        "endLine": "1",
        "col": "24",
        "endColumn": "30",
        "title": "name-quarter-share",
    }
    assert message.splitlines()[0] == "Duck can be at most 20 % of this {food}."
    assert message.splitlines()[1].startswith("Four are declared before duck")


def test_what_could_not_be_used_is_an_error():
    broken = Checked("a,b:c.panel", faults=(Fault("a,b:c.panel", 3, 1, "not\ntext"),))
    assert commands(broken) == [
        (
            "error",
            {"file": "a,b:c.panel", "line": "3", "col": "1", "title": "unusable"},
            "not\ntext",
        )
    ]
