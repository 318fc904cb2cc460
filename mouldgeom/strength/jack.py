"""The jack screw and what it bears on, under a load: nut, anchor plate, washer plate and their welds."""

from __future__ import annotations

from typing import Final

from mouldgeom.fabrication.wear import spare_sets, wear_casts
from mouldgeom.fabrication.welds import seams
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import WeldRole
from mouldgeom.rules import screw
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.pull import Drive, rough, wearing_pull
from mouldgeom.strength.seats import (
    fixed_coefficients,
    fixed_plate,
    plastic_boss_load,
    seams_of,
    washer_plate_stress,
    weld_resistance,
)
from mouldgeom.strength.steps import Checked, Step
from mouldgeom.strength_classes import class_text, strength_class, welded_class
from mouldgeom.units import Newton, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

SHIGLEY: Final = "Shigley's Mechanical Engineering Design, ch. 8"
SHIGLEY_MEMORY: Final = f"{SHIGLEY} (from memory)"
_YIELD: Final = "EN 1993-1-1:2005 6.2 (from memory), fy / gamma_M0, gamma_M0 = 1"


def thread_stresses(gear: Drive, load: Newton) -> list[Step]:
    """Stresses of a screw and of its first engaged turn under a load."""
    thread = gear.thread
    first = screw.FIRST_THREAD_SHARE * load
    torque = screw.torque_to_raise(load, thread, gear.friction)
    return [
        Step(
            "screw between its nuts: pull with the torque of the thread, at its root",
            "s = sqrt((4 F/(pi d3^2))^2 + 3 (16 T/(pi d3^3))^2)",
            f"F {load / 1000:.2f} kN, T {torque / 1000:.1f} N m, d3 {thread.root:.2f} mm",
            gear.body(load),
            "MPa",
            SHIGLEY_MEMORY,
        ),
        Step(
            "first engaged turn of the screw: bending with shear (the turn of the nut is wider)",
            "s = sqrt(sb^2 + 3 t^2), sb = 3 F1 h/(pi d3 w^2), t = 1.5 F1/(pi d3 w), F1 = 0.38 F",
            f"F1 {first / 1000:.2f} kN, h {thread.depth:.2f} mm, w {thread.root_width:.2f} mm, d3 {thread.root:.2f} mm",
            gear.turn(load),
            "MPa",
            SHIGLEY_MEMORY,
        ),
        Step(
            "pressure on the first engaged turn",
            "p = F1/(pi dm h)",
            f"F1 {first / 1000:.2f} kN",
            screw.thread_bearing(first, thread),
            "MPa",
            SHIGLEY_MEMORY,
        ),
    ]


def wear_steps(mould: Mould) -> list[Step]:
    """Casts that the screws last under the pull that turns them, and the sets of spares that the mould's life takes."""
    dims, running = mould.dims, wearing_pull(mould)
    casts, life, thread = wear_casts(mould, running), dims.spec.use.life, rough(dims).thread
    return [
        Step(
            "casts until a quarter of the pitch is worn off the flanks (order of magnitude only)",
            "N = (P/4) H/(k p s), H = 3 fu",
            f"k {screw.WEAR_FACTOR:g}, s {screw.slide(thread, dims.stroke):.0f} mm a cast under "
            f"{running / 1000:.2f} kN; {thread.pitch / 4 / casts * 1000:.2f} micrometres a cast",
            casts,
            "casts",
            "Archard's law; k and H from memory",
        ),
        Step(
            "spare sets of screw and nut over the life of the mould",
            "S = ceil(L/N) - 1",
            f"L {plain(life)} casts, N {casts:.0f} casts",
            spare_sets(mould, running),
            "-",
            "own rule; life: specification, use.life",
        ),
    ]


def thread_needs(mould: Mould, gear: Drive, load: Newton, codes: tuple[str, str]) -> list[Verdict]:
    """What the body of a screw of the jack's kind and its first turn in a welded nut must bear."""
    grade = strength_class(mould.dims.spec.steel.screw_class, gear.row)
    nut = strength_class(welded_class(grade.designation, gear.row), gear.row)
    name = Said("jack screw {designation}", designation=gear.row.designation)
    return [
        Verdict(
            codes[0],
            "jack screw: stress of its body",
            gear.body(load),
            grade.yield_mpa,
            Operator.AT_MOST,
            "MPa",
            name,
            f"{_YIELD}; {class_text(grade.designation)}",
        ),
        Verdict(
            codes[1],
            "jack screw and nut: stress of the first turn",
            gear.turn(load),
            min(grade.yield_mpa, nut.yield_mpa),
            Operator.AT_MOST,
            "MPa",
            Said("{name}, thread in the jack nut", name=name),
            f"{_YIELD}; {class_text(nut.designation)}: the nut is welded, {class_text(nut.nut)}",
        ),
    ]


