"""YAML to compiled packs and settings; imported only where something has changed.

`yamltext` reads YAML with the place of everything, `models` are the types that validate and
give the JSON Schemas, `faults` turns what they refuse into faults with file, line and column,
`packs` and `settings` compile.
"""
