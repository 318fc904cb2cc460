"""Rules of the shop and of the standards: one pure function each, its source on a line of its own.

Numbers in, number out; lengths in mm, forces in N, stresses in MPa.  A rule measures nothing and judges nothing: the
checks compare what it returns with what the design has.  A load or size that is no number from 0 up is an InputError
where a result without meaning would come out otherwise.
"""

from __future__ import annotations

import math
from typing import Annotated, Final

from mouldgeom import tables
from mouldgeom.errors import InputError
from mouldgeom.units import DRILL_STEP, MM_PER_INCH, NOISE, Deg, KnPerM3, Mm, Mm2, Mpa, Newton, NewtonMm, Ratio

NewtonPerMm = Annotated[float, "N/mm"]

GAMMA_M2: Final[Ratio] = 1.25
"""Partial factor of bolts, welds and plates in bearing.

Source: EN 1993-1-8:2005 2.2, Table 2.1, recommended value.
"""

# ---------------------------------------------------------------- bolts: places


def end_distance_least(hole: Mm) -> Mm:
    """Least distance from the middle of a hole of diameter ``hole`` to an end or edge, e1 and e2.

    Source: EN 1993-1-8:2005 Table 3.3, 1.2 d0.
    """
    return 1.2 * hole


def pitch_least(hole: Mm) -> Mm:
    """Least pitch of holes of diameter ``hole`` in a row along the force, p1.

    Source: EN 1993-1-8:2005 Table 3.3, 2.2 d0.
    """
    return 2.2 * hole


# ---------------------------------------------------------------- bolts: strength


def shear_factor(bolt_class: str) -> Ratio:
    """The factor alpha_v of a bolt class, threads in the shear plane: 0.6 for 4.6, 5.6 and 8.8, else 0.5.

    Source: EN 1993-1-8:2005 Table 3.4.
    """
    return 0.6 if bolt_class.strip() in {"4.6", "5.6", "8.8"} else 0.5


def bolt_shear_resistance(ultimate: Mpa, stress_area: Mm2, factor: Ratio = 0.5) -> Newton:
    """Design shear resistance of a bolt, each shear plane, threads in the plane, Fv,Rd.

    ``factor`` is alpha_v (``shear_factor``); left out, it is the lower of the two, safe for every class.

    Source: EN 1993-1-8:2005 Table 3.4, alpha_v fub As / gamma_M2.
    """
    return factor * ultimate * stress_area / GAMMA_M2


def bolt_tension_resistance(ultimate: Mpa, stress_area: Mm2) -> Newton:
    """Design tension resistance of a bolt with a full head, Ft,Rd.

    Source: EN 1993-1-8:2005 Table 3.4, 0.9 fub As / gamma_M2.
    """
    return 0.9 * ultimate * stress_area / GAMMA_M2


def bearing_resistance(
    *,
    bolt_ultimate: Mpa,
    plate_ultimate: Mpa,
    diameter: Mm,
    hole: Mm,
    thickness: Mm,
    end_distance: Mm = math.inf,
    edge_distance: Mm = math.inf,
    pitch: Mm = math.inf,
    gauge: Mm = math.inf,
) -> Newton:
    """Design bearing resistance of one bolt in a ply ``thickness`` thick, Fb,Rd.

    ``end_distance`` e1 and ``pitch`` p1 are along the force, ``edge_distance`` e2 and ``gauge`` p2 across it; leave
    out what the bolt does not have.  Normal round holes.  A single-lap joint with one bolt row has the further limit
    1.5 fu d t / gamma_M2 (3.6.1(10)), which is not applied here.

    Source: EN 1993-1-8:2005 Table 3.4, k1 alpha_b fu d t / gamma_M2.
    """
    _above_zero("hole", hole, "mm")
    along = min(end_distance / (3 * hole), pitch / (3 * hole) - 0.25, bolt_ultimate / plate_ultimate, 1.0)
    across = min(2.8 * edge_distance / hole - 1.7, 1.4 * gauge / hole - 1.7, 2.5)
    return max(across, 0.0) * max(along, 0.0) * plate_ultimate * diameter * thickness / GAMMA_M2


