"""Worked examples of each command, shown at the end of its help."""

EXAMPLES = {
    "lint": (
        "panellint lint labels",
        "panellint lint --explain duck.panel",
        "panellint lint --diff labels",
        "panellint lint -f terminal -f sarif=labels.sarif --fail-at error labels",
    ),
    "requirements": (
        "panellint requirements duck.panel",
        "panellint requirements -f json wet.panel",
    ),
    "outline": ("panellint outline duck.panel",),
    "shares": ("panellint shares duck.panel", "panellint shares --proof-of duck duck.panel"),
    "nutrition": ("panellint nutrition duck.panel",),
    "compare": ("panellint compare duck.panel wet.panel",),
    "blend": ('panellint blend duck.panel pumpkin --target "fat at most 10 %"',),
    "plan": (
        "panellint plan duck.panel --body-weight 26lb",
        "panellint plan duck.panel wet.panel --part half --part rest --body-weight 12",
    ),
    "reconcile": ("panellint reconcile duck.panel batch.csv",),
    "declare": ("panellint declare batch.csv --species dog --moisture 8",),
    "release": ("panellint release .",),
    "trace": ("panellint trace duck labels", "panellint trace 'vitamin E' labels -f csv"),
    "report": ("panellint report duck.panel", "panellint report -o duck.html duck.panel"),
    "changes": (
        "panellint changes duck.panel wet.panel",
        "panellint changes HEAD:duck.panel duck.panel -f markdown",
    ),
    "reformulate": ('panellint reformulate batch.csv --target "protein >= 30 %"',),
    "ingredient": ("panellint ingredient 'dried lamb lung'",),
    "rule": (
        "panellint rule",
        "panellint rule name-quarter",
        "panellint rule --checks split-family",
    ),
    "schema": ("panellint schema settings", "panellint schema lint -o lint.schema.json"),
    "pages": ("panellint pages --output site",),
    "init": ("panellint init", "panellint init --market eu --ci gitlab shop"),
    "help": ("panellint help lint",),
}
