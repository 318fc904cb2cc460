"""The bridge that the jack screw hangs in, the landings that it stands on, and the base plate that comes with the core.

The screw's force goes through the washer plate into the inner walls of two beams, along them to the caps, down the
legs, and from the foot of each leg into two gussets, the angle of the side base flange and the side panel, which
stands on the ground.  The foot only stands there: its force may lie anywhere between the leg's inner wall, over the
heel of the angle, and its axis.  Both ends of that range are held: the first by leg, cap and their weld, the second by
the landing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from mouldgeom.design.dimensions import SLACK, Dimensions
from mouldgeom.fabrication.welds import Seam, seams
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import WeldRole
from mouldgeom.model.parts.outer_box import side_flange_half
from mouldgeom.rules import beams, fillet_leg_least, fillet_throat, screw
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.base_plate import core_welds, runners, when_drawn, when_filled
from mouldgeom.strength.pull import design_pull
from mouldgeom.strength.seats import seams_of, weld_resistance
from mouldgeom.strength.steps import Chapter, Checked, Step
from mouldgeom.units import Mm, Mm2, Mpa, Newton, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

SPAN_SHARE: Final[Ratio] = 200.0
"""Span over the greatest deflection of the beams: common practice, no source."""
IMPERFECTION: Final[Ratio] = 0.49
"""Curve c, cold formed hollow sections: EN 1993-1-1:2005 Tables 6.1 and 6.2 (from memory)."""
CRIPPLING: Final[tuple[Ratio, Ratio]] = (0.057, 0.115)
"""Near an end, and away from ends: EN 1993-1-3:2006 6.1.7.3, the lower ones, for hat sections (from memory)."""
END_BEARING: Final[Mm] = 10.0
"""Bearing length that counts near an end: EN 1993-1-3:2006 6.1.7.3 (from memory)."""

_YIELD: Final = "EN 1993-1-1:2005 6.2 (from memory), fy / gamma_M0, gamma_M0 = 1"
_WELD: Final = "EN 1993-1-8:2005 4.5.3.3"
_STRUT: Final = "EN 1993-1-1:2005 6.3.1, curve c (from memory)"
_CRIPPLING: Final = "EN 1993-1-3:2006 6.1.7.3, two or more webs (from memory)"


def leg_reactions(dims: Dimensions, force: Newton) -> tuple[Newton, Newton]:
    """Force on the leg nearer to the screw and on the other; the screw stands off the middle by ``shop.centring``.

    Source: statics, F (1/2 + e/L) and F (1/2 - e/L).
    """
    share = dims.spec.shop.centring / (2 * dims.bridge.leg_x)
    return force * (0.5 + share), force * (0.5 - share)


def crippling_resistance(
    wall: Mm, radius: Mm, bearing: Mm, yield_stress: Mpa, elastic: Mpa, coefficient: Ratio
) -> Newton:
    """Force that one upright wall bears across, before it is crushed or buckles under its bearing.

    ``radius`` is the inner one of the corner; it holds up to 10 walls.  gamma_M1 is 1.

    Source: EN 1993-1-3:2006 6.1.7.3, eq. 6.18 with phi = 90 degrees (from memory).
    """
    spread = 0.5 + math.sqrt(0.02 * bearing / wall)
    turn = 1 - 0.1 * math.sqrt(radius / wall)
    return coefficient * wall**2 * math.sqrt(yield_stress * elastic) * turn * spread * 3.4


def buckling_factor(length: Mm, radius: Mm, yield_stress: Mpa, elastic: Mpa) -> Ratio:
    """Share of its squash load that a strut bears; ``radius`` of gyration.

    Source: EN 1993-1-1:2005 6.3.1.2, curve c (from memory).
    """
    slender = length / radius / (math.pi * math.sqrt(elastic / yield_stress))
    phi = 0.5 * (1 + IMPERFECTION * (slender - 0.2) + slender**2)
    return min(1.0, 1 / (phi + math.sqrt(phi**2 - slender**2)))


def _worst(uses: dict[str, Ratio]) -> tuple[str, Ratio]:
    name = max(uses, key=lambda key: uses[key])
    return name, uses[name]


def _use(code: str, title: str, place: str, uses: dict[str, Ratio], source: str) -> Verdict:
    """Require that the greatest of some uses stays below 1, and say which it is."""
    name, value = _worst(uses)
    return Verdict(
        code, f"{title}: share of what it bears", value, 1.0, Operator.AT_MOST, "-", f"{place}, {name}", source
    )


# ---------------------------------------------------------------- beams


def _beams(mould: Mould, load: Newton) -> Checked:
    dims, tube, steel = mould.dims, mould.dims.stock.tube, mould.dims.stock.steel
    span = 2 * dims.bridge.leg_x
    modulus, inertia = tube.section_modulus_cm3 * 1000, tube.second_moment_cm4 * 1e4
    bending = beams.bending_stress(beams.point_moment(load / 2, span), modulus)
    shear = leg_reactions(dims, load)[0] / 2 / (2 * tube.thickness_mm * (tube.side_mm - tube.thickness_mm))
    stress = screw.combined_stress(bending, shear)
    service = load / LOAD_FACTOR
    sag = beams.point_deflection(service / 2, span, steel.elastic_modulus_mpa, inertia)
    steps = [
        Step(
            "force on the leg nearer to the screw",
            "R = F (1/2 + e/L)",
            f"F {load / 1000:.2f} kN, e {plain(dims.spec.shop.centring)} mm, L {span:.0f} mm",
            leg_reactions(dims, load)[0] / 1000,
            "kN",
            "statics",
        ),
        Step(
            "beams: bending with shear, the screw at the middle, half of it on each",
            "s = sqrt((F L/(8 Wel))^2 + 3 t^2)",
            f"F {load / 1000:.2f} kN, L {span:.0f} mm, Wel {modulus / 1000:.2f} cm3, t {shear:.1f} MPa",
            stress,
            "MPa",
            "beam theory; EN 1993-1-1:2005 6.2.1(5) (from memory)",
        ),
        Step(
            "beams: deflection at the greatest pull",
            "w = (F/2) L^3/(48 E I)",
            f"F {service / 1000:.2f} kN, I {inertia / 1e4:.2f} cm4",
            sag,
            "mm",
            "beam theory",
        ),
    ]
    limit = steel.yield_mpa
    return steps, [
        Verdict("8.27", "bridge beams: bending", stress, limit, Operator.AT_MOST, "MPa", "beams, at the screw", _YIELD),
        Verdict(
            "8.28",
            "bridge beams: deflection at the greatest pull",
            sag,
            span / SPAN_SHARE,
            Operator.AT_MOST,
            "mm",
            "beams, at the screw",
            "span/200, common practice, no source",
        ),
    ]


def _walls(mould: Mould, load: Newton) -> Checked:
    """The inner wall of each beam takes all: the washer plate presses near it, and the leg's wall stands near it."""
    dims, tube, steel = mould.dims, mould.dims.stock.tube, mould.dims.stock.steel
    near = min(dims.bridge.plate_width, dims.stock.jack.washer_outside_mm)
    steps, uses = [], {}
    for name, force, bearing, coefficient in (
        ("over the caps", leg_reactions(dims, load)[0] / 2, END_BEARING, CRIPPLING[0]),
        ("under the washer plate", load / 2, near, CRIPPLING[1]),
    ):
        bears = crippling_resistance(
            tube.thickness_mm,
            tube.inner_radius_mm,
            bearing,
            steel.yield_mpa,
            steel.elastic_modulus_mpa,
            coefficient,
        )
        uses[name] = force / bears
        steps.append(
            Step(
                f"beams: what the inner wall bears {name}",
                "Rw = alpha t^2 sqrt(fy E) (1 - 0.1 sqrt(r/t)) (0.5 + sqrt(0.02 la/t)) 3.4",
                f"alpha {coefficient}, t {plain(tube.thickness_mm)} mm, r {plain(tube.inner_radius_mm)} mm, "
                f"la {plain(bearing)} mm; {force / 1000:.2f} kN on it",
                bears / 1000,
                "kN",
                _CRIPPLING,
            )
        )
    return steps, [_use("8.29", "beam walls at their bearings", "beams, inner wall", uses, _CRIPPLING)]


