"""What can be bought or made: figures with their sources, the catalogue, compositions and doubts."""

from kettleglass.materials.figure import Figure, exact
from kettleglass.materials.material import Doubt, LabelNames, Material

__all__ = ["Doubt", "Figure", "LabelNames", "Material", "exact"]
