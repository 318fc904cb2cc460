"""Steps and tables of the calculation of panels and core walls."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.rules import NewtonPerMm, bending
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.rules.plate_fields import MEMBRANE, SMALL_DEFLECTION, coefficients, series_value
from mouldgeom.strength.fields import BarUse, Field, PressedFace, inner_plates, shell_sheet
from mouldgeom.strength.places import height_words
from mouldgeom.strength.steps import ResultTable, Step
from mouldgeom.units import Mm, Mpa, Ratio
from mouldgeom.words import Said

GAMMA_M0: Final[Ratio] = 1.0
"""On the yield strength.

Source: EN 1993-1-1:2005 6.1, recommended value (from memory).
"""
PLATES: Final = "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, Art. 30, 31, 48"
BUCKLING: Final = "Timoshenko and Gere, Theory of Elastic Stability, 2nd ed. 1961, plates (from memory)"
YIELD: Final = "1.5 x pressure by EN 1990:2002 Table A1.2(B); yield / 1.0 by EN 1993-1-1:2005 6.1 (both from memory)"


def steepness(field: Field) -> Ratio:
    """Greatest of bulge over distance to the line above, which lies deeper in the filter and must pass it."""
    shape, tall = field.shape(), field.high - field.low
    last = len(shape) - 1
    return round(max(field.bent * w / (tall * (1 - i / last)) for i, w in enumerate(shape[:-1])), 9)


# ---------------------------------------------------------------- steps


def reckoned_load(dims: Dimensions, field: Field) -> tuple[Mpa, Mpa]:
    """Pressure at foot and top that the bulge of a field is reckoned with.

    Where the pressure stops growing within the field, it is an even change that is nowhere less.
    """
    sheet, tall = replace(shell_sheet(dims), thickness=field.sheets), field.high - field.low
    return min(
        sheet.loads(field.low, field.high),
        key=lambda load: bending.deflection_linear(
            field.width, tall, load[0], load[1], sheet.rigidity, free_top=field.free
        ),
    )


def field_steps(dims: Dimensions, field: Field, what: str) -> list[Step]:
    """A field written out: pressure, rigidity, coefficient, bulge, moment and stress."""
    steel, t = dims.stock.steel, field.thickness
    width, tall = field.width, field.high - field.low
    stiff = field.sheets**3 * steel.elastic_modulus_mpa / (12 * (1 - bending.POISSON**2))
    low, high = reckoned_load(dims, field) if tall > 0 else (field.pressure_low, field.pressure_high)
    reckoned = f"p_top/p_foot = {high / low:.3f}"
    if abs(low - field.pressure_low) + abs(high - field.pressure_high) > 1e-9:
        reckoned += f", a load nowhere less than the pressure: {low * 1e3:.2f} kPa at the foot, {high * 1e3:.2f} kPa"
    alpha = bending.deflection_linear(1.0, tall / width, 1.0, max(high / low, 0.0), 1.0, free_top=field.free)
    beta = field.moment / (low * width**2)
    bent = alpha * low * width**4 / stiff
    place = Said("{piece}, {foot} to {top}", piece=field.piece, foot=field.foot, top=field.top or "free edge")
    edge = "clamped edge" if field.clamped > field.held else "middle line"
    steps = [
        Step(
            Said("{what}, field that bulges most: {place}; pressure at its foot", what=what, place=place),
            "p = min(g h, p_max)" if dims.fresh.liquid_depth < dims.height else "p = g h",
            f"{dims.height - field.low:.0f} mm below the pour face; {field.pressure_high * 1e3:.2f} kPa at its top",
            field.pressure_low * 1e3,
            "kPa",
            "as above",
        ),
        Step(
            "rigidity of the sheet",
            "D = E t^3/(12 (1 - nu^2))",
            f"{steel.elastic_modulus_mpa:g} MPa x ({field.sheets:.3f} mm)^3/(12 x (1 - 0.3^2))",
            stiff,
            "N mm",
            "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, eq. (3)",
        ),
        Step(
            "coefficient of deflection, sides and foot held, top " + ("free" if field.free else "held"),
            "alpha = w D/(p a^4), by ratio b/a and load p_top/p_foot",
            f"b/a = {tall:.0f}/{width:.0f} mm = {tall / width:.3f}, {reckoned}",
            alpha,
            "-",
            PLATES + ", series",
        ),
        Step(
            "deflection of the sheet by small-deflection theory",
            "w = alpha p a^4/D",
            f"{_figures(alpha)} x {low:.5f} MPa x ({width:.0f} mm)^4/{stiff:.0f} N mm",
            bent,
            "mm",
            PLATES,
        ),
        Step(
            f"deflection over thickness; up to {SMALL_DEFLECTION:g} the theory holds",
            "w/t",
            f"{bent:.3f} mm/{field.sheets:.3f} mm",
            bent / field.sheets,
            "-",
            "Roark's Formulas for Stress and Strain, ch. 11",
        ),
    ]
    if field.bent < bent - 1e-9:
        steps.append(
            Step(
                "deflection, stretching counted",
                f"w/t + {MEMBRANE:.3f} ((w/t)^3 - 1/8) = w0/t",
                f"w0/t = {bent / field.sheets:.3f}",
                field.bent,
                "mm",
                "equations of large deflections, one term (from memory)",
            )
        )
    if field.sunk > 0:
        steps.append(
            Step(
                "bulge, with what its lines give way at most",
                "w + max(w_low, w_high)",
                f"{field.bent:.3f} mm + max({field.sunk_low:.3f}, {field.sunk_high:.3f}) mm"
                + (f" + {field.sunk_side:.3f} mm" if field.sunk_side else ""),
                field.bulge,
                "mm",
                "sum of both, which do not come at one place: not less than the bulge",
            )
        )
    steps += [
        Step(
            f"moment in that field, {edge}",
            "M = beta p a^2",
            f"{_figures(beta)} x {low:.5f} MPa x ({width:.0f} mm)^2",
            field.moment,
            "N mm/mm",
            PLATES + "; clamped edges Art. 44, computed table",
        ),
        Step(
            "bending stress under the factored load",
            "sigma = 1.5 x 6 M/t^2" if t == field.sheets else "sigma = 1.5 x 6 M t/(sum of cubes)",
            f"1.5 x 6 x {field.moment:.1f} N/({t:g} mm)^2; yield {steel.yield_mpa:g} MPa / {GAMMA_M0:g}",
            LOAD_FACTOR * field.stress,
            "MPa",
            YIELD,
        ),
    ]
    return steps


def _figures(value: Ratio) -> str:
    """Four figures, however small, and no exponent."""
    return f"{value:.{max(0, 3 - math.floor(math.log10(value)))}f}" if value > 0 else "0"


def end_plate_steps(dims: Dimensions, end: Field) -> list[Step]:
    """The end plate of the core: its bulge and its stress."""
    width, tall = 2 * dims.core_half_x(dims.end_z), 2 * dims.core_half_y(dims.end_z)
    stiff = dims.stock.steel.elastic_modulus_mpa * end.thickness**3 / (12 * (1 - bending.POISSON**2))
    alpha = bending.deflection_linear(1.0, tall / width, 1.0, 1.0, 1.0)
    edge = "clamped edge" if end.clamped > end.held else "middle"
    return [
        Step(
            "end plate, held by the ends of the core walls: its bulge",
            "w = alpha p a^4/D",
            f"{_figures(alpha)} x {end.pressure_low:.5f} MPa x ({width:.0f} mm)^4/{stiff:.0f} N mm, "
            f"b/a = {tall:.0f}/{width:.0f} mm",
            end.bent,
            "mm",
            PLATES,
        ),
        Step(
            f"its bending stress under the factored load, {edge}",
            "sigma = 1.5 x 6 M/t^2",
            f"1.5 x 6 x {end.moment:.2f} N/({end.thickness:g} mm)^2",
            LOAD_FACTOR * end.stress,
            "MPa",
            YIELD,
        ),
    ]


def bar_steps(dims: Dimensions, bar: BarUse) -> list[Step]:
    """A stiffener or post written out."""
    tube = dims.stock.tube
    return [
        Step(
            Said(
                "{piece}, {name}: force at each end, from the fields above and below and the sheet on it",
                piece=bar.piece,
                name=bar.name,
            ),
            "R = half of the load by 45 degree lines",
            f"span {bar.span:.0f} mm, {height_words(bar.z, dims)}",
            bar.force,
            "N",
            "tributary areas, common practice, no source",
        ),
        Step(
            "its deflection",
            "w = integral of q x (3 L^2 - 4 x^2)/(24 E I) over half the span",
            f"E I = {dims.stock.steel.elastic_modulus_mpa:g} MPa x {tube.second_moment_cm4:g} cm4, {tube.designation}",
            bar.deflection,
            "mm",
            "beam theory, any handbook",
        ),
        Step(
            "its bending stress under the factored load",
            "sigma = 1.5 M/W",
            f"1.5 x {bar.moment / 1e3:.1f} N m/{tube.section_modulus_cm3:g} cm3",
            LOAD_FACTOR * bar.stress,
            "MPa",
            YIELD,
        ),
    ]


def draw_steps(dims: Dimensions, field: Field) -> list[Step]:
    """How a core wall passes its own bulge."""
    return [
        Step(
            Said(
                "{piece}, below the {top}: greatest bulge over distance to that line, which lies deeper",
                piece=field.piece,
                top=field.top,
            ),
            "max w(z)/(z_line - z)",
            f"greatest bulge {field.bent:.3f} mm, {field.high - field.place:.0f} mm below the line; the slope at the "
            f"line counts too; draft {dims.taper:.5f} mm/mm",
            steepness(field),
            "mm/mm",
            "own rule: the core draws if it is at most the draft",
        )
    ]


def diaphragm_loads(dims: Dimensions, walls: Sequence[PressedFace]) -> list[tuple[str, Mm, NewtonPerMm]]:
    """Anchor plate and diaphragms: height, and the greater mean compression of both directions on each mm."""
    out = []
    for name, z, _ in inner_plates(dims):
        loads = []
        for face, half in zip(
            walls, (dims.core_half_x, dims.core_half_x, dims.core_half_y, dims.core_half_y), strict=True
        ):
            total = next(line.total for line in face.lines if line.line == name)
            loads.append(total / (2 * half(z)))
        out.append((name, z, max(loads)))
    return out


def buckling_load(dims: Dimensions, name: str, z: Mm) -> NewtonPerMm:
    """Even compression from all sides at which a plate across the core buckles, hinged edges, each mm."""
    thickness = dims.base if name == "anchor plate" else dims.shell
    stiff = thickness**3 * dims.stock.steel.elastic_modulus_mpa / (12 * (1 - bending.POISSON**2))
    a, b = 2 * dims.core_half_x(z), 2 * dims.core_half_y(z)
    return math.pi**2 * stiff * (1 / a**2 + 1 / b**2)


def diaphragm_steps(dims: Dimensions, walls: Sequence[PressedFace]) -> list[Step]:
    """The plate across the core that is nearest to buckling."""
    name, z, load = max(diaphragm_loads(dims, walls), key=lambda item: item[2] / buckling_load(dims, item[0], item[1]))
    a, b = 2 * dims.core_half_x(z), 2 * dims.core_half_y(z)
    return [
        Step(
            Said("{name}: compression by the core walls, mean of the side that bears more", name=name),
            "N = reaction of the wall/its width",
            f"{height_words(z, dims)}, {a:.0f} x {b:.0f} mm",
            load,
            "N/mm",
            "tributary areas, common practice, no source",
        ),
        Step(
            "compression from all sides at which it buckles; the hole for the screw is left out",
            "N_cr = pi^2 D (1/a^2 + 1/b^2), k = 2 for a square",
            f"{a:.0f} x {b:.0f} mm",
            buckling_load(dims, name, z),
            "N/mm",
            BUCKLING,
        ),
    ]


# ---------------------------------------------------------------- tables


def field_table(dims: Dimensions, fields: Sequence[Field]) -> ResultTable:
    """All fields."""
    allowed, limit = dims.spec.shop.allowed_bulge, dims.stock.steel.yield_mpa / GAMMA_M0
    rows = tuple(
        (
            f.piece,
            f.foot,
            f.top or "free",
            f"{f.low:.0f} to {f.high:.0f}",
            f"{f.width:.0f}",
            f"{f.pressure_low * 1e3:.2f}",
            f"{f.pressure_high * 1e3:.2f}",
            f"{f.bulge:.3f}",
            f"{allowed:g}",
            f"{LOAD_FACTOR * f.stress:.0f}",
            f"{limit:.0f}",
        )
        for f in fields
    )
    head = (
        *("face", "from", "to", "height, mm", "width, mm", "pressure at foot, kPa", "at top, kPa"),
        *("bulge, mm", "allowed, mm", "1.5 x stress, MPa", "limit, MPa"),
    )
    return ResultTable("Fields of sheet", head, rows)


def bar_table(bars: Sequence[BarUse]) -> ResultTable:
    """All stiffeners and posts."""
    rows = tuple(
        (
            b.piece,
            b.name,
            f"{b.z:.0f}",
            f"{b.span:.0f}",
            f"{b.force:.0f}",
            f"{b.deflection:.3f}",
            f"{LOAD_FACTOR * b.stress:.0f}",
        )
        for b in bars
    )
    head = ("panel", "bar", "height, mm", "span, mm", "force at each end, N", "deflection, mm", "1.5 x stress, MPa")
    return ResultTable("Stiffeners and posts", head, rows)


def line_table(faces: Sequence[PressedFace]) -> ResultTable:
    """All lines of support."""
    rows = [(line.face, line.line, f"{line.total:.0f}", f"{line.greatest:.2f}") for f in faces for line in f.lines]
    return ResultTable(
        "Lines of support",
        ("face", "line", "from the sheet, N", "greatest, N/mm"),
        tuple(rows),
        "The lines of a face together bear the integral of the pressure over it.",
    )


def published() -> ResultTable:
    """Printed coefficients that have been seen beside those that this program works with."""
    rows = []
    for row in coefficients():
        if row.evidence == "seen":
            own = series_value(row)
            rows.append(
                (
                    row.case,
                    f"{row.ratio:g}",
                    f"{row.share:g}",
                    row.quantity,
                    f"{row.value:g}",
                    f"{own:.5f}",
                    f"{(own / row.value - 1) * 100:+.1f} %",
                    row.source,
                )
            )
    head = ("edges", "b/a", "p_top/p_foot", "coefficient", "printed", "here", "difference", "source")
    return ResultTable(
        "Printed coefficients of plates beside the series", head, tuple(rows), "Printed with two to four figures."
    )