# ---------------------------------------------------------------- caps and legs


def cap_lever(dims: Dimensions) -> Mm:
    """Greatest distance, along the cap, from where a beam presses on it to the wall of the leg beneath.

    The beam presses between its inner wall and the line where its flat begins.
    """
    tube, half = dims.stock.tube, dims.stock.tube.side_mm / 2
    leg = half - tube.thickness_mm / 2
    inner = dims.bridge.beam_y - half
    return max(abs(leg - inner - tube.thickness_mm / 2), abs(leg - inner - tube.outer_radius_mm))


def foot_lever(dims: Dimensions) -> Mm:
    """From the axis of a leg to its inner wall, where its foot stands on the heel of the angle."""
    return (dims.stock.tube.side_mm - dims.stock.tube.thickness_mm) / 2


def _caps(mould: Mould, load: Newton, made: Sequence[Seam]) -> Checked:
    dims, tube, steel = mould.dims, mould.dims.stock.tube, mould.dims.stock.steel
    force, lever = leg_reactions(dims, load)[0], cap_lever(dims)
    width = min(dims.bridge.plate_width, tube.side_mm + 2 * lever)
    bending = force / 2 * lever / (width * dims.base**2 / 4)
    seam = seams_of(made, WeldRole.LEG_TO_CAP)[0]
    side = seam.length / 4
    weld = force * foot_lever(dims) / (tube.side_mm * side)
    bears = weld_resistance(mould, seam.leg)
    steps = [
        Step(
            "cap: bending between beam wall and leg wall",
            "s = (R/2) c/(b t^2/4)",
            f"R {force / 1000:.2f} kN, c {lever:.1f} mm, b {width:.0f} mm, t {plain(dims.base)} mm",
            bending,
            "MPa",
            "EN 1993-1-1:2005 6.2.5 (from memory), plastic modulus of a solid plate",
        ),
        Step(
            "leg to cap: force on the weld when the foot stands on its inner wall",
            "f = R e/(a l)",
            f"e {foot_lever(dims):.1f} mm, a {plain(tube.side_mm)} mm, l {side:.0f} mm; {bears:.0f} N/mm allowed",
            weld,
            "N/mm",
            _WELD,
        ),
    ]
    uses = {"bending": bending / steel.yield_mpa, "weld to the leg": weld / bears}
    return steps, [_use("8.30", "bridge caps", "caps", uses, f"{_YIELD}; {_WELD}")]