def punching_resistance(ultimate: Mpa, mean_diameter: Mm, thickness: Mm) -> Newton:
    """Design punching resistance of a plate under a bolt head or nut, Bp,Rd.

    ``mean_diameter`` is the mean of across flats and across corners, the smaller of head and nut.

    Source: EN 1993-1-8:2005 Table 3.4, 0.6 pi dm tp fu / gamma_M2.
    """
    return 0.6 * math.pi * mean_diameter * thickness * ultimate / GAMMA_M2


def shear_tension_use(shear: Newton, shear_resistance: Newton, tension: Newton, tension_resistance: Newton) -> Ratio:
    """Use of a bolt under shear and tension at once, at most 1: the interaction, and tension by itself.

    Source: EN 1993-1-8:2005 Table 3.4, Fv/Fv,Rd + Ft/(1.4 Ft,Rd) <= 1 and Ft <= Ft,Rd.
    """
    _above_zero("shear resistance", shear_resistance, "N")
    _above_zero("tension resistance", tension_resistance, "N")
    alone = tension / tension_resistance
    return max(shear / shear_resistance + alone / 1.4, alone)


# ---------------------------------------------------------------- cutting


def least_cut_hole(thickness: Mm, process: str) -> Mm:
    """Least hole that a thermal process ("plasma", "laser", "oxyfuel") cuts well in this thickness.

    Smaller holes are centre-marked and drilled.  Whether the process can cut the thickness at all is not asked here.

    Source: tables.cutting_process, column hole_source of the row (shop guides; common practice where it says so).
    """
    row = tables.cutting_process(process)
    return max(row.least_hole_ratio * thickness, row.least_hole_mm)


# ---------------------------------------------------------------- welds

_FILLET_LEGS: Final[tuple[tuple[Mm, Mm], ...]] = (
    (MM_PER_INCH / 4, 3.0),
    (MM_PER_INCH / 2, 5.0),
    (MM_PER_INCH * 3 / 4, 6.0),
    (math.inf, 8.0),
)


def fillet_leg_least(thickness: Mm, thickness_other: Mm) -> Mm:
    """Least leg of a single-pass fillet weld between two parts.

    For processes that are not low-hydrogen and without preheat, which is the safe side: the thicker part counts.  The
    leg need not exceed the thinner part.  The limits are taken as 1/4, 1/2 and 3/4 in, which the standard prints
    as 6, 12 and 20 mm; the last two legs (6 and 8 mm) are from memory.

    Source: AWS D1.1:2025 Table 7.7 and notes a, b (same numbers in AISC 360 Table J2.4).
    """
    thicker = max(thickness, thickness_other)
    leg = next(leg for limit, leg in _FILLET_LEGS if thicker <= limit)
    return min(leg, thickness, thickness_other)


def fillet_throat(leg: Mm) -> Mm:
    """Throat of an equal-leg fillet weld.

    Source: EN 1993-1-8:2005 4.5.2, a = z / sqrt 2.
    """
    return leg / math.sqrt(2)


def flare_throat(radius: Mm) -> Mm:
    """Throat that counts of a flare-bevel weld beside a round of this radius, filled level: none below 10 mm.

    Beside a smaller round only the fillet counts that is laid on the filled joint.  The throat is that of stick welding
    and of wire without gas, the least of the table; wire with gas has twice as much.

    Source: AISC 360-10 Table J2.2, 5/16 R, and note a.
    """
    return 5 / 16 * radius if radius >= 10 else 0.0


def fillet_resistance_per_mm(throat: Mm, ultimate: Mpa, correlation: Ratio = 0.8) -> NewtonPerMm:
    """Design resistance of a fillet weld, each mm of its length, in any direction (simplified method), Fw,Rd.

    ``ultimate`` is that of the weaker part joined, ``correlation`` is beta_w: 0.8 for S235, 0.9 for S355.  For parts
    from 4 mm up; thinner sheet belongs to EN 1993-1-3.  A structural throat has at least 3 mm and a length of at least
    30 mm and 6 throats.

    Source: EN 1993-1-8:2005 4.5.3.3, a fu / (sqrt 3 beta_w gamma_M2), Table 4.1.
    """
    return throat * ultimate / (math.sqrt(3) * correlation * GAMMA_M2)


# ---------------------------------------------------------------- pressure and plates


def hydrostatic_pressure(unit_weight: KnPerM3, head: Mm) -> Mpa:
    """Pressure of fresh concrete at depth ``head`` as a liquid, for a form filled within the initial set.

    1 kN/m3 times 1 mm is 1e-6 MPa.

    Source: ACI 347R-14, full liquid head p = w h (from memory).
    """
    return unit_weight * head * 1e-6


