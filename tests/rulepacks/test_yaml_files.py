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


def test_our_reader_gives_the_data_of_the_c_loader(file: Path) -> None:
    own = yaml_source.read(file, aliases=True)
    assert own.faults == []
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    assert yaml.load(file.read_text(encoding="utf-8"), Loader=loader) == own.data


@pytest.mark.parametrize(
    "file",
    [
        pytest.param(path, id=name_of(path), marks=pytest.mark.long if number % 8 else ())
        for number, path in enumerate(sorted(FILES, key=lambda path: path.stat().st_size))
    ],
)
def test_every_reader_gives_the_same_data(file: Path) -> None:
    """PyYAML in Python (YAML 1.1) and a reader of YAML 1.2: an eighth of the files in the
    ordinary run, of every size."""
    text = file.read_text(encoding="utf-8")
    data = yaml_source.read(file, aliases=True).data
    assert yaml.load(text, Loader=yaml.SafeLoader) == data
    assert YAML(typ="safe", pure=True).load(text) == data


@pytest.mark.parametrize("file", WRITTEN, ids=name_of)
def test_no_line_is_longer_than_a_screen(file: Path) -> None:
    long = [
        f"{name_of(file)}:{number}"
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > LONGEST
    ]
    assert long == []
