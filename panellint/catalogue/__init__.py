"""The catalogue: what is known of every word on a declaration.

`rules/ingredients/` holds it: hand-written names and kinds, generated composition ranges.
Names are compiled into one cache file and figures into another, so that a look-up by name
never reads the figures.
"""

from panellint.catalogue.store import Catalogue, load

__all__ = ["Catalogue", "load"]
