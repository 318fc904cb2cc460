"""The base plate with its runners and welds: drawn with the core, and under the filled mould."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from mouldgeom import rules
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.fabrication.welds import Seam
from mouldgeom.identity import PieceId, Role, Side
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import WeldRole
from mouldgeom.rules import NewtonPerMm, beams
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.masses import masses
from mouldgeom.strength.pull import mass_of
from mouldgeom.strength.seats import seams_of, weld_resistance
from mouldgeom.strength.steps import Checked, Step
from mouldgeom.units import GRAVITY, Mm, Mm2, Mpa, Newton, NewtonMm, plain
from mouldgeom.verdict import Operator, Verdict

_STRIP: Final = "beam theory, strip of plate 1 mm wide"
_YIELD: Final = "EN 1993-1-1:2005 6.2 (from memory), fy / gamma_M0, gamma_M0 = 1"


def drawn_moment(mould: Mould) -> tuple[Mm, Mpa, NewtonMm]:
    """Overhang of the base plate beyond the core, adhesion on it, and moment on each mm at the core wall.

    The adhesion acts on all of the overhang, as if paste had run under the flanges; a runner hangs on it too.

    Source: beam theory, q c^2/2 + g y.
    """
    dims = mould.dims
    given = dims.spec.extraction
    sticks = LOAD_FACTOR * given.core_adhesion_greatest * 1e-3
    plate = dims.base * dims.stock.steel.density_kg_m3 * 1e-9 * GRAVITY
    overhang = max(dims.base_half_x - dims.core_half_x(0), dims.base_half_y - dims.core_half_y(0))
    hung = mass_of(mould, lambda stand: stand.id.whole == PieceId(Role.RUNNER, (Side.FRONT,)))
    runner = hung * GRAVITY / (2 * dims.core_half_x(0))
    arm = max(0.0, dims.runner_y - dims.core_half_y(0))
    return overhang, sticks, (sticks + plate) * overhang**2 / 2 + runner * arm


def filled_weight(mould: Mould) -> Newton:
    """Weight of the mould when it is filled, bridge and jack screw put aside."""
    return masses(mould).filled.mass * GRAVITY


def runner_lever(dims: Dimensions) -> Mm:
    """From the middle of the front core wall to the nearest line on which the plate lies on its runner."""
    tube = dims.stock.tube
    wall, flat = dims.core_half_y(0) - dims.wall_inset / 2, tube.side_mm / 2 - tube.outer_radius_mm
    return max(0.0, dims.runner_y - flat - wall, wall - dims.runner_y - flat)


def ring_span(dims: Dimensions) -> Mm:
    """Base plate between the middles of core wall and panel, on the wider side."""
    x = dims.width / 2 - dims.core_half_x(0)
    y = dims.depth / 2 - dims.core_half_y(0)
    return max(x, y) + (dims.shell + dims.wall_inset) / 2


def _modulus(dims: Dimensions) -> Mm2:
    """Elastic modulus of the plate, each mm of width."""
    return dims.base**2 / 6


def when_drawn(mould: Mould) -> Checked:
    """The base plate as it comes off with the core."""
    dims = mould.dims
    overhang, sticks, moment = drawn_moment(mould)
    at_wall = moment / _modulus(dims)
    load = f"{sticks * 1000:.1f} kPa"
    where, worst = "base plate, at the core walls", at_wall
    steps = [
        Step(
            "base plate drawn: strip that overhangs the core wall, its runner hung on it",
            "s = (q c^2/2 + g y)/(t^2/6)",
            f"q {load} and its own weight, c {overhang:.1f} mm, t {plain(dims.base)} mm",
            at_wall,
            "MPa",
            _STRIP,
        ),
    ]
    if dims.has_bridge:
        beyond = dims.base_half_x - dims.bridge.notch_x
        share = dims.base_half_y / (dims.base_half_y - dims.bridge.notch_half)
        at_notch = share * sticks * beyond**2 / 2 / _modulus(dims)
        steps.append(
            Step(
                "base plate drawn: what is left beside the leg notches",
                "s = q c^2/2 b/(b - n)/(t^2/6)",
                f"q {load}, c {beyond:.1f} mm, b {dims.base_half_y:.0f} mm, n {plain(dims.bridge.notch_half)} mm",
                at_notch,
                "MPa",
                _STRIP,
            )
        )
        if at_notch > at_wall:
            where, worst = "base plate, beside the leg notches", at_notch
    title, grade = "base plate when drawn: bending", dims.stock.steel.yield_mpa
    return steps, [Verdict("8.34", title, worst, grade, Operator.AT_MOST, "MPa", where, _YIELD)]


def when_filled(mould: Mould) -> Checked:
    """The base plate between runners, core and panels while the mould stands filled."""
    dims, steel = mould.dims, mould.dims.stock.steel
    weight, lever, span = filled_weight(mould), runner_lever(dims), ring_span(dims)
    width = 2 * dims.core_half_x(0)
    line = weight / 2 / width
    pressure = dims.pressure_at(0)
    rigidity = rules.plate_rigidity(steel.elastic_modulus_mpa, dims.base, steel.poisson)
    edge = LOAD_FACTOR * line * lever / _modulus(dims)
    ring = LOAD_FACTOR * beams.uniform_moment(pressure, span) / _modulus(dims)
    sag = max(line * lever**3 / (3 * rigidity), beams.uniform_deflection(pressure, span, rigidity, 1.0))
    uses = {
        "stress between core wall and runner": edge / steel.yield_mpa,
        "stress between core wall and panel": ring / steel.yield_mpa,
        "sag": sag / dims.spec.shop.allowed_bulge,
    }
    governs = max(uses, key=lambda key: uses[key])
    steps = [
        Step(
            "weight of the filled mould",
            "W",
            "fresh concrete and all steel but the bridge",
            weight / 1000,
            "kN",
            "mass",
        ),
        Step(
            "base plate filled: strip between core wall and runner, half of the weight on each side",
            "s = 1.5 (W/2b) l/(t^2/6)",
            f"W {weight / 1000:.2f} kN, b {width:.0f} mm, l {lever:.1f} mm, t {plain(dims.base)} mm",
            edge,
            "MPa",
            _STRIP,
        ),
        Step(
            "base plate filled: strip between core wall and panel, held by the welds inside and the base bolts",
            "s = 1.5 (p c^2/8)/(t^2/6)",
            f"p {pressure * 1000:.1f} kPa, c {span:.1f} mm",
            ring,
            "MPa",
            _STRIP,
        ),
        Step(
            "base plate filled: greatest sag of these strips",
            "w = (W/2b) l^3/(3 D) or 5 p c^4/(384 D)",
            f"D {rigidity / 1000:.0f} N m",
            sag,
            "mm",
            _STRIP,
        ),
    ]
    need = Verdict(
        "8.35",
        "base plate under the filled mould: share of yield and of the allowed bulge",
        uses[governs],
        1.0,
        Operator.AT_MOST,
        "-",
        f"base plate, {governs}",
        f"{_YIELD}; specification, shop.allowed_bulge",
    )
    return steps, [need]


def runners(mould: Mould) -> Checked:
    """Runners as beams: the filled mould stands on two battens under their ends, or hangs on them."""
    dims = mould.dims
    load, span = LOAD_FACTOR * filled_weight(mould) / 2, 2 * dims.runner_half
    modulus = dims.stock.tube.section_modulus_cm3 * 1000
    stress = beams.bending_stress(beams.uniform_moment(load / span, span), modulus)
    step = Step(
        "runner held at its ends only, half of the filled mould spread over it",
        "s = 1.5 (W/2) L/(8 Wel)",
        f"{load / 1000:.2f} kN, L {span:.0f} mm, Wel {modulus / 1000:.2f} cm3",
        stress,
        "MPa",
        "beam theory, w L^2/8",
    )
    title, limit = "runners: bending under the filled mould", dims.stock.steel.yield_mpa
    return [step], [Verdict("8.36", title, stress, limit, Operator.AT_MOST, "MPa", "runners, middle", _YIELD)]


def core_welds(mould: Mould, made: Sequence[Seam]) -> Checked:
    """The runs of weld that join core and base plate, from inside."""
    dims = mould.dims
    found = seams_of(made, WeldRole.CORE_TO_BASE)
    share = min(seam.welded / seam.length for seam in found)
    _, _, moment = drawn_moment(mould)
    pressure = dims.pressure_at(0)
    prying: NewtonPerMm = moment / dims.wall_inset / share
    held: NewtonPerMm = LOAD_FACTOR * pressure * ring_span(dims) / 2 / share
    steps = [
        Step(
            "core to base plate, drawn: the core pushes the plate off and its overhang pries on the weld",
            "f = m/(t k)",
            f"m {moment:.1f} N mm/mm, t {dims.wall_inset:.2f} mm, share welded {share:.2f}",
            prying,
            "N/mm",
            "statics",
        ),
        Step(
            "core to base plate, filled: half of the ring's load hangs on the weld",
            "f = 1.5 p c/(2 k)",
            f"p {pressure * 1000:.1f} kPa, c {ring_span(dims):.1f} mm, share welded {share:.2f}",
            held,
            "N/mm",
            "statics",
        ),
    ]
    where = f"core to base plate, inside, {'drawn' if prying >= held else 'filled'}"
    source = "EN 1993-1-8:2005 4.5.3.3, a fu/(sqrt 3 beta_w gamma_M2)"
    limit = weld_resistance(mould, found[0].leg)
    title = "core to base plate: force on its welds"
    return steps, [Verdict("8.37", title, max(prying, held), limit, Operator.AT_MOST, "N/mm", where, source)]
