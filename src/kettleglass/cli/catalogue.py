"""``kettleglass catalogue``: find materials, and show one with the sources of its figures."""

from __future__ import annotations

import click

from kettleglass.cli.show import as_json, fail, table
from kettleglass.materials import Figure, Material
from kettleglass.materials.bibliography import source_of
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.words import figure_label, parts_in_words

AS_JSON = click.option("--json", "wants_json", is_flag=True, help="Full precision, with the units in the keys.")


@click.group()
def catalogue() -> None:
    """Find and show materials, with their sources."""


@catalogue.command()
@click.argument("text")
@click.option("--limit", default=10, show_default=True, type=click.IntRange(1, 200), help="How many at most.")
@AS_JSON
def find(text: str, limit: int, wants_json: bool) -> None:
    """Materials by name, by what people call them, by plant or by CAS number; slips are forgiven."""
    found = load_catalogue().find(text, limit)
    if wants_json:
        as_json({"found": [{"id": m.id, "name": m.name, "kind": m.kind} for m in found]})
    elif not found:
        fail(f"Nothing in the catalogue is called “{text}”.", "Try a shorter word, or its name in the trade.")
    else:
        table(("id", "name", "kind"), [(m.id, m.name, m.kind) for m in found])


@catalogue.command()
@click.argument("material_id", metavar="ID")
@AS_JSON
def show(material_id: str, wants_json: bool) -> None:
    """One material: what it is made of, its figures, their sources and how they are known."""
    material = load_catalogue().get(material_id)
    if wants_json:
        as_json(material_dict(material))
        return
    click.echo(f"{material.name} ({material.kind})")
    if material.note:
        click.echo(material.note)
    table(
        ("figure", "value", "low", "high", "unit", "known"), [_figure_row(*pair) for pair in material.figures.items()]
    )
    click.echo()
    table(("made of", "%"), [(name, f"{100 * share:.2f}") for name, share in parts_in_words(material)])
    click.echo("\n" + "\n".join(dict.fromkeys(citation(figure) for figure in material.figures.values())))
    for remark in material.remarks:
        click.echo(f"{remark.level}: {remark.text} {remark.advice}")


def citation(figure: Figure) -> str:
    """Where a figure is from, in full where the bibliography has it."""
    return source_of(figure.source_key).citation if figure.source_key else figure.source


def _figure_row(name: str, figure: Figure) -> tuple[str, ...]:
    ends = (figure.value, figure.low, figure.high)
    return (figure_label(name), *(f"{x:.5g}" for x in ends), figure.unit, figure.known)


def material_dict(material: Material) -> dict[str, object]:
    """A material as plain data: composition in g/g, figures in their own units."""
    return {
        "id": material.id,
        "name": material.name,
        "kind": material.kind,
        "composition_g_per_g": dict(material.composition),
        "figures": {
            name: {
                "value": f.value, "low": f.low, "high": f.high, "unit": f.unit, "shape": f.shape, "known": f.known,
                "source": citation(f),
            }
            for name, f in material.figures.items()
        },
        "traits": sorted(material.traits),
        "aliases": list(material.aliases),
        "note": material.note,
    }  # fmt: skip