def _legs(mould: Mould, load: Newton) -> Checked:
    dims, tube, steel = mould.dims, mould.dims.stock.tube, mould.dims.stock.steel
    force = leg_reactions(dims, load)[0]
    area, modulus = tube.area_cm2 * 100, tube.section_modulus_cm3 * 1000
    radius = math.sqrt(tube.second_moment_cm4 * 1e4 / area)
    length = 2 * dims.bridge.leg_length
    factor = buckling_factor(length, radius, steel.yield_mpa, steel.elastic_modulus_mpa)
    squash = force / (factor * area) / steel.yield_mpa
    bend = force * foot_lever(dims) / modulus / steel.yield_mpa
    step = Step(
        "leg: thrust with the moment of a foot that stands on its inner wall, free to sway",
        "u = R/(chi A fy) + R e/(Wel fy)",
        f"R {force / 1000:.2f} kN, Lcr {length:.0f} mm, i {radius:.1f} mm, chi {factor:.3f}, A {area:.0f} mm2, "
        f"e {foot_lever(dims):.1f} mm",
        squash + bend,
        "-",
        f"{_STRUT}, and 6.2.1(7)",
    )
    return [step], [_use("8.31", "bridge legs", "legs", {"thrust and bending": squash + bend}, _STRUT)]


# ---------------------------------------------------------------- landings


def landing_lever(dims: Dimensions) -> Mm:
    """From the heel of the side base flange, on the panel, to the axis of the leg."""
    return dims.bridge.leg_x - dims.width / 2 - dims.shell


