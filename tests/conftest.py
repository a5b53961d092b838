"""What several test files share."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings as hypothesis_settings

from panellint.core import cache
from panellint.rulepacks import settings

# Tests start the command hundreds of times. Its bytecode is compiled once a run, outside the tree;
# the workers of a parallel run inherit the folder.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
if "PYTHONPYCACHEPREFIX" not in os.environ:
    os.environ["PYTHONPYCACHEPREFIX"] = tempfile.mkdtemp(prefix="panellint-bytecode-")
    atexit.register(shutil.rmtree, os.environ["PYTHONPYCACHEPREFIX"], ignore_errors=True)

# No test watches a clock.
hypothesis_settings.register_profile("panellint", deadline=None)
hypothesis_settings.load_profile("panellint")


@pytest.fixture
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A cache folder of this test's own, empty; nothing that was read before is remembered."""
    folder = tmp_path / "cache-of-the-test"
    monkeypatch.setenv("PANELLINT_CACHE", str(folder))
    cache.forget_folder()
    settings.forget()
    yield folder
    cache.forget_folder()
    settings.forget()


@pytest.fixture(scope="session")
def program() -> Callable[[str], str]:
    """Where a program of the system is. A test that needs one that is missing is skipped, but
    fails where CI is set: there nothing is left untested in silence."""

    def find(name: str) -> str:
        found = shutil.which(name)
        if found is None:
            words = f"{name} is not installed"
            if os.environ.get("CI"):
                pytest.fail(words)
            pytest.skip(words)
        return found

    return find
