"""Kettleglass: the workbench for making clear, re-meltable soap bases from scratch."""

__version__ = "0.1.0"
