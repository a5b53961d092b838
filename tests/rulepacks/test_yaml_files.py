"""The YAML under `rules/`: one dialect for every reader, and lines that fit a screen."""

from pathlib import Path

import pytest
import yaml
from ruamel.yaml import YAML

from panellint.core.files import rules_folder
from panellint.rulepacks.compile import yaml_source

LONGEST = 120
FILES = sorted(rules_folder().rglob("*.yaml"))
#: What people write; what is generated has one row a line.
WRITTEN = [path for path in FILES if path.parent.name != "generated"]


def name_of(path: Path) -> str:
    return str(path.relative_to(rules_folder()))


@pytest.fixture(params=FILES, ids=name_of)
def file(request: pytest.FixtureRequest) -> Path:
    assert isinstance(request.param, Path)
    return request.param


def test_every_reader_gives_the_same_data(file: Path) -> None:
    """PyYAML in Python (YAML 1.1), its C loader, and a reader of YAML 1.2, against our own."""
    text = file.read_text(encoding="utf-8")
    own = yaml_source.read(file, aliases=True)
    assert own.faults == []
    assert yaml.load(text, Loader=yaml.SafeLoader) == own.data
    assert yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader)) == own.data
    assert YAML(typ="safe", pure=True).load(text) == own.data


@pytest.mark.parametrize("file", WRITTEN, ids=name_of)
def test_no_line_is_longer_than_a_screen(file: Path) -> None:
    long = [
        f"{name_of(file)}:{number}"
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > LONGEST
    ]
    assert long == []
