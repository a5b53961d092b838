"""All that the figures of a label allow, with what is likely, as plain data."""

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import helpful_questions, likely_parts
from panellint.analysis.nutrition_input import calories_clash, ranges_by_shares, statement_of
from panellint.nutrition.serialize import to_dict
from panellint.results.nutrition import Assessed, Nutrition


def assessed_of(context: LabelContext) -> Assessed:
    """Returns all that the figures of a label allow."""
    assessment = statement_of(context)
    likely = likely_parts(context).get("carbohydrate")
    assessed = to_dict(assessment, ranges_by_shares(context, assessment), likely)
    if words := calories_clash(context):
        assessed["notes"].insert(0, words)
    return assessed


def nutrition(context: LabelContext) -> Nutrition:
    """Returns the same with the label's path and name, what is likely, and what to ask the maker:
    the object of `nutrition --format json`."""
    return {
        "path": context.source.path,
        "name": context.label.product_name or None,
        **assessed_of(context),
        "likely": likely_parts(context),
        "questions": helpful_questions(context),
    }