def _anchor(mould: Mould, load: Newton) -> Checked:
    dims, made = mould.dims, seams(mould)
    steel, jack, z = dims.stock.steel, dims.stock.jack, dims.bridge.anchor_z
    halves = sorted(half - dims.wall_inset for half in (dims.core_half_x(z), dims.core_half_y(z)))
    nut = seams_of(made, WeldRole.NUT_TO_ANCHOR)[0]
    boss = jack.across_flats_mm / 2 + nut.leg
    holds = plastic_boss_load(steel.yield_mpa, dims.base, halves[0], boss)
    service = load / LOAD_FACTOR
    beta, alpha = fixed_coefficients(2 * halves[0], 2 * halves[1])
    peak, sag = fixed_plate(service, 2 * halves[0], 2 * halves[1], dims.base, boss, steel.elastic_modulus_mpa)
    ring = "yield lines, hinge at the toe of the nut's weld, edges not held against turning (from memory)"
    roark = "Roark, 7th ed. 2002, Table 11.4 case 8b, fixed edges (coefficients from memory)"
    welds = seams_of(made, WeldRole.ANCHOR_TO_WALL)
    length, resistance = sum(seam.welded for seam in welds) / 2, weld_resistance(mould, welds[0].leg)
    steps = [
        Step(
            "anchor plate: load at which it yields around the nut",
            "P = 2 pi (fy t^2/4) a/(a - c), c = s/2 + z",
            f"fy {plain(steel.yield_mpa)} MPa, t {plain(dims.base)} mm, a {halves[0]:.1f} mm; nut welded all round, "
            f"s {plain(jack.across_flats_mm, 1)} mm, leg z {plain(nut.leg, 2)} mm",
            holds / 1000,
            "kN",
            ring,
        ),
        Step(
            "anchor plate: elastic stress under the nut at the greatest pull (the first yield, not the strength)",
            "s = 3 W/(2 pi t^2) (1.3 ln(2 b/(pi r)) + beta)",
            f"W {service / 1000:.2f} kN, t {plain(dims.base)} mm, b {2 * halves[0]:.0f} mm, r {plain(boss, 1)} mm, "
            f"beta {beta:.3f}",
            peak,
            "MPa",
            roark,
        ),
        Step(
            "anchor plate: sag at the greatest pull",
            "w = alpha W b^2/(E t^3)",
            f"alpha {alpha:.4f}, E {steel.elastic_modulus_mpa:g} MPa, the rest as above",
            sag,
            "mm",
            roark,
        ),
        Step(
            "anchor plate: force on each mm of its welds, the middle half of each side counted",
            "f = F/(L/2)",
            f"{load / 1000:.2f} kN over {length:.0f} mm, leg {plain(welds[0].leg)} mm; "
            f"the nut's own seam has {nut.welded:.0f} mm and is not loaded: the nut bears on the plate",
            load / length,
            "N/mm",
            "EN 1993-1-8:2005 4.5.3.3",
        ),
    ]
    needs = [
        Verdict(
            "8.24",
            "anchor plate: load that it bears, kept above the design pull",
            holds / 1000,
            load / 1000,
            Operator.AT_LEAST,
            "kN",
            "anchor plate, around the jack nut",
            ring,
        ),
        Verdict(
            "8.25",
            "anchor plate: force on its welds",
            load / length,
            resistance,
            Operator.AT_MOST,
            "N/mm",
            "anchor plate to core walls",
            "EN 1993-1-8:2005 4.5.3.3, a fu/(sqrt 3 beta_w gamma_M2)",
        ),
    ]
    return steps, needs


def _washer(mould: Mould, load: Newton) -> Checked:
    dims = mould.dims
    lever, width, stress = washer_plate_stress(dims, load)
    step = Step(
        "washer plate between the beams, at its hole",
        "s = (F/2) c/(b t^2/4)",
        f"F {load / 1000:.2f} kN, c {lever:.1f} mm, b {width:.1f} mm, t {plain(dims.base)} mm",
        stress,
        "MPa",
        "EN 1993-1-1:2005 6.2.5 (from memory), plastic modulus of a solid plate",
    )
    need = Verdict(
        "8.26",
        "washer plate: bending between the beams",
        stress,
        dims.stock.steel.yield_mpa,
        Operator.AT_MOST,
        "MPa",
        "washer plate, at its hole",
        _YIELD,
    )
    return [step], [need]


def bears(mould: Mould, load: Newton) -> Checked:
    """Screw, nut, anchor plate and washer plate under a load; every stress grows evenly with it."""
    gear = rough(mould.dims)
    anchor, anchor_needs = _anchor(mould, load)
    washer, washer_needs = _washer(mould, load)
    needs = [*thread_needs(mould, gear, load, ("8.21", "8.22")), *anchor_needs, *washer_needs]
    return [*thread_stresses(gear, load), *anchor, *washer], needs
