"""The means are made with the ranges, and what they are made from does not ship."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

from panellint.catalogue.rows import means_of
from panellint.core.files import rules_folder

ROOT = Path(__file__).parents[2]


def test_means_are_those_of_the_rows():
    """USDA National Nutrient Database, Release 28: chicken liver, NDB 05027, 76.46 % of water
    and 4.83 % of fat."""
    assert means_of("chicken-liver")["moisture"] == 76.46
    assert means_of("chicken-liver")["fat"] == 4.83
    assert means_of("no-such-thing") == {}


def test_an_estimate_imports_no_tool_of_the_makers_of_the_tables():
    code = (
        "import sys; from panellint.catalogue.rows import means_of; means_of('duck');"
        "print([m for m in sys.modules if m.startswith('panellint.catalogue.build')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout.strip() == "[]", done.stderr


def test_all_rules_but_the_tables_are_in_the_wheel():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    shipped = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    there = {f"rules/{path.name}" for path in rules_folder().iterdir()}
    assert there - set(shipped) == {"rules/tables"}
    assert all(target == f"panellint/{source}" for source, target in shipped.items())
