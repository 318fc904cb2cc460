"""The bolt rows of a mould: the most used bolt and the widest gap of each, and the steps that lead there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from mouldgeom import rules
from mouldgeom.identity import RowId, RowRole, Side
from mouldgeom.model.assembly import Mould
from mouldgeom.rules.flanges import LOAD_FACTOR, REACTION, BoltUse, Gap, JointRow, Load
from mouldgeom.strength.steps import Step
from mouldgeom.units import Mm, Ratio, plain
from mouldgeom.words import Said

EC3: Final = "EN 1993-1-8:2005 Table 3.4"
TSTUB: Final = "EN 1993-1-8:2005 6.2.4, Tables 6.2 and 6.4 (from memory)"
GAP: Final = "plate and beam theory; limit: specification, shop.allowed_leak"
_ROARK: Final = "Roark, 7th ed. 2002, Table 11.4 case 1a, gamma 0.505, greatest of its rows"
_CORNER: Final = "Timoshenko and Woinowsky-Krieger, 2nd ed. 1959, Table 35, clamped edge (from memory)"
_STATICS: Final = "statics"


@dataclass(frozen=True)
class BoltPart:
    """One bolt: its place along the row, the part of the joint that it holds, the load on each mm, and its use.

    ``crowding`` is how much more it gets where stiffeners end beside it (``flanges.Row.uses``).
    """

    at: Mm
    low: Mm
    high: Mm
    load: Load
    crowding: Ratio
    use: BoltUse


@dataclass(frozen=True)
class RowUse:
    """One bolt row: every bolt, and between which two the joint opens most."""

    id: RowId
    row: JointRow
    bolts: tuple[BoltPart, ...]
    between: tuple[Mm, Mm]
    gap_load: Load
    gap: Gap

    @property
    def worst(self) -> BoltPart:
        """The most used bolt."""
        return max(self.bolts, key=lambda bolt: bolt.use.greatest)

    @property
    def along(self) -> str:
        """The coordinate along the row."""
        if self.id.role is RowRole.CORNER:
            return "z"
        return "y" if self.id.place[0].crosswise else "x"

    def where(self, bolt: BoltPart) -> str:
        """Row and place of a bolt in words."""
        return Said("{row}, at {axis} = {at:.0f} mm", row=self.id.name, axis=self.along, at=bolt.at)


def rows_of(mould: Mould) -> tuple[RowUse, ...]:
    """Every bolt row of the outer box, as the mould has it."""
    box, out = mould.dims.flanges, []
    for made in mould.rows:
        side = made.id.place[0]
        if made.id.role is RowRole.CORNER:
            row, axis = box.corner(side is Side.FRONT), 2
        elif made.id.role is RowRole.BASE:
            row, axis = box.base(side), 1 if side.crosswise else 0
        else:
            continue
        places = sorted(point[axis] for point in made.points)
        bolts = tuple(BoltPart(at, *part) for at, part in zip(places, row.uses(places), strict=True))
        widest = max(row.gaps(places), key=lambda part: part[3].total, default=None)
        low, high, load, gap = widest or (places[0], places[0], bolts[0].load, Gap(0.0, 0.0, 0.0, 0.0))
        out.append(RowUse(made.id, row, bolts, (low, high), load, gap))
    return tuple(out)


# ---------------------------------------------------------------- steps


def force_steps(mould: Mould, row: RowUse) -> list[Step]:
    """From the pressure to the forces of the most used bolt of a row."""
    dims, bolt = mould.dims, row.worst
    load, use, joint, length = bolt.load, bolt.use, row.row.joint, bolt.high - bolt.low
    corner = row.along == "z"
    level = bolt.low if corner else 0.0
    pressure = dims.pressure_at(level)
    across, beside = (dims.width, dims.depth) if corner or row.along == "x" else (dims.depth, dims.width)
    head = Said("{where} (the most used)", where=row.where(bolt))
    steps = [
        Step(
            Said("{head}: pressure at the lower end of its part", head=head),
            "p at z",
            f"z = {level:.0f} mm, pour face at {dims.height:.0f} mm",
            1000 * pressure,
            "kPa",
            dims.fresh.method,
        )
    ]
    if corner:
        steps += [
            Step(
                "pull of the panel off its flange, on each mm",
                "V = 0.505 p b",
                f"0.505 x {1000 * pressure:.2f} kPa x {across:.0f} mm",
                load.pull,
                "N/mm",
                _ROARK,
            ),
            Step(
                "push of the side panel along the front, on each mm",
                "H = 0.505 p d",
                f"0.505 x {1000 * pressure:.2f} kPa x {beside:.0f} mm",
                load.shear,
                "N/mm",
                _ROARK,
            ),
        ]
    else:
        steps.append(
            Step(
                "push of the panel's foot, on each mm",
                "H = 0.505 p s",
                f"0.505 x {1000 * pressure:.2f} kPa x {load.shear / (REACTION * pressure):.0f} mm, the lowest field "
                "or the panel's width",
                load.shear,
                "N/mm",
                _ROARK,
            )
        )
    return [
        *steps,
        Step(
            "moment that keeps the edges from turning, on each mm",
            "M = beta p s^2",
            f"beta s^2 = {load.moment / pressure:.0f} mm2, the worst field beside it, s its shorter side; "
            "up to a free edge the height counts twice",
            load.moment,
            "N mm/mm",
            _CORNER,
        ),
        Step(
            "length of joint that the bolt holds",
            "c",
            f"from {bolt.low:.0f} to {bolt.high:.0f} mm",
            length,
            "mm",
            _STATICS,
        ),
        Step(
            "more than that if stiffeners or posts bring all of the load to where they end",
            "k = max(1, B/(H c)), B = sum of 0.505 p d s x lever share",
            f"H c = {load.shear * length:.0f} N, B "
            + (f"= {load.shear * length * bolt.crowding:.0f} N" if bolt.crowding > 1 else "not above it")
            + "; s: what each of them carries of the panel, divided between the bolts on both sides",
            bolt.crowding,
            "-",
            "lever rule, statics",
        ),
        Step(
            "pull on the bolt",
            "F = 1.5 V c k",
            f"1.5 x {load.pull:.2f} N/mm x {length:.0f} mm x {bolt.crowding:.2f}",
            use.pull,
            "N",
            _STATICS,
        ),
        Step(
            "from the bolt to the root of the leg",
            "m = w - t - 0.8 r",
            f"{plain(joint.angle.gauge_mm, 1)} - {plain(joint.angle.thickness_mm, 2)} - 0.8 x "
            f"{plain(joint.angle.root_radius_mm, 1)} mm",
            joint.lever,
            "mm",
            TSTUB,
        ),
        Step(
            "from the bolt to where the toe presses",
            "n = min(e, 1.25 m)",
            f"e {plain(joint.angle.leg_mm - joint.angle.gauge_mm, 1)} mm",
            joint.toe,
            "mm",
            TSTUB,
        ),
        Step(
            "prying on the bolt",
            "Q = 1.5 M c/n",
            f"1.5 x {load.moment:.1f} N x {length:.0f} mm / {plain(joint.toe, 1)} mm",
            use.prying,
            "N",
            "lever rule, statics",
        ),
        Step("tension of the bolt", "Ft = F + Q", f"{use.pull:.0f} + {use.prying:.0f} N", use.tension, "N", _STATICS),
        Step(
            "shear of the bolt",
            "Fv = 1.5 H c k",
            f"1.5 x {load.shear:.2f} N/mm x {length:.0f} mm x {bolt.crowding:.2f}",
            use.shear,
            "N",
            _STATICS,
        ),
    ]


def strength_steps(row: RowUse) -> list[Step]:
    """Resistances and uses of the most used bolt of a row, its flange and the other ply."""
    use, joint, load = row.worst.use, row.row.joint, row.worst.load
    bolt, steel, length = joint.bolt, joint.steel, row.worst.high - row.worst.low
    flange, sheet = min(joint.flange_length, length), min(joint.sheet_length, length)
    bent = max(use.pull * joint.lever, LOAD_FACTOR * load.moment * length)
    area, ultimate = plain(bolt.stress_area_mm2, 2), plain(joint.bolt_steel.ultimate_mpa)
    factor = rules.shear_factor(joint.bolt_steel.designation)
    thin = min(joint.ply, joint.angle.thickness_mm)
    return [
        Step(
            "resistance of the bolt in tension",
            "Ft,Rd = 0.9 fub As/1.25",
            f"0.9 x {ultimate} MPa x {area} mm2 / 1.25",
            joint.tension_resistance,
            "N",
            EC3,
        ),
        Step(
            "use in tension",
            "Ft/Ft,Rd",
            f"{use.tension:.0f}/{joint.tension_resistance:.0f} N",
            use.tension_use,
            "-",
            EC3,
        ),
        Step(
            "resistance of the bolt in shear, thread in the plane",
            "Fv,Rd = alpha_v fub As/1.25",
            f"{factor:g} x {ultimate} MPa x {area} mm2 / 1.25",
            joint.shear_resistance,
            "N",
            EC3,
        ),
        Step(
            "use in shear and tension",
            "max(Fv/Fv,Rd + Ft/(1.4 Ft,Rd), Ft/Ft,Rd)",
            f"{use.shear:.0f}/{joint.shear_resistance:.0f} + {use.tension:.0f}/(1.4 x {joint.tension_resistance:.0f})",
            use.interaction,
            "-",
            EC3,
        ),
        Step(
            "resistance in bearing of the weaker ply",
            "Fb,Rd = min(k1 alpha_b, 1.5) fu d t/1.25",
            f"fu {plain(steel.ultimate_mpa)} MPa, d {plain(bolt.diameter_mm, 2)} mm, d0 "
            f"{plain(bolt.hole_medium_mm, 2)} mm; ply {plain(joint.ply, 2)} mm, e1 {plain(joint.ply_edge, 1)} mm; leg "
            f"{plain(joint.angle.thickness_mm, 2)} mm; e2 {plain(joint.row_edge, 1)} mm",
            joint.bearing_resistance,
            "N",
            f"{EC3}; 3.6.1(10)",
        ),
        Step("use in bearing", "Fv/Fb,Rd", f"{use.shear:.0f}/{joint.bearing_resistance:.0f} N", use.bearing, "-", EC3),
        Step(
            "resistance in punching",
            "Bp,Rd = 0.6 pi dm t fu/1.25",
            f"dm {(bolt.across_flats_mm + bolt.across_corners_mm) / 2:.2f} mm, t {plain(thin, 2)} mm",
            joint.punching_resistance,
            "N",
            EC3,
        ),
        Step(
            "use in punching",
            "Ft/Bp,Rd",
            f"{use.tension:.0f}/{joint.punching_resistance:.0f} N",
            use.punching,
            "-",
            EC3,
        ),
        Step(
            "length of leg that yields around the bolt",
            "l = min(2 pi m, 4 m + 1.25 e, c)",
            f"m {plain(joint.lever, 1)} mm, c {length:.0f} mm",
            flange,
            "mm",
            TSTUB,
        ),
        Step(
            "moment in the leg, at its root or at the bolts",
            "max(F m, Q n)",
            f"{use.pull:.0f} N x {plain(joint.lever, 1)} mm, {use.prying:.0f} N x {plain(joint.toe, 1)} mm",
            bent / 1000,
            "N m",
            _STATICS,
        ),
        Step(
            "elastic stress of the leg under that moment",
            "6 M/(l t^2)",
            f"l {flange:.0f} mm, t {plain(joint.angle.thickness_mm, 2)} mm",
            6 * bent / (flange * joint.angle.thickness_mm**2),
            "MPa",
            "beam theory",
        ),
        Step(
            "use of the leg", "M/(l t^2/4 fy)", f"fy {plain(steel.yield_mpa)} MPa, gamma_M0 1", use.flange, "-", TSTUB
        ),
        Step(
            "use of the other ply at the bolts",
            "Q n/(min(2 pi n, c) t^2/4 fy)",
            f"t {plain(joint.ply, 2)} mm, length {sheet:.0f} mm",
            use.sheet,
            "-",
            TSTUB,
        ),
    ]


def gap_steps(row: RowUse) -> list[Step]:
    """The widest gap of a row, part by part."""
    joint, load, gap = row.row.joint, row.gap_load, row.gap
    low, high = row.between
    pitch, pulled = f"{high - low:.0f} mm", load.pull * (high - low) ** 3 / joint.rigidity
    spread = gap.sheet / pulled if pulled else 0.0
    return [
        Step(
            Said(
                "{row}, between {axis} = {low:.0f} and {high:.0f} mm (widest gap): lift of the sheet between the bolts",
                row=row.id.name,
                axis=row.along,
                low=low,
                high=high,
            ),
            "V p^3 C/D, or the force of a stiffener that ends there",
            f"V {load.pull:.2f} N/mm, p {pitch}, D {joint.rigidity / 1000:.0f} N m; C {spread:.4f}, a stiffener that "
            "opens it more counted",
            gap.sheet,
            "mm",
            "plate theory: row of points beside a free edge, worked out here; stiffener: 2 R/(V p) (4ab/p^2)^2 times",
        ),
        Step(
            "twist of the angle between the bolts",
            "M p^2/(8 G J) x leg",
            f"M {load.moment:.1f} N, p {pitch}, G J {joint.torsion / 1e6:.1f} N m2",
            gap.twist,
            "mm",
            "beam theory",
        ),
        Step(
            "tilt of the sheet between bolt and toe",
            "M n/(3 D) x w",
            f"n {plain(joint.toe, 1)} mm, w {plain(joint.angle.gauge_mm, 1)} mm",
            gap.tilt,
            "mm",
            "beam theory",
        ),
        Step(
            "bending of the leg at the bolts",
            "4 V p m^3/(E l t^3)",
            f"m {plain(joint.lever, 1)} mm",
            gap.leg,
            "mm",
            "beam theory",
        ),
        Step("gap of the joint at the heel of the flange", "sum", "the four above", gap.total, "mm", GAP),
    ]
