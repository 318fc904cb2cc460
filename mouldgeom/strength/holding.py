"""What holds the core when it is drawn, over the ranges of what is not known: the force that starts it, and the travel.

Whatever gear draws it, the filter stands upright on its floor, the base bolts are out and the panels are still bolted.
"""

from __future__ import annotations

from typing import Final

from mouldgeom.model.assembly import Mould
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.pull import (
    Sticking,
    age_table,
    comparison_table,
    corner_table,
    faces,
    grip_force,
    latest_age,
    lifted_mass,
    plan_area,
    pull,
    range_table,
    release,
)
from mouldgeom.strength.restraint import CREEP, restraint
from mouldgeom.strength.steps import Chapter, Step
from mouldgeom.units import plain
from mouldgeom.words import Said

_VIEW: Final = "statics"
_FIELDS: Final = "specification, [extraction]; no agreed value"

ASSUMPTIONS: Final = (
    "No agreed value of adhesion was found in any source read, nor of what is left of the fresh pressure, nor of how "
    "shrinkage grips a core of sheet: ranges are carried, core and panels apart, and their worst corner governs. They "
    "are assumptions until a core has been drawn: test.",
    "Adhesion, grip, shrinkage and suction are all at their greatest at once, as if nothing had let go yet.",
    "Adhesion acts as shear on the drafted faces and as tension on the level ones; faces are oiled and clean.",
    "In its first day concrete creeps, and its stiffness grows from nothing: what strain leaves by then is within the "
    "share of the fresh pressure. From then on it shrinks against the core: sealed, and from stripping on by a share "
    "of the drying of a wall open on both sides in air of 60 %, which stands for what dries at rim and floor, and for "
    "concrete that cools ahead of the core.",
    "The core is sheet: its walls give way between corners and level plates, and bear only beside them. Oil film, "
    "slip and cracks are left out, which all loosen it.",
)