def gusset_depth(dims: Dimensions) -> Mm:
    """Length of a gusset's edge on either leg of the angle, its snipe taken off."""
    return dims.bridge.gusset_leg - dims.stock.angle.root_radius_mm - SLACK


def _landing(mould: Mould, load: Newton) -> Checked:
    dims, angle, tube, steel = mould.dims, mould.dims.stock.angle, mould.dims.stock.tube, mould.dims.stock.steel
    force, lever, deep = leg_reactions(dims, load)[0], landing_lever(dims), gusset_depth(dims)
    section: Mm2 = dims.base * deep
    arm = lever - angle.thickness_mm
    gusset = screw.combined_stress(force / 2 * arm / (section * deep / 6), 1.5 * force / 2 / section)
    bearing = force / 2 / (tube.thickness_mm * deep)
    couple = force * lever / (angle.leg_mm - angle.thickness_mm)
    span = 2 * side_flange_half(dims)
    modulus = angle.second_moment_cm4 * 1e4 / (angle.leg_mm - angle.centroid_cm * 10)
    sideways = beams.bending_stress(beams.point_moment(couple, span), modulus)
    panel = force / (dims.shell * (tube.side_mm + 2 * angle.leg_mm))
    plate = f"t {plain(dims.base)} mm, h {deep:.1f} mm"
    steps = [
        Step(
            "gusset: bending with shear at the upright leg of the angle, the force on the leg's axis",
            "s = sqrt((6 (R/2) c/(t h^2))^2 + 3 (1.5 (R/2)/(t h))^2)",
            f"R {force / 1000:.2f} kN, c {arm:.1f} mm, {plate}; two gussets, one under each side wall of the leg",
            gusset,
            "MPa",
            "beam theory; EN 1993-1-1:2005 6.2.1(5) (from memory)",
        ),
        Step(
            "leg walls on the flange over the gussets",
            "s = (R/2)/(t h)",
            f"t {plain(tube.thickness_mm)} mm, h {deep:.1f} mm",
            bearing,
            "MPa",
            _YIELD,
        ),
        Step(
            "couple that keeps the landing from turning: out at the heel, in at the toe",
            "H = R e/(a - t)",
            f"e {lever:.1f} mm, a {plain(angle.leg_mm)} mm, t {plain(angle.thickness_mm)} mm",
            couple / 1000,
            "kN",
            "statics",
        ),
        Step(
            "angle bent sideways by that force, between the corner flanges",
            "s = H L/4/Wel",
            f"H {couple / 1000:.2f} kN, L {span:.0f} mm, Wel {modulus / 1000:.2f} cm3",
            sideways,
            "MPa",
            "beam theory",
        ),
        Step(
            "panel under the landing, spread at 45 degrees over the angle's leg",
            "s = R/(t (b + 2 a))",
            f"t {plain(dims.shell)} mm, b {plain(tube.side_mm)} mm, a {plain(angle.leg_mm)} mm; concrete keeps it flat",
            panel,
            "MPa",
            "statics",
        ),
    ]
    uses = {
        "gusset": gusset / steel.yield_mpa,
        "foot of the leg on flange and gusset": bearing / steel.yield_mpa,
        "angle bent sideways": sideways / steel.yield_mpa,
        "panel": panel / steel.yield_mpa,
    }
    return steps, [_use("8.32", "landings of the legs", "landing", uses, f"{_YIELD}; design of this tool")]


