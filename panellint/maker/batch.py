"""A batch in any of its forms: a sheet, or a recipe in steps."""

from pathlib import Path

from panellint.maker.model import Batch
from panellint.maker.sheet.read import RECIPES, SheetChoice, read_sheet


def read_batch(
    path: str | Path, root: Path | None = None, choice: SheetChoice | None = None
) -> Batch:
    """The batch in a recipe (YAML) or in a sheet, which `choice` and `path[Worksheet]` choose.

    `root` is the folder that files named in it must lie below, by default its own. Raises
    InputError with every fault.
    """
    if Path(path).suffix.lower() in RECIPES:
        from panellint.maker.recipe.read import read_recipe

        return read_recipe(str(path), root)
    return read_sheet(path, root, choice)