def _pull_steps(mould: Mould) -> list[Step]:
    dims, given = mould.dims, mould.dims.spec.extraction
    worst = Sticking.worst(dims)
    found, shrunk = pull(mould, worst), restraint(dims, worst.age)
    area = ", ".join(f"{face.name} {face.area / 1e6:.3f} m2" for face in faces(dims))
    squeeze = worst.core_grip * grip_force(dims)
    end = plan_area(dims, dims.end_z, 0)
    let_go = release(mould, worst)
    wedge = f"mu {plain(given.friction)}, d {plain(dims.draft)} deg"
    return [
        Step(
            "weight that is drawn: core, base plate with runners, screw with its nuts",
            "W = m g",
            f"{lifted_mass(mould):.1f} kg",
            found.weight / 1000,
            "kN",
            "mass of the parts",
        ),
        Step(
            Said("adhesion at {adhesion:p} kPa", adhesion=worst.core),
            "A = a (sum of drafted faces x cos d + level faces)",
            f"{area}; d {plain(dims.draft)} deg",
            found.adhesion / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "grip that the fresh pressure leaves on the core walls",
            "N = grip x integral of p dA",
            f"{plain(worst.core_grip)} x {grip_force(dims) / 1000:.2f} kN, {dims.fresh.method}",
            squeeze / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "friction of it on the draft",
            "R = N (mu cos d - sin d), not below 0",
            f"{squeeze / 1000:.2f} kN, {wedge}",
            found.friction / 1000,
            "kN",
            "statics of a wedge; mu: Rabbat and Russell 1985",
        ),
        Step(
            Said("strain of the concrete from its first day until {age:p} h", age=worst.age),
            "e = ca(t) - ca(t0) + share x cd(t - t0)",
            f"sealed {shrunk.strain.sealed * 1e6:.2f}, drying and cooling {shrunk.strain.dried * 1e6:.2f} microstrain, "
            f"share {plain(given.drying)}",
            shrunk.strain.total * 1e6,
            "microstrain",
            "EN 1992-1-1:2004, 3.1.4 and Annex B.2 (partly from memory); share: own rule",
        ),
        Step(
            "concrete against a core wall, if nothing stood in its way",
            "u = e x half the core",
            "at the rim",
            shrunk.approach * 1000,
            "micrometre",
            "geometry",
        ),
        Step(
            "force on all core walls beside their corners, sheet, bed and walls in series",
            "N1 = sum of u/(1/(4 D b^3) + a/(Es t) + a/(k Ec w)) over corners and height",
            f"k Ec {shrunk.modulus:.0f} MPa, k {CREEP:g} for creep; b^4 = k Ec/(w/2)/(4 D)",
            shrunk.corners / 1000,
            "kN",
            "own model: beam on an elastic foundation, Hetenyi (from memory)",
        ),
        Step(
            "force on all core walls along base plate, anchor plate, diaphragms and end plate",
            "N2 = sum of u/(1/(n 4 D b^3) + (1 - nu) a/(Es t) + 1/concrete wall) over their edges",
            "n 1 at an end of the walls, 2 between",
            shrunk.plates / 1000,
            "kN",
            "own model, as above",
        ),
        Step(
            "the same on a core that could not give way: the upper bound",
            "N = sum of e k Ec w over four walls, twice a height",
            "p = E e t/r of a ring",
            shrunk.rigid / 1000,
            "kN",
            "statics of a ring",
        ),
        Step(
            "friction of shrinkage on the draft",
            "R = N (mu cos d - sin d), not below 0",
            f"{shrunk.normal / 1000:.2f} kN, {wedge}",
            found.shrinkage / 1000,
            "kN",
            "statics of a wedge; mu: Rabbat and Russell 1985",
        ),
        Step(
            "travel until shrinkage grips no more",
            "s = u/sin d",
            f"u {shrunk.approach * 1000:.2f} micrometre, d {plain(dims.draft)} deg",
            let_go.shrinkage,
            "mm",
            "geometry",
        ),
        Step(
            "travel until the core walls have sprung out",
            "s = grip x bulge/sin d",
            f"grip {plain(worst.core_grip)}",
            let_go.grip,
            "mm",
            "geometry",
        ),
        Step(
            "suction under the end plate",
            "S = s x area",
            f"{plain(given.suction)} kPa x {end / 1e6:.4f} m2",
            found.suction / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "greatest pull, which starts the core",
            "F = W + A + R + S",
            f"{found.weight / 1000:.2f} + {found.adhesion / 1000:.2f} + {found.friction / 1000:.2f} + "
            f"{found.shrinkage / 1000:.2f} + {found.suction / 1000:.2f} kN",
            found.total / 1000,
            "kN",
            _VIEW,
        ),
        Step(
            "design pull, for every part that it loads",
            "Fd = 1.5 F",
            f"{plain(LOAD_FACTOR)} x {found.total / 1000:.2f} kN",
            LOAD_FACTOR * found.total / 1000,
            "kN",
            "EN 1990:2002 Table A1.2(B), gamma_Q (from memory)",
        ),
    ]


CAUTIONS: Final = (
    "Leave the load on and wait ten minutes: a stuck core often lets go late. Then turn on by an eighth.",
    "Look for what still holds: a base bolt left in, paste over a notch or a flange, a weld bead on the core.",
    "Tap the base plate over the core walls with a soft mallet, all round; never the concrete, never the screw.",
    "Run water or thin oil into the gap at the rim and let it creep; air blown gently behind the end plate breaks its "
    "suction. Full pressure of a compressor would throw the core: a tyre pump does.",
    "Young or cold concrete gains strength by the hour, and grips tighter by the day: wait hours, not days.",
    "The core is never warmer than the concrete: keep the sun off. Cold water into the core shrinks it loose.",
    "Nothing hangs over a hand: never reach below a raised core or base plate, and hang no weight under it.",
)


def chapter(mould: Mould) -> Chapter:
    """What holds the core, where all of it comes from, how it grows with age, and after which travel it is gone."""
    until = Said(
        "Draw the core until {age:p} h after casting: the longer it waits, the tighter concrete grips it.",
        age=latest_age(mould.dims),
    )
    return Chapter(
        "What holds the core",
        ("The filter stands upright, the base bolts are out, the panels are bolted to each other.", *ASSUMPTIONS),
        tuple(_pull_steps(mould)),
        (range_table(mould), age_table(mould), corner_table(mould), comparison_table(mould)),
        (),
        (until, *CAUTIONS),
    )
