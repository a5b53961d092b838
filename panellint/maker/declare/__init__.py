"""From a batch sheet to a label: the declaration, guarantees, calorie line, names it earns."""

from panellint.maker.declare.label import Declared, Product, declare

__all__ = ["Declared", "Product", "declare"]
