"""What several test files share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from panellint import places, settings


@pytest.fixture
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A cache folder of this test's own, empty; nothing that was read before is remembered."""
    folder = tmp_path / "cache-of-the-test"
    monkeypatch.setenv("PANELLINT_CACHE", str(folder))
    places.cache_folder.cache_clear()
    settings.forget()
    yield folder
    places.cache_folder.cache_clear()
    settings.forget()
