"""No name of the program's own reaches a person: every species and figure of the catalogue has plain words."""

from __future__ import annotations

import re

from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.words import figure_label, species_words

INSIDE = re.compile(r"_|\bacyl\b|\d+:\d+|_c$")


def test_every_species_has_plain_words() -> None:
    ids = {species for material in load_catalogue() for species in material.composition}
    assert {species: words for species in ids if INSIDE.search(words := species_words(species))} == {}
    assert species_words("acyl.12:0") == "lauric acid, bound in the fat"
    assert species_words("soap.18:1-OH") == "ricinoleic acid, as soap"
    assert "do not agree" in species_words("acid.residue")


def test_every_figure_has_plain_words() -> None:
    names = {name for material in load_catalogue() for name in material.figures}
    assert {name: words for name in names if INSIDE.search(words := figure_label(name))} == {}
    assert figure_label("titre_c") == "titre"
