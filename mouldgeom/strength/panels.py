"""Panels and core walls under fresh concrete: every field, every bar, the lines that hold them, and what is required.

Bulge by the load as it is; strength by 1.5 times it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.model.assembly import Mould
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.rules.plate_fields import MEMBRANE, SMALL_DEFLECTION
from mouldgeom.strength.bulge import Bulge, bulge_of
from mouldgeom.strength.fields import (
    WALLS,
    BarUse,
    Field,
    PressedFace,
    core_name,
    end_plate,
    nose_fields,
    panel_name,
)
from mouldgeom.strength.panel_steps import (
    BUCKLING,
    GAMMA_M0,
    YIELD,
    bar_steps,
    bar_table,
    buckling_load,
    diaphragm_loads,
    diaphragm_steps,
    draw_steps,
    end_plate_steps,
    field_steps,
    field_table,
    line_table,
    published,
    steepness,
)
from mouldgeom.strength.places import height_words
from mouldgeom.strength.steps import Chapter
from mouldgeom.units import Mm, Mpa
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

__all__ = ["Bulge", "bulge_of", "chapter", "greatest_bulges"]

_ALLOWED: Final = "specification, shop.allowed_bulge"


def greatest_bulges(mould: Mould) -> dict[str, Mm]:
    """Greatest bulge of each panel and core wall by the quick formulas, by the name of the plate."""
    return bulge_of(mould).greatest()


# ---------------------------------------------------------------- chapter


def chapter(mould: Mould) -> Chapter:
    """Every field and bar, the ones that govern written out, and what is required of them."""
    dims, bulge = mould.dims, bulge_of(mould)
    panels = [bulge.faces[panel_name(wall)] for wall in WALLS]
    walls = [bulge.faces[core_name(wall)] for wall in WALLS]
    outer = [*(f for face in panels for f in face.fields), *nose_fields(dims)]
    core = [f for face in walls for f in face.fields]
    end = end_plate(dims)
    bars = [bar for face in panels for bar in face.bars]
    requirements = _requirements(dims, outer, [*core, end], core, bars, walls)
    return Chapter(
        title="Panels, stiffeners and core walls",
        assumptions=_ASSUMPTIONS,
        steps=(
            *field_steps(dims, max(outer, key=_bulge), "panels"),
            *bar_steps(dims, max(bars, key=_bar_stress)),
            *field_steps(dims, max(core, key=_bulge), "core walls"),
            *end_plate_steps(dims, end),
            *draw_steps(dims, max(core, key=steepness)),
            *diaphragm_steps(dims, walls),
        ),
        tables=(
            field_table(dims, [*outer, *core, end]),
            bar_table(bars),
            line_table([*panels, *walls]),
            published(),
        ),
        requirements=requirements,
        cautions=("The tables are for sheet that lies flat before it is pressed; a dent or a bow adds to the bulge.",),
    )


_ASSUMPTIONS: Final = (
    "Each field of sheet is simply supported for its bulge, which is more than it will have. For stress it is also "
    "taken as clamped where it runs on over a support, and the greater moment counts.",
    "Fields are measured between the edges of flanges and tubes. Front and back panel are held where the side panels "
    "end: what lies between there and the corner bolts is clamped to the corner flanges by them.",
    "The box of the nose is welded round its opening and stiffer than the sheet that it replaces: the front panel "
    "counts as if it had no opening.",
    "Each part of a field brings its load to the edge nearest to it, by lines at 45 degrees from the corners.",
    "Stiffeners bend by themselves, the sheet not counted with them: on front and back from one row of corner bolts "
    "to the other, on the sides from corner to corner. Their bending is added to the bulge of the fields beside them.",
    "Core walls are held at base plate, anchor plate, diaphragms and end plate, and by their neighbours. Up to the "
    "anchor plate wall and ledge strip bend together; beyond it the strip is not counted. The back wall, which closes "
    "the core, bears on the diaphragms without a weld: the concrete presses it on to them.",
    "Plates of end and nose count as the rectangle around them, held along its edges; the nose lid as a strip "
    "from bolt to bolt.",
    Said(
        "Plates bend without stretching up to a bulge of {small_deflection:g} of their thickness "
        "(Roark ch. 11). Beyond it w/t + {membrane:.3f} ((w/t)^3 - 1/8) replaces w/t for fields "
        "held all round: edges straight, but free to pull in, which helps least (equations of "
        "large deflections, one term, from memory). A field with a free top gets none.",
        small_deflection=SMALL_DEFLECTION,
        membrane=MEMBRANE,
    ),
)


def _bulge(field: Field) -> Mm:
    return round(field.bulge, 9)


def _stress(field: Field) -> Mpa:
    return round(field.stress, 9)


def _bar_stress(bar: BarUse) -> Mpa:
    return round(bar.stress, 9)


def _where(field: Field, dims: Dimensions) -> str:
    if field.piece == "end plate":
        return "end plate, at the floor"
    return Said("{piece}, {height}", piece=field.piece, height=height_words(field.place, dims))


def _requirements(
    dims: Dimensions,
    outer: Sequence[Field],
    inner: Sequence[Field],
    core: Sequence[Field],
    bars: Sequence[BarUse],
    walls: Sequence[PressedFace],
) -> tuple[Verdict, ...]:
    allowed, limit = dims.spec.shop.allowed_bulge, dims.stock.steel.yield_mpa / GAMMA_M0
    out, into, steep = max(outer, key=_bulge), max(inner, key=_bulge), max(core, key=steepness)
    strained, pressed, bar = max(outer, key=_stress), max(inner, key=_stress), max(bars, key=_bar_stress)

    def most(code: str, title: str, value: float, required: float, unit: str, where: str, source: str) -> Verdict:
        return Verdict(code, title, value, required, Operator.AT_MOST, unit, where, source)

    where = _where(out, dims)
    if out.sunk > 0:
        where = Said("{place}, {sunk:.2f} mm of it by stiffeners", place=where, sunk=out.sunk)
    found = [
        most(
            "8.2",
            "bulge of the panels, sheet and stiffeners",
            out.bulge,
            allowed,
            "mm",
            where,
            _ALLOWED,
        ),
        most("8.3", "bulge of core walls and end plate", into.bulge, allowed, "mm", _where(into, dims), _ALLOWED),
        most(
            "8.4",
            "stress in panels and nose",
            LOAD_FACTOR * strained.stress,
            limit,
            "MPa",
            _where(strained, dims),
            YIELD,
        ),
        most(
            "8.5",
            "stress in core walls and end plate",
            LOAD_FACTOR * pressed.stress,
            limit,
            "MPa",
            _where(pressed, dims),
            YIELD,
        ),
        most(
            "8.6",
            "stress in stiffeners and posts",
            LOAD_FACTOR * bar.stress,
            limit,
            "MPa",
            Said("{piece}, {name}, {height}", piece=bar.piece, name=bar.name, height=height_words(bar.z, dims)),
            YIELD,
        ),
        most(
            "8.8",
            "core draws past its own bulge: bulge over distance to the next deeper line",
            steepness(steep),
            dims.taper,
            "mm/mm",
            Said("{piece}, below the {top}", piece=steep.piece, top=steep.top),
            "own rule: the hardened concrete keeps the bulge; draft x distance is what the deeper line has to pass it",
        ),
    ]
    loads = diaphragm_loads(dims, walls)
    name, z, load = max(loads, key=lambda item: LOAD_FACTOR * item[2] / buckling_load(dims, item[0], item[1]))
    found.append(
        most(
            "8.9",
            "compression in diaphragms against buckling",
            LOAD_FACTOR * load,
            buckling_load(dims, name, z),
            "N/mm",
            Said("{name}, {height}", name=name, height=height_words(z, dims)),
            f"1.5 x pressure; {BUCKLING}",
        )
    )
    return tuple(found)
