"""Bolts and flanges: what the panels' edges ask of every bolt row, whether the joints stay tight, how hard to tighten.

The numbers come from ``flanges``, by which the design placed the bolts; here they are written down, with the welds of
the flanges, the nose lid (``lid``) and the tightening.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from mouldgeom.model.assembly import Mould
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.bolt_rows import (
    EC3,
    GAP,
    TSTUB,
    BoltPart,
    RowUse,
    force_steps,
    gap_steps,
    rows_of,
    strength_steps,
)
from mouldgeom.strength.flange_welds import flange_welds, weld_requirement, weld_step, weld_table
from mouldgeom.strength.nose_lid import Lid, lid_of
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.strength.tightening import Tightness
from mouldgeom.units import NewtonMm, Ratio
from mouldgeom.verdict import Operator, Quantity, Verdict
from mouldgeom.words import Said

_STATICS: Final = "statics"

ASSUMPTIONS: Final = (
    Said(
        "The pressure of the concrete is a variable action: forces of bolts, flanges and welds "
        "carry the factor {load_factor} (EN 1990:2002 Table A1.2(B), from memory); gaps do not.",
        load_factor=LOAD_FACTOR,
    ),
    "Front and back panels lie over the outstanding legs of the corner flanges and are pushed off them: the corner "
    "bolts carry that pull in tension.  The side panels push the same flanges outwards, square to it; front and back "
    "panels tie left to right, so the same bolts carry the push of the sides in shear and bearing.",
    "Each bolt holds its joint half way to its neighbours, the last ones to the end of the panel, under the pressure "
    "at the lower end of that part.  A panel gives its vertical edges at most 0.505 of pressure times width, as a "
    "plate held all round: level stiffeners end on those edges and carry there what they take; where one ends beside a "
    "bolt, the bolt is taken to carry its part of all that the stiffener could bring.",
    "At a corner each panel keeps the other from turning: the moment of a clamped edge of the worst field beside it "
    "passes through the joint as bolt against toe (prying).  It is added in full, though the joint gives way a little.",
    "Base bolts carry the push of the panel's foot in shear, and the moment that keeps the foot from turning as bolt "
    "against toe.  Nothing lifts the box: its panels are plumb, the core narrows upwards and is pressed down, and the "
    "nose's lid, sides and sloping front are one piece with the panel, whose uplift is inside that piece; what is "
    "left is the weight of the concrete in the nose, downwards.",
    "The greatest pitch of EN 1993-1-8:2005 Table 3.3, 14 t (42 mm for 3 mm sheet), keeps outer plies in compression "
    "from buckling and weather out of joints.  A mould's joint is pulled, and lasts hours at a time: the gap between "
    "its bolts is held to the allowed leak instead.",
    "Nuts are of the bolts' class and full height: the bolt breaks before its thread strips.  Inch bolts are taken as "
    "bolts of the class named.  Washers are not counted on for punching.",
)
CAUTIONS: Final = (
    "A dry or rusty thread takes the same torque with half the preload or less: clean and oil every thread.",
    "Replace a bolt that was overtightened, bent or ground.",
)
THIN: Final = (
    "The flanges are welded to sheet thinner than 4 mm, outside of EN 1993-1-8 (4.1): have a trial weld broken first."
)


def chapter(mould: Mould, torque: NewtonMm | None = None) -> Chapter:
    """Work out bolts and flanges.

    Args:
        torque: what the bolts are tightened with; left out, the recommended torque.
    """
    rows, lid = rows_of(mould), lid_of(mould)
    governing = max(rows, key=lambda row: row.worst.use.greatest)
    widest = max(rows, key=lambda row: row.gap.total)
    welds = flange_welds(mould, lid)
    weld = max(welds, key=lambda weld: weld.use)
    tight = Tightness(mould, torque)
    steps = (
        *force_steps(mould, governing),
        *strength_steps(governing),
        *gap_steps(widest),
        *_lid_steps(mould, lid),
        weld_step(weld),
        *tight.steps(max(bolt.use.tension for row in rows for bolt in row.bolts) / LOAD_FACTOR),
    )
    requirements = (
        *_bolt_requirements(rows),
        *_gap_and_lid(mould, widest, lid),
        weld_requirement(weld),
        tight.requirement(),
    )
    return Chapter(
        "Bolts and flanges",
        ASSUMPTIONS,
        steps,
        (_row_table(rows), _gap_table(rows), weld_table(welds), tight.table()),
        requirements,
        CAUTIONS if mould.dims.shell >= 4 else (*CAUTIONS[:1], THIN, *CAUTIONS[1:]),
    )


# ---------------------------------------------------------------- requirements


def _bolt_requirements(rows: Sequence[RowUse]) -> list[Verdict]:
    out = []
    for code, title, field, source in (
        ("8.10", "bolts: tension with prying over resistance", "tension_use", f"{EC3}, 0.9 fub As/gamma_M2"),
        ("8.11", "bolts: shear and tension together", "interaction", f"{EC3}, Fv/Fv,Rd + Ft/(1.4 Ft,Rd)"),
        ("8.12", "bolts: bearing or punching over resistance", "", f"{EC3}; 3.6.1(10) for one row in a single lap"),
        ("8.13", "flanges: bending of the outstanding leg over resistance", "flange", TSTUB),
        ("8.18", "sheet or base plate: bending at the bolts over resistance", "sheet", TSTUB),
    ):

        def used(found: tuple[RowUse, BoltPart], field: str = field) -> Ratio:
            use = found[1].use
            return float(getattr(use, field)) if field else max(use.bearing, use.punching)

        row, bolt = max(((row, bolt) for row in rows for bolt in row.bolts), key=used)
        out.append(Verdict(code, title, used((row, bolt)), 1.0, Operator.AT_MOST, "-", row.where(bolt), source))
    return out


def _gap_and_lid(mould: Mould, widest: RowUse, lid: Lid) -> list[Verdict]:
    leak = mould.dims.spec.shop.allowed_leak
    low, high = widest.between
    gap, place = widest.gap.total, "{row}, between {axis} = {low:.0f} and {high:.0f} mm"
    where: str = Said(place, row=widest.id.name, axis=widest.along, low=low, high=high)
    if lid.lift > gap:
        gap, where = lid.lift, "nose lid, at the panel"
    use, what = lid.greatest
    return [
        Verdict("8.14", "gap that the pressure opens in a joint", gap, leak, Operator.AT_MOST, "mm", where, GAP),
        Verdict(
            "8.15",
            "nose lid: its bolts, flanges or bending, the most used",
            use,
            1.0,
            Operator.AT_MOST,
            "-",
            f"nose lid, {what}",
            f"{EC3}; {TSTUB}; EN 1993-1-1:2005 6.2.5 (from memory), elastic",
        ),
    ]


# ---------------------------------------------------------------- steps


def _lid_steps(mould: Mould, lid: Lid) -> list[Step]:
    use, joint = lid.use, mould.dims.flanges.joints[0]
    return [
        Step(
            "nose lid: pressure at its underside",
            "p at z",
            f"z = {mould.dims.nose.lid_z:.0f} mm",
            1000 * lid.pressure,
            "kPa",
            mould.dims.fresh.method,
        ),
        Step("nose lid: uplift", "U = p A", f"A {lid.area:.0f} mm2", lid.uplift, "N", _STATICS),
        Step(
            "nose lid: force on its two bolts, the lid tipping",
            "U (L - c)/(L - b) if c < b, else U c/b",
            f"from the panel: middle of the area c {lid.centre:.1f} mm, bolts b {lid.bolt:.1f} mm, "
            f"L {lid.reach:.1f} mm",
            lid.levered,
            "N",
            _STATICS,
        ),
        Step(
            "nose lid: tension of each bolt with prying",
            "1.5 U'/2 + Q",
            f"{use.pull:.0f} + {use.prying:.0f} N",
            use.tension,
            "N",
            _STATICS,
        ),
        Step(
            "nose lid: use of each bolt",
            "Ft/Ft,Rd",
            f"{use.tension:.0f}/{joint.tension_resistance:.0f} N",
            use.tension_use,
            "-",
            EC3,
        ),
        Step(
            "nose lid: stress across the tube's hole, a beam from bolt to bolt",
            "1.5 U' (2 S - w)/8 / W",
            f"S {lid.span:.0f} mm, W {lid.modulus:.0f} mm3",
            lid.stress,
            "MPa",
            "beam theory",
        ),
        Step(
            "nose lid: lift between its bolts",
            "5 U' S^3/(384 E I)",
            "the load taken as spread over the whole span",
            lid.lift,
            "mm",
            "beam theory",
        ),
        Step(
            "nose flanges: use of the leg",
            "M/(l t^2/4 fy)",
            f"flange {lid.flange:.0f} mm long",
            use.flange,
            "-",
            TSTUB,
        ),
    ]


# ---------------------------------------------------------------- tables


def _row_table(rows: Sequence[RowUse]) -> ResultTable:
    head = (
        "row",
        "place, mm",
        "pull, N",
        "prying, N",
        "shear, N",
        "tension",
        "shear + tension",
        "bearing",
        "punching",
        "flange",
        "sheet",
    )
    body = tuple(_cells(row) for row in rows)
    return ResultTable("The most used bolt of each row", head, body, "Forces with the load factor; uses are at most 1.")


def _cells(row: RowUse) -> tuple[str | Quantity, ...]:
    bolt, use = row.worst, row.worst.use
    ratios = (use.tension_use, use.interaction, use.bearing, use.punching, use.flange, use.sheet)
    return (row.id.name, bolt.at, use.pull, use.prying, use.shear, *ratios)


def _gap_table(rows: Sequence[RowUse]) -> ResultTable:
    body = tuple((r.id.name, *r.between, r.gap.sheet, r.gap.twist, r.gap.tilt, r.gap.leg, r.gap.total) for r in rows)
    head = ("row", "from, mm", "to, mm", "sheet, mm", "twist, mm", "tilt, mm", "leg, mm", "gap, mm")
    return ResultTable("The widest gap of each row", head, body)
