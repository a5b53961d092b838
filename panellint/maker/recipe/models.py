"""What a recipe file and a file of materials may hold, and their JSON Schemas."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from panellint.rulepacks.compile.models import Model, Text, as_cases, market_ids, one_of, published
from panellint.rulepacks.data import data

#: Steps by the key that names them, in the order in which a food is usually made.
STEPS = ("mix", "add-water", "cook", "dry", "coat", "fill")

_AMOUNT = {"type": "string", "examples": ["290 kg", "12 lb", "58 %"]}
Amount = Annotated[Text, WithJsonSchema(_AMOUNT)]
Percentage = Annotated[
    Text, WithJsonSchema({"type": "string", "examples": ["8 %"], "pattern": r"^[\d.,]+ ?%$"})
]
Market = Annotated[str, one_of("market", market_ids)]


Declared = Annotated[
    dict[str, Text], BeforeValidator(as_cases, json_schema_input_type=str | dict[str, str])
]


def _nutrients() -> list[str]:
    return [row["id"] for row in data("nutrients/nutrients")["nutrients"]]


class Figure(Model):
    """A mean of the maker's analyses, with their standard deviation and its unit."""

    mean: Annotated[float, Field(ge=0)]
    sd: Annotated[float | None, Field(ge=0, description="Standard deviation of the batches.")] = (
        None
    )
    unit: Annotated[Text | None, Field(description="Else the nutrient's own unit.")] = None


def _figure(value: object) -> object:
    return {"mean": value} if isinstance(value, int | float) else value


OneFigure = Annotated[
    Figure, BeforeValidator(_figure, json_schema_input_type=Annotated[float, Field(ge=0)] | Figure)
]


class Part(Model):
    """What a premix is made of: a material or an ingredient, and how much."""

    material: Annotated[Text, Field(description="A code or a name of the materials, or any name.")]
    amount: Amount


class Material(Model):
    """One raw material of the maker's own list."""

    code: Annotated[Text | None, Field(description="By which recipes call it.")] = None
    name: Text
    declared: Annotated[
        Declared, Field(description="As labels print it: a text, or texts by market.")
    ] = Field(default_factory=dict)
    analysis: dict[Annotated[str, one_of("nutrient", _nutrients)], OneFigure] = Field(
        default_factory=dict, description="Nutrient id to its figure, as added."
    )
    supplier: str = ""
    origin: str = ""
    cost: Annotated[float | None, Field(ge=0, description="Per kg.")] = None
    least: Annotated[float | None, Field(ge=0, le=100, description="Percent of the mix.")] = None
    most: Annotated[float | None, Field(ge=0, le=100, description="Percent of the mix.")] = None
    allergens: list[Text] = Field(default_factory=list)
    members: list[Part] = Field(default_factory=list, description="What a premix is made of.")


class Materials(Model):
    """`materials.yaml`: the raw materials of a maker."""

    materials: Annotated[list[Material], Field(min_length=1)]


class Use(Part):
    """A material that goes into a step."""

    lot: str = ""


class Loss(Model):
    """What a step of heat takes out: weights, or what is left of all that went in."""

    water_out: Annotated[Amount | None, Field(alias="water-out")] = None
    fat_out: Annotated[Amount | None, Field(alias="fat-out")] = None
    yield_: Annotated[
        Percentage | None, Field(alias="yield", description="What is left, of what is in so far.")
    ] = None
    to_moisture: Annotated[
        Percentage | None, Field(alias="to-moisture", description="Moisture after this step.")
    ] = None


class Pack(Model):
    """What the food is filled into."""

    net: Amount


class Step(Model):
    """One step, under the key that names it."""

    mix: list[Use] | None = None
    add_water: Annotated[Amount | None, Field(alias="add-water")] = None
    cook: Loss | None = None
    dry: Loss | None = None
    coat: list[Use] | None = None
    fill: Pack | None = None

    @model_validator(mode="after")
    def _one_step(self) -> Step:
        if len(self.model_fields_set) != 1:
            raise ValueError(f"a step is one of {', '.join(STEPS)}")
        return self


class Recipe(Model):
    """`recipe.yaml`: a food as it is made, step by step."""

    product: str = ""
    species: str = ""
    form: str = ""
    market: Market | None = None
    stage: str = ""
    unit: Annotated[str, Field(description="A familiar unit with its weight: cup 110 g.")] = ""
    materials: Annotated[
        Text | None, Field(description="The file of materials, relative to this one.")
    ] = None
    steps: Annotated[list[Step], Field(min_length=1)]


def recipe_schema() -> dict[str, Any]:
    """Returns the JSON Schema of a recipe file."""
    return published(Recipe.model_json_schema(by_alias=True), "recipe")


def materials_schema() -> dict[str, Any]:
    """Returns the JSON Schema of a file of materials."""
    return published(Materials.model_json_schema(by_alias=True), "materials")
