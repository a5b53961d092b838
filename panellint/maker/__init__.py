"""The maker's own formula: batch sheets read, and what a food made by them holds."""

from panellint.maker.model import Batch, Line, Place, Remark
from panellint.maker.sheet.read import read_batch

__all__ = ["Batch", "Line", "Place", "Remark", "read_batch"]
