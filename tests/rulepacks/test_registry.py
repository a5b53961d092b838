"""Checks by name: ours from the table, those of other packages only when asked for."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from panellint.core.errors import PanellintError, UnknownName
from panellint.rulepacks import registry
from panellint.rulepacks.parameters import Declaration, Parameter, Type


@pytest.mark.parametrize("name", registry.ours())
def test_every_check_of_the_table_is_there(name: str) -> None:
    module, _, function = registry.ours()[name]["run"].rpartition(".")
    assert registry.find(name).function is getattr(import_module(f"panellint.{module}"), function)


def test_the_table_is_in_order() -> None:
    assert list(registry.ours()) == sorted(registry.ours())


def test_every_check_that_is_written_is_named_in_the_table() -> None:
    folder = Path(registry.__file__).parents[1] / "lint" / "checks"
    written = {
        f"lint.checks.{path.stem}.{name}"
        for path in folder.glob("[a-z]*.py")
        for name in re.findall(
            r"^def ([a-z]\w*)\(\s*context: LabelContext, rule: Rule,?\s*\)",
            path.read_text(encoding="utf-8"),
            re.MULTILINE,
        )
    }
    assert written <= {stated["run"] for stated in registry.ours().values()}


def test_an_unknown_check_is_told_with_the_nearest() -> None:
    with pytest.raises(UnknownName, match=r"no check `wavier`; did you mean `waiver`"):
        registry.find("wavier")
    with pytest.raises(UnknownName, match=r"no check `zzzzzz`$"):
        registry.find("zzzzzz")


@pytest.fixture
def foreign(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A package of somebody else, as an installer leaves it."""
    (tmp_path / "larder_checks.py").write_text(
        "def good(case, rule):\n    return ()\n\nvalue = 3\n"
        "most = {'count': 'So many.', 'unit': 'geese'}\n"
        "DECLARATIONS = {'good': {'parameters': {'most': most}}}\n",
        encoding="utf-8",
    )
    info = tmp_path / "larder_checks-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(
        "Metadata-Version: 2.1\nName: larder-checks\nVersion: 1.0\n", encoding="utf-8"
    )
    (info / "entry_points.txt").write_text(
        "[panellint.checks]\nlarder-good = larder_checks:good\n"
        "larder-value = larder_checks:value\nlarder-gone = larder_gone:check\n"
        "waiver = larder_checks:good\n",
        encoding="utf-8",
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    registry.find.cache_clear()
    registry._foreign.cache_clear()
    yield
    registry.find.cache_clear()
    registry._foreign.cache_clear()


@pytest.mark.usefixtures("foreign")
def test_a_check_of_another_package_is_found_and_bears_its_name() -> None:
    check = registry.find("larder-good")
    assert check.package == "larder-checks"
    assert check.function(None, None) == ()
    assert "larder-good" in registry.names()


@pytest.mark.usefixtures("foreign")
def test_a_check_of_another_package_declares_as_ours_are_declared(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    declaration = registry.declaration("larder-good")
    most = Parameter("most", Type.COUNT, "So many.", "geese")
    assert declaration == Declaration((most,))
    module = import_module("larder_checks")
    monkeypatch.setattr(module, "DECLARATIONS", {"good": {"parameters": {"most": {"cont": "x"}}}})
    with pytest.raises(PanellintError, match="declares cannot be read"):
        registry.declaration("larder-good")


@pytest.mark.usefixtures("foreign")
def test_no_other_package_can_take_the_name_of_a_check_of_ours() -> None:
    assert registry.find("waiver").package == ""


@pytest.mark.usefixtures("foreign")
@pytest.mark.parametrize("name", ["larder-gone", "larder-value"])
def test_a_package_that_does_not_work_is_named(name: str) -> None:
    with pytest.raises(PanellintError, match=f"`{name}` of package larder-checks"):
        registry.find(name)


def test_a_check_of_ours_is_found_without_looking_at_other_packages() -> None:
    code = (
        "import sys; from panellint.rulepacks import registry; registry.find('waiver');"
        "print('importlib.metadata' in sys.modules)"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout == "False\n"