def plate_rigidity(elastic_modulus: Mpa, thickness: Mm, poisson: Ratio) -> NewtonMm:
    """Flexural rigidity of a plate, each unit of width, D.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, eq. (3).
    """
    return elastic_modulus * thickness**3 / (12 * (1 - poisson**2))


# ---------------------------------------------------------------- concrete


def aggregate_greatest(narrowest_width: Mm) -> Mm:
    """Greatest nominal size of stone for the narrowest width between the faces of the form.

    Source: ACI 318-19 26.4.2.1(a)(5), one fifth of the narrowest dimension between sides of forms.
    """
    return narrowest_width / 5


def aggregate_greatest_beside_insert(clear: Mm) -> Mm:
    """Greatest nominal size of stone that passes a clear gap beside a bar, tube or other insert.

    Source: ACI 318-19 26.4.2.1(a)(5), three quarters of the least clear spacing of bars.
    """
    return 0.75 * clear


def least_draft_steel() -> Deg:
    """Least draft of a rigid steel mould in one piece, each side: 1 in 96 (1/8 in to the foot).

    Source: PCI MNL-116 and MNL-122, 1 in 48 to 1 in 96 (from memory, medium).
    """
    return math.degrees(math.atan(1 / 96))


# ---------------------------------------------------------------- shop


def jack_screw_hole(diameter: Mm, system: str = "metric") -> Mm:
    """Clearance hole for a jack screw: 29 mm for 25 mm; for an inch screw (``system`` "inch") the drill next to it.

    Source: common practice, no source; for inch screws from 3/4 to 1 in these are the loose holes of ASME B18.2.8-1999.
    """
    size = diameter + 4.0
    return round(size / DRILL_STEP) * DRILL_STEP if system == "inch" else size


def forcing_screw_hole(diameter: Mm, system: str = "metric") -> Mm:
    """Clearance hole for a forcing screw: 2 mm more than its diameter, for an inch screw the drill next to it.

    Source: own rule: a pad covers the hole, and the nut guides the screw.
    """
    size = diameter + 2.0
    return round(size / DRILL_STEP) * DRILL_STEP if system == "inch" else size


ARRIS: Final[Mm] = 5.0
"""Rim at each edge that no pad presses on: an arris breaks off (own rule)."""
PAD_LAP: Final[Mm] = 2.5
"""Pad beyond the hole of its screw, all round, while it lies on the nut plate (own rule)."""
MARKED: Final[dict[str, Mm]] = {"metric": 0.5, "inch": MM_PER_INCH / 32}
"""What rule and scriber mark, by the system of the bolts, which stand on multiples of it: half of what a tape does.

Source: common practice, no source.
"""


def forcing_rim(diameter: Mm, system: str = "metric") -> Mm:
    """Least width of a rim of concrete for the pad of a forcing screw: it covers the screw's hole, off both arrises.

    Source: own rule; half of the pad is a dimension that can be marked.
    """
    half, grid = forcing_screw_hole(diameter, system) / 2 + PAD_LAP, MARKED[system]
    return 2 * (math.ceil(half / grid - NOISE) * grid + ARRIS)


def socket_outside_diameter(across_flats: Mm) -> Mm:
    """Outside diameter of the socket for a head or nut, to reckon room with.

    Source: common practice, no source.
    """
    return 1.5 * across_flats


def least_shell_thickness() -> Mm:
    """Least thickness of sheet that faces concrete; 1/8 in (3.175 mm) holds too.  Thinner sheet bends too easily.

    Source: common practice, no source.
    """
    return 3.0


def _above_zero(name: str, value: float, unit: str) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise InputError(name, f"{value:g} {unit}", "must be above zero", "Give a positive, finite value")


def socket_depth() -> Mm:
    """Length along a bolt's axis that a socket or spanner head needs free.

    Source: common practice, no source.
    """
    return 30.0


def runner_overhang(base_thickness: Mm, tube_side: Mm) -> Mm:
    """How far the runners reach beyond the base plate at each end: a base thinner than 5 mm is stiffened by them.

    Source: common practice, no source: a 3 mm base only with longer runners.
    """
    return 2 * tube_side if base_thickness < 4.75 else 0.0
