"""Workflow commands, read back as the runner reads them.

The runner (actions/runner, src/Runner.Common/ActionCommand.cs) takes what stands between `::` and
the next `::` for name and properties, parts these at commas and each at its first `=`, and takes
back `%0D`, `%0A`, `%3A`, `%2C` and last `%25`; in the message the first two and the last alone. The
properties are title, file, line, endLine, col and endColumn (actions/toolkit,
packages/core/src/utils.ts); columns are given where both lines are one (its annotations' fields).
"""

import re
from pathlib import Path

from panellint.core.errors import Fault
from panellint.lint.runner.results import Checked
from panellint.output.findings import github
from panellint.output.render_options import RenderOptions

PROPERTIES = {"title", "file", "line", "endLine", "col", "endColumn"}


def unescaped(text: str, *signs: str) -> str:
    for sign in (*signs, "%"):
        text = text.replace(f"%{ord(sign):02X}", sign)
    return text


def commands(*stream) -> list[tuple[str, dict[str, str], str]]:
    text = "".join(github.write(iter(stream), RenderOptions(root=Path())))
    read = []
    for line in re.split("[\r\n]+", text.rstrip("\n")):
        assert line.startswith("::")
        end = line.index("::", 2)
        name, _, properties = line[2:end].partition(" ")
        assert name in ("error", "warning", "notice")
        given = dict(pair.split("=", 1) for pair in properties.split(","))
        assert given.keys() <= PROPERTIES
        values = {key: unescaped(value, "\r", "\n", ":", ",") for key, value in given.items()}
        read.append((name, values, unescaped(line[end + 2 :], "\r", "\n")))
    return read


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
