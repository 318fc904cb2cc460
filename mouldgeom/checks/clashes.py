"""Check 1: every solid valid and closed; no two pieces overlap; every bolt passes its members with clearance."""

from __future__ import annotations

import itertools
import math

import numpy as np

from mouldgeom import tables
from mouldgeom.checks.case import Case
from mouldgeom.checks.measure import Array
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import GEAR, STAND, PieceId, RowRole
from mouldgeom.solids import PlacedSolid, common_volume
from mouldgeom.units import Mm, Mm3
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said, joined

OVERLAP_NOISE: Mm3 = 0.5
"""Common volume (mm3) that the kernel may find between solids that only touch."""
_OURS = "own rule: a mould that cannot be put together is none"


def check_validity(case: Case) -> tuple[Verdict, ...]:
    """Count solids that are not valid, not closed, or not the volume that their outline says."""
    solids = case.solids
    bad = [mark for mark, shape in solids.shapes.items() if not (shape.isValid() and shape.ShapeType() == "Solid")]
    for name, shape in (("concrete body", solids.body), ("outlet tube", solids.tube)):
        if not (shape.isValid() and shape.ShapeType() == "Solid"):
            bad.append(name)
    worst, where = 0.0, "all plates alike"
    for plate in case.mould.plates:
        exact = plate.area * plate.thickness
        difference = abs(solids.shapes[plate.mark].Volume() - exact) / exact
        if difference > worst:
            worst, where = difference, Said("{mark} {name}", mark=plate.mark, name=plate.name)
    return (
        Verdict(
            "1.1",
            Said("solids that are not valid and closed, of {solids}", solids=len(solids.shapes) + 2),
            float(len(bad)),
            0.0,
            Operator.AT_MOST,
            "-",
            joined(bad) or "none",
            _OURS,
        ),
        Verdict(
            "1.2",
            "volume of a plate against area x thickness, greatest relative difference",
            worst,
            1e-6,
            Operator.AT_MOST,
            "-",
            where,
            "prism formula",
        ),
    )


def overlaps(case: Case) -> tuple[tuple[str, str, Mm3], ...]:
    """Pieces that share volume, most first: by bounding box, then by the kernel."""
    found = []
    known: dict[tuple[object, ...], Mm3] = {}
    for one, other in itertools.combinations(case.solids.pieces, 2):
        if case.boxes[one.id].meets(case.boxes[other.id]) and not _never_together(one, other):
            key = (one.mark, other.mark, *_relative(case.place_of(one.id), case.place_of(other.id)))
            if key not in known:
                known[key] = common_volume(one.shape, other.shape)
            if known[key] > OVERLAP_NOISE:
                found.append((one.name, other.name, known[key]))
    return tuple(sorted(found, key=lambda f: (-f[2], f[0], f[1])))


def _relative(one: Placement, other: Placement) -> tuple[float, ...]:
    """How one piece stands to another, so that a bolt and its washer are measured once and not at every bolt."""
    turn = (one.direction_to_local(axis) for axis in (other.x, other.y))
    return tuple(round(v, 7) for vector in (one.to_local(other.origin), *turn) for v in vector)


def _never_together(one: PlacedSolid, other: PlacedSolid) -> bool:
    """Whether one is extraction gear and the other a base bolt or the stand, which are off before it is fitted."""
    return any(
        (a.unit.within(GEAR) and b.id.row is not None and b.id.row.role is RowRole.BASE)
        or (a.unit.within(GEAR) and b.unit.within(STAND))
        for a, b in ((one, other), (other, one))
    )


def check_overlaps(case: Case) -> tuple[Verdict, ...]:
    """Look for pieces that overlap, heads, nuts, washers and the outlet tube included."""
    found = list(overlaps(case))
    tube, box = case.solids.tube, case.tube_box
    for piece in case.solids.pieces:
        if case.boxes[piece.id].meets(box):
            volume = common_volume(piece.shape, tube)
            if volume > OVERLAP_NOISE:
                found.append((piece.name, "outlet tube", volume))
    found.sort(key=lambda f: -f[2])
    where = Said("{one} and {other}", one=found[0][0], other=found[0][1]) if found else "none"
    return (
        Verdict(
            "1.3",
            Said("greatest overlap of two pieces, {pieces} pieces and the outlet tube", pieces=len(case.solids.pieces)),
            found[0][2] if found else 0.0,
            OVERLAP_NOISE,
            Operator.AT_MOST,
            "mm3",
            where,
            _OURS,
        ),
    )


def check_bolt_clearance(case: Case) -> tuple[Verdict, ...]:
    """Measure, in every member of every joint, the clearance between shank and hole on the solids' own cylinders."""
    least, where, missing = math.inf, "", []
    cylinders = {member: _hole_axes(case, member) for row in case.mould.rows for member in row.members}
    needed = math.inf
    for row in case.mould.rows:
        bolt = tables.bolt(row.bolt)
        needed = min(needed, (bolt.hole_fine_mm - bolt.diameter_mm) / 2)
        axis = np.array(row.axis)
        for point in row.points:
            for member in row.members:
                clearance = max(
                    (
                        radius - bolt.diameter_mm / 2 - float(np.linalg.norm(np.cross(np.array(point) - at, axis)))
                        for at, along, radius in cylinders[member]
                        if abs(float(along @ axis)) > 1 - 1e-6
                        and float(np.linalg.norm(np.cross(np.array(point) - at, axis))) < radius
                    ),
                    default=-bolt.diameter_mm / 2,
                )
                if clearance < 0:
                    missing.append(Said("{row} in {piece}", row=row.name, piece=member.name))
                if clearance < least:
                    least, where = clearance, Said("{row} in {piece}", row=row.name, piece=member.name)
    return (
        Verdict(
            "1.4",
            Said(
                "clearance of bolts in their holes, {holes} holes",
                holes=sum(len(r.points) * len(r.members) for r in case.mould.rows),
            ),
            least,
            needed,
            Operator.AT_LEAST,
            "mm",
            joined(missing[:3]) or where,
            "ISO 273 fine, ASME B18.2.8 close fit: half of hole less shank",
        ),
    )


def _hole_axes(case: Case, piece: PieceId) -> list[tuple[Array, Array, Mm]]:
    """Position, direction and radius of every cylinder in a piece."""
    out = []
    for face in case.by_id[piece].shape.Faces():
        if face.geomType() == "CYLINDER":
            cylinder = face._geomAdaptor().Cylinder()
            axis = cylinder.Axis()
            at, along = axis.Location(), axis.Direction()
            out.append(
                (
                    np.array([at.X(), at.Y(), at.Z()]),
                    np.array([along.X(), along.Y(), along.Z()]),
                    float(cylinder.Radius()),
                )
            )
    return out
