"""`panellint schema`: the JSON Schema of an output, or of a file that a user writes."""

import json
from typing import Any

import click

from panellint.commands.options import Request, request
from panellint.output.schema import OUTPUTS

FILES = ("ingredients", "materials", "pack", "recipe", "settings")
EPILOG = f"""NAME is an output ({", ".join(OUTPUTS)}) or a file ({", ".join(FILES)})."""


@click.command(epilog=EPILOG)
@click.argument("name", type=click.Choice([*OUTPUTS, *FILES]))
@request("json", market=False)
def schema(name: str, request: Request) -> None:
    """Print the JSON Schema of what a command prints with --format json, or of a file that you
    write, so that programs can check and editors complete it."""
    from panellint.output.atomic_file import write_whole

    write_whole(request.output, json.dumps(_schema(name), indent=1) + "\n")


def _schema(name: str) -> dict[str, Any]:
    from panellint.rulepacks.settings import Settings, markets

    if name in OUTPUTS:
        from panellint.output.schema import output_schema

        return output_schema(name, list(Settings().rules), markets())
    if name in ("pack", "settings"):
        from panellint.rulepacks.compile.models import settings_schema
        from panellint.rulepacks.compile.parameters import pack_schema

        return pack_schema() if name == "pack" else settings_schema(Settings().rules)
    if name == "ingredients":
        from panellint.catalogue.own_files import schema as ingredients_schema

        return ingredients_schema()
    from panellint.maker.recipe.models import materials_schema, recipe_schema

    return recipe_schema() if name == "recipe" else materials_schema()
