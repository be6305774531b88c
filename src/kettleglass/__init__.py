"""Kettleglass: the workbench for making clear, re-meltable soap bases from scratch."""

import os

__version__ = "0.1.0"

# The products here are of small matrices: threads would wait for each other longer than they compute, many times
# longer on a busy machine. Whoever sets the variable before has their way.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