def _landing_welds(mould: Mould, load: Newton, made: Sequence[Seam]) -> Checked:
    dims, angle = mould.dims, mould.dims.stock.angle
    force, deep = leg_reactions(dims, load)[0], gusset_depth(dims)
    leg = fillet_leg_least(dims.base, angle.thickness_mm)
    arm = landing_lever(dims) - angle.thickness_mm
    each = force / 2
    gusset = math.hypot(each * arm / (2 * deep**2 / 6), each / (2 * deep))
    bears = weld_resistance(mould, leg)
    flange = [
        seam
        for seam in seams_of(made, WeldRole.BASE_FLANGE_TOE, WeldRole.BASE_FLANGE_HEEL)
        if seam.pieces[0].place[0].crosswise
    ]
    share = min(seam.welded / seam.length for seam in flange)
    length = share * (dims.stock.tube.side_mm + 2 * angle.leg_mm)
    couple = force * landing_lever(dims) / (angle.leg_mm - angle.thickness_mm)
    heel = math.hypot(force / 2 / length, couple / length)
    ground = weld_resistance(mould, flange[0].leg) / 2
    steps = [
        Step(
            "gusset to the upright leg of the angle, both faces: moment and shear",
            "f = sqrt(((R/2) c/(2 h^2/6))^2 + ((R/2)/(2 h))^2)",
            f"R {force / 1000:.2f} kN, c {arm:.1f} mm, h {deep:.1f} mm, leg {plain(leg)} mm; {bears:.0f} N/mm allowed",
            gusset,
            "N/mm",
            _WELD,
        ),
        Step(
            "angle to panel at the heel, as far as the force spreads: half of the thrust with the couple",
            "f = sqrt((R/2)^2 + H^2)/(k (b + 2 a))",
            f"H {couple / 1000:.2f} kN, share welded {share:.2f}, {length:.0f} mm welded; ground level, half of a "
            f"fillet counts: {ground:.0f} N/mm allowed",
            heel,
            "N/mm",
            _WELD,
        ),
    ]
    uses = {"gusset to angle": gusset / bears, "heel of the angle to the panel": heel / ground}
    return steps, [_use("8.33", "welds of the landings", "landing", uses, _WELD)]


# ---------------------------------------------------------------- chapter


def bears(mould: Mould, load: Newton) -> list[Checked]:
    """Beams, caps, legs and landings under a load in the screw; every force and stress grows evenly with it."""
    made = seams(mould)
    return [
        _beams(mould, load),
        _walls(mould, load),
        _caps(mould, load, made),
        _legs(mould, load),
        _landing(mould, load),
        _landing_welds(mould, load, made),
    ]


def chapter(mould: Mould) -> Chapter:
    """Bridge, landings, base plate and runners under the design pull, and the base under the filled mould."""
    load, made = design_pull(mould), seams(mould)
    found = [
        *bears(mould, load),
        when_drawn(mould),
        when_filled(mould),
        runners(mould),
        core_welds(mould, made),
    ]
    return Chapter(
        "Bridge, landings and base",
        (
            Said(
                "Every part bears the design pull of {load:.2f} kN, {load_factor:p} times the greatest.",
                load=load / 1000,
                load_factor=LOAD_FACTOR,
            ),
            "The beams stand as close together as the hole for the screw allows: their inner walls lie by the walls of "
            "the legs and by the washer, so that caps and washer plate hardly bend.",
            "The screw is off the middle by as much as the core may be (shop.centring).",
            "The foot of a leg only stands on its flange: leg and cap hold it on its inner wall, the landing holds it "
            "on its axis; what happens lies between (lower-bound theorem of plasticity).",
            "Base bolts are out while the core is drawn; the corner bolts are in.",
            "The filled mould stands on its runners on even ground, or on two battens under their ends.",
        ),
        tuple(step for steps, _ in found for step in steps),
        (),
        tuple(need for _, needs in found for need in needs),
        (
            "Set the feet of the bridge square on both landings before the screw is turned; wipe paste off first.",
            "Watch the feet while turning: if one slides or a flange leans, let down and look why.",
            *_short_beads(mould),
        ),
    )


def _short_beads(mould: Mould) -> tuple[str, ...]:
    """A caution if the beads of the gussets are shorter than what counts as a structural weld.

    Source: EN 1993-1-8:2005 4.5.1(2), 30 mm and 6 throats.
    """
    dims = mould.dims
    deep, throat = gusset_depth(dims), fillet_throat(fillet_leg_least(dims.base, dims.stock.angle.thickness_mm))
    least = max(30.0, 6 * throat)
    if deep >= least:
        return ()
    return (
        Said(
            "The beads of the gussets are {deep:.0f} mm long, less than the {least:.0f} mm of EN "
            "1993-1-8 (4.5.1) for a weld that bears: run them round both ends of each gusset, and "
            "look for cracks after each cast.",
            deep=deep,
            least=least,
        ),
    )
