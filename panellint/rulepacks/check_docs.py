"""What `panellint rule --checks` answers: what each check looks at and takes."""

import inspect

from panellint.core.records import to_data
from panellint.core.text import one_line
from panellint.results.rules import CheckData, ParameterData
from panellint.rulepacks import registry
from panellint.rulepacks.parameters import REQUIRED, Parameter


def checks(name: str | None = None) -> list[CheckData]:
    """Returns every check of ours and of installed packages by name, or the one named. Raises
    UnknownName, with the nearest name."""
    return [_data(check) for check in ([name] if name else registry.names())]


def _data(name: str) -> CheckData:
    check = registry.find(name)
    declaration = registry.declaration(name)
    doc = inspect.getdoc(check.function) or ""
    return {
        "check": name,
        "title": one_line(doc.partition("\n\n")[0]),
        "needs": registry.needs(name),
        "parameters": [_parameter(parameter) for parameter in declaration.parameters]
        if declaration
        else [],
        "variants": list(declaration.variants) if declaration else [],
    }


def _parameter(parameter: Parameter) -> ParameterData:
    required = parameter.default is REQUIRED
    return to_data(
        ParameterData,
        parameter,
        required=required,
        default=None if required else parameter.default,
        fields=list(map(_parameter, parameter.fields)),
    )
