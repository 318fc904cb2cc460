"""Check 5: the core draws, and the panels come off in their order, touching nothing on the way.

After the filter has been turned upright the base bolts come out and the jack screw draws base and core along -z of the
casting frame.  Then the corner and lid bolts come out and lid, front, back, left and right panels are taken off.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cadquery as cq
import numpy as np

from mouldgeom.checks.case import Case
from mouldgeom.checks.clashes import OVERLAP_NOISE
from mouldgeom.checks.faces import CORE_MADE, FaceRole
from mouldgeom.checks.measure import Bounds, PlaneFace, distance
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import BOX, BRIDGE, FOOT, FORCING, FRONT_PANEL, LID, PADS, PANELS, PieceId, Role, Unit
from mouldgeom.model.shapes import Fastener, Group
from mouldgeom.solids import PlacedSolid, common_volume, tube_end
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

_OWN = "own rule: what is drawn touches nothing"
ORDER: tuple[tuple[Unit, Vec, str], ...] = (
    (LID, FRONT_PANEL.pull, LID.name),
    *((panel, panel.pull, f"{side} panel") for side, panel in PANELS.items()),
)
"""Order in which the outer box is taken off, each with its direction; the lid is first lifted off the tube's end."""
_TRAVELS: tuple[Mm, ...] = (0.5, 3.0, 12.0, 50.0, 200.0)
_Obstacle = tuple[str, cq.Shape, Bounds]


@dataclass(frozen=True)
class DrawStep:
    """One step of the extraction: how far the core has moved, and the least clearance between core and concrete."""

    travel: Mm
    clearance: Mm


def core_steps(case: Case) -> tuple[Mm, ...]:
    """Travel of the core at each step, from the first tenth of a millimetre until its end plate has left the rim."""
    dims = case.dims
    clear = dims.end_z
    stroke = dims.stroke
    even = [0.1, 0.3, 1.0, 3.0, 10.0, 30.0, *(clear * share for share in (0.2, 0.4, 0.6, 0.8, 0.95, 1.0)), clear + 1.0]
    return tuple(sorted({stroke, *(step for step in even if abs(step - stroke) > 0.05)}))


def draw_core(case: Case) -> tuple[DrawStep, ...]:
    """Move the core along its pull and measure the least clearance to the concrete at each step.

    Both are bounded by plane faces, so the least distance lies at a corner or along an edge of one of them; corners
    and points along edges of both are measured.
    """
    body = case.faces(*CORE_MADE, FaceRole.RIM)
    core: list[PlaneFace] = []
    for piece in case.concrete_plates:
        if piece.part.group in (Group.CORE, Group.BASE):
            towards = np.array(case.normal_of(piece.id))
            core += [f for f in case.piece_faces(piece.id) if float(f.normal @ towards) > -0.5]
    core_points = np.concatenate([_frame_points(f) for f in core])
    body_points = np.concatenate([_frame_points(f) for f in body])
    out = []
    for travel in core_steps(case):
        shift = np.array([0.0, 0.0, -travel])
        one, _ = distance(core_points + shift, body)
        other, _ = distance(body_points - shift, core)
        out.append(DrawStep(travel, float(min(one.min(), other.min()))))
    return tuple(out)


def _frame_points(face: PlaneFace) -> np.ndarray:
    starts, ends = face.edges
    shares = np.linspace(0.0, 1.0, 9)[:-1]
    flat = np.concatenate([starts + (ends - starts) * s for s in shares])
    return face.lift(flat)


def check_core(case: Case) -> tuple[Verdict, ...]:
    """Draw the core: clearance at each step, volume shared with what stays, stroke and screw."""
    dims = case.dims
    steps = draw_core(case)
    inside = [s for s in steps if s.travel <= dims.end_z]
    growth = min((b.clearance - a.clearance) / (b.travel - a.travel) for a, b in itertools.pairwise(inside))
    jack = next(s for s in steps if s.travel >= dims.stroke)
    moving, gear = _made(case, FOOT), _made(case, BRIDGE if dims.has_bridge else FORCING)
    staying = _made(case, BOX) + _made(case, PADS) + gear
    worst, where = _sweep(case, moving, _obstacles(case, staying), _down(0.3, 10.0, dims.stroke))
    beyond = [p for p in staying if p not in gear]
    later, later_where = _sweep(case, moving, _obstacles(case, beyond), _down(0.4 * dims.end_z, 0.95 * dims.end_z))
    if later > worst:
        worst, where = later, later_where
    return (
        Verdict(
            "5.1",
            Said("core clearance gained per mm of travel, least over {steps} steps", steps=len(inside)),
            growth,
            0.001,
            Operator.AT_LEAST,
            "mm/mm",
            Said("travel {start:g} to {end:.0f} mm", start=inside[0].travel, end=inside[-1].travel),
            "own rule: clearance grows at each step",
        ),
        Verdict(
            "5.2",
            "clearance all round the core at the end of the stroke",
            jack.clearance,
            dims.spec.shop.release_clearance,
            Operator.AT_LEAST,
            "mm",
            Said("after {travel:.1f} mm of travel", travel=dims.stroke),
            "specification, shop.release_clearance",
        ),
        Verdict(
            "5.3",
            "core and base meet what stays, shared volume",
            worst,
            OVERLAP_NOISE,
            Operator.AT_MOST,
            "mm3",
            where,
            _OWN,
        ),
        *(_bridge_travel(case) if dims.has_bridge else _forcing_travel(case)),
    )


