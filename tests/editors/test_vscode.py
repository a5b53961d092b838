"""The extension for VS Code: its package as the editor reads it, its client with the real server
against a stub of the editor's API, in node."""

import json
import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

import panellint
from panellint.editors.vscode.pack import pack
from panellint.rulepacks import settings

HERE = Path(__file__).parent
PATIENCE = 120


@pytest.fixture
def unpacked(tmp_path):
    """The extension as it lies on a user's disk."""
    pack(tmp_path / "panellint.vsix")
    with zipfile.ZipFile(tmp_path / "panellint.vsix") as archive:
        assert archive.testzip() is None
        archive.extractall(tmp_path / "unpacked")
    return tmp_path / "unpacked"


def test_the_package_holds_what_its_manifests_name(unpacked):
    package = json.loads((unpacked / "extension/package.json").read_text())
    contributes = package["contributes"]
    named = [
        package["main"],
        *(one["configuration"] for one in contributes["languages"]),
        *(one["path"] for one in contributes["grammars"]),
        *(one["url"] for one in contributes["yamlValidation"]),
    ]
    assert all((unpacked / "extension" / name).is_file() for name in named)
    space = {"v": "http://schemas.microsoft.com/developer/vsx-schema/2011"}
    manifest = ElementTree.parse(unpacked / "extension.vsixmanifest")
    identity = manifest.find("v:Metadata/v:Identity", space)
    assert identity.attrib["Id"] == package["name"]
    assert identity.attrib["Version"] == package["version"]
    assets = [one.attrib["Path"] for one in manifest.iterfind("v:Assets/v:Asset", space)]
    assert assets
    assert all((unpacked / path).is_file() for path in assets)
    types = ElementTree.parse(unpacked / "[Content_Types].xml").getroot()
    known = {one.attrib["Extension"] for one in types}
    files = [path for path in unpacked.rglob("*") if path.is_file()]
    assert {path.suffix for path in files} - {".xml"} <= known
    markets = contributes["configuration"]["properties"]["panellint.market"]["enum"]
    assert set(markets) == {*settings.markets(), None}


def test_the_same_files_make_the_same_package(tmp_path):
    for name in ("a.vsix", "b.vsix"):
        pack(tmp_path / name)
    assert (tmp_path / "a.vsix").read_bytes() == (tmp_path / "b.vsix").read_bytes()


def test_the_grammar_finds_headings_figures_and_waivers():
    source = HERE.parents[1] / "panellint/editors/vscode/panel.tmLanguage.json"
    # Python has no \p{L}; the rest is the same language.
    grammar = json.loads(source.read_text().replace(r"\\p{L}", "A-Za-z"))
    patterns = [one["match"] for one in grammar["patterns"]]
    waive, heading, figure, *_ = map(re.compile, patterns)
    assert waive.match("Waive calorie-line until 2027-03-01: x").groups()[1::2] == (
        "calorie-line",
        "2027-03-01",
    )
    assert heading.match("Product name: Duck")[1] == "Product name"
    assert figure.search("Crude fat (min) 14.0 %")[0] == "14.0 %"


def test_the_client_with_the_real_server(unpacked, program, command, tmp_path):
    (tmp_path / "a b.panel").write_text(
        "Product name: Quillbrook Larder Duck Dinner for Dogs\n"
        "Ingredients: duck, brown rice, flaxsed, salt.\n"
        "Guaranteed analysis\n  Crude protein (min.) 26.0%\n  Moisture (max.) 10.0%\n"
    )
    done = subprocess.run(
        [
            program("node"),
            str(HERE / "vscode_stub.js"),
            str(unpacked / "extension"),
            str(command),
            str(tmp_path),
        ],
        capture_output=True,
        text=True,
        timeout=PATIENCE,
    )
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["severity"] == 1
    assert answer["range"]["start"] == {"line": 1, "character": 31}
    assert len(answer["hints"]) >= 3
    assert answer["lenses"][0].startswith("Duck Dinner: needs 25 %")
    assert "*Why:*" in answer["hover"]
    assert ["Write `flaxseed`", "quickfix"] in answer["actions"]
    assert ["Make the sure corrections", "source.fixAll"] in answer["actions"]
    assert answer["edits"] == ["flaxseed"]
    assert answer["symbols"][:2] == ["Product name", "Ingredients"]
    assert answer["highlights"] == 2
    assert answer["folds"]
    assert answer["completion"]
    assert answer["messages"] == []


def test_what_is_no_package_s_name_is_refused(tmp_path):
    env = {**os.environ, "PYTHONPATH": str(Path(panellint.__file__).parents[1])}
    command = [sys.executable, "-m", "panellint.editors.vscode.pack", "--help"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, env=env)
    assert done.returncode == 1
    assert "NAME.vsix" in done.stderr
    assert list(tmp_path.iterdir()) == []
