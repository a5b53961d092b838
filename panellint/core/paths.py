"""Where the rules lie."""

from functools import cache
from pathlib import Path


@cache
def rules_folder() -> Path:
    """Returns the folder of rule packs and catalogue: inside a wheel, or beside it in a
    checkout."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"