def _travel(code: str, title: str, value: Mm, stroke: Mm, where: str) -> Verdict:
    """Require that something allows the stroke."""
    source = "specification, shop.release_clearance over the sine of the draft"
    return Verdict(code, title, value, stroke, Operator.AT_LEAST, "mm", where, source)


def _bridge_travel(case: Case) -> Iterator[Verdict]:
    room, stroke = case.dims.bridge.leg_length - case.dims.base, case.dims.stroke
    yield _travel("5.4", "travel before the base plate meets the bridge", room, stroke, "base plate and bridge caps")
    where = "from the jack nut to the next plate in the core"
    yield _travel("5.5", "jack screw: travel that it allows", _screw_reach(case), stroke, where)


def _forcing_travel(case: Case) -> Iterator[Verdict]:
    """The nuts that are welded climb along their screws, until they meet those that drive or leave the thread."""
    reach, held = math.inf, math.inf
    for piece in case.solids.pieces:
        if piece.id.role is not Role.PLATE_NUT:
            continue
        nut, place = case.boxes[piece.id], piece.id.place
        screw, drive = (case.boxes[PieceId(role, place)] for role in (Role.FORCING_SCREW, Role.TURNING_NUT))
        reach = min(reach, nut.low[2] - drive.high[2])
        held = min(held, screw.high[2] - nut.high[2], nut.low[2] - screw.low[2])
    stroke = case.dims.stroke
    yield _travel("5.4", "travel before a welded nut meets the nuts that drive", reach, stroke, "forcing screws")
    yield Verdict(
        "5.5",
        "forcing screw through its whole welded nut: least thread beyond it, at the start",
        held,
        0.0,
        Operator.AT_LEAST,
        "mm",
        "forcing screws",
        "own rule: a nut bears with all of its thread",
    )


def _down(*travels: Mm) -> list[Vec]:
    return [(0.0, 0.0, -travel) for travel in travels]


def _screw_reach(case: Case) -> Mm:
    """Travel until the tip of the screw meets the end plate, the first above the jack nut without a hole for it."""
    dims = case.dims
    tip = case.boxes[PieceId(Role.JACK_SCREW)].high[2]
    ceiling = case.boxes[PieceId(Role.END_PLATE)].low[2]
    engaged = tip - (dims.bridge.anchor_z + dims.stock.jack.nut_height_mm)
    return ceiling - tip if engaged >= 0 else engaged


def _made(case: Case, unit: Unit) -> list[PlacedSolid]:
    """Plates and bars of a unit."""
    return [p for p in case.solids.pieces if p.unit.within(unit) and not isinstance(p.part, Fastener)]


def check_panels(case: Case) -> tuple[Verdict, ...]:
    """Take lid and panels off in their order, each against the concrete, the tube and what is still there."""
    out = []
    gone: list[Unit] = []
    for number, (which, pull, title) in enumerate(ORDER, 6):
        moving = _made(case, which)
        gone.append(which)
        staying = [p for p in _made(case, BOX) if not p.unit.within(*gone)]
        lift = 2 * case.dims.shell if which is LID else 0.0
        path: list[Vec] = [(0.0, 0.0, lift * share) for share in (0.1, 0.5, 1.0) if lift]
        path += [(pull[0] * t, pull[1] * t, lift) for t in _TRAVELS]
        tube = ("outlet tube", case.solids.tube, case.tube_box)
        stub = tube_end(case.dims, case.dims.tube.outside)
        end = ("outlet tube", stub, Bounds.of(stub))
        past = [(pull[0] * t, pull[1] * t, lift) for t in _past_the_tube(case)]
        worst, where = max(
            _sweep(case, moving, [*_obstacles(case, staying), tube], path),
            _sweep(case, moving, [end], past),
            key=lambda found: found[0],
        )
        out.append(
            Verdict(
                f"5.{number}",
                Said("{title} comes off, shared volume on its way ({pieces} pieces)", title=title, pieces=len(moving)),
                worst,
                OVERLAP_NOISE,
                Operator.AT_MOST,
                "mm3",
                where,
                _OWN,
            )
        )
    return tuple(out)


def _past_the_tube(case: Case) -> list[Mm]:
    """Travels so close to each other that no sheet passes the end of the tube unseen, as far as the nose reaches."""
    step, nose = case.dims.tube.outside / 2, case.dims.nose
    return [step * i for i in range(1, math.ceil((nose.root_y - nose.tip_y) / step) + 2)]


def _obstacles(case: Case, staying: Sequence[PlacedSolid]) -> list[_Obstacle]:
    """Pieces that stay, and the concrete."""
    pieces = [(p.name, p.shape, case.boxes[p.id]) for p in staying]
    return [*pieces, ("concrete body", case.solids.body, case.body_box)]


def _sweep(
    case: Case, moving: Sequence[PlacedSolid], still: Sequence[_Obstacle], path: Sequence[Vec]
) -> tuple[float, str]:
    """Greatest volume that moved pieces share with what stands still, and which they are."""
    worst, where = 0.0, "nothing met"
    for shift in path:
        for piece in moving:
            box = case.boxes[piece.id].moved(shift)
            near = [(name, shape) for name, shape, other in still if box.meets(other)]
            if not near:
                continue
            moved = piece.shape.moved(cq.Location(cq.Vector(*shift)))
            for name, shape in near:
                volume = common_volume(moved, shape)
                if volume > worst:
                    worst, where = (
                        volume,
                        Said(
                            "{one} and {other} after {travel:.1f} mm",
                            one=piece.name,
                            other=name,
                            travel=math.hypot(*shift),
                        ),
                    )
    return worst, where
