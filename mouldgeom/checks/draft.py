"""Check 3: the taper of every face of the body against the pull of the steel that makes it.

The core is drawn along -z of the casting frame, the front panel with the nose box along -y, the other panels outwards,
the lid along +z.  The angle of a face is that between the face and the pull: positive when the steel moves clear.
"""

from __future__ import annotations

import math

import numpy as np

from mouldgeom import rules
from mouldgeom.checks.case import Case
from mouldgeom.checks.faces import FRONT_OUTSIDE, NOSE, BodyFace, FaceId, FaceRole
from mouldgeom.checks.measure import PlaneFace
from mouldgeom.geometry.placement import Vec
from mouldgeom.model.sides import OUTWARDS
from mouldgeom.units import Deg, Mm
from mouldgeom.verdict import Operator, Verdict

CORE_PULL = (0.0, 0.0, -1.0)
FRONT_PULL = (0.0, -1.0, 0.0)
LID_PULL = (0.0, 0.0, 1.0)
_PARALLEL: Deg = 0.01
_PATH = "common practice, no source: a face along the pull is no longer than one sheet is thick"


def draft_angle(face: PlaneFace, pull: Vec) -> Deg:
    """Angle between a face and a direction of pull: 90 if it pulls square off, 0 if it slides, negative if it locks."""
    return math.degrees(math.asin(float(np.clip(face.normal @ np.array(pull), -1.0, 1.0))))


def pull_of(face: FaceId) -> Vec | None:
    """Direction in which the steel on this face of the body is drawn off; ``None`` for the pour face."""
    if face.role is FaceRole.UNDERSIDE:
        return None
    if face.role is FaceRole.NOSE_UNDERSIDE:
        return LID_PULL
    if face.role in NOSE or face == FRONT_OUTSIDE:
        return FRONT_PULL
    return OUTWARDS[face.wall] if face.wall and face.role is FaceRole.OUTSIDE else CORE_PULL


def _run(face: PlaneFace, pull: Vec) -> Mm:
    along = face.corners @ np.array(pull)
    return float(along.max() - along.min())


def check_draft(case: Case) -> tuple[Verdict, ...]:
    """Measure the angle of every face, and the length of the faces that lie along their pull."""
    angles: list[tuple[Deg, BodyFace]] = []
    runs: list[tuple[Mm, BodyFace]] = []
    for face in case.body_faces:
        pull = pull_of(face.id)
        if pull is None:
            continue
        angle = draft_angle(face, pull)
        if abs(angle) < _PARALLEL:
            runs.append((_run(face, pull), face))
        else:
            angles.append((angle, face))
    core, nose = (
        min((a for a in angles if (a[1].id.role in NOSE) is wanted), key=lambda a: round(a[0], 6))
        for wanted in (False, True)
    )
    longest = max(runs, key=lambda r: round(r[0], 6))
    steel = "PCI MNL-116/-122 (from memory): rigid steel moulds 1:96 or more"
    least = rules.least_draft_steel()
    return (
        Verdict("3.1", "least draft of core and panels", core[0], least, Operator.AT_LEAST, "deg", core[1].name, steel),
        Verdict("3.2", "least draft of the nose", nose[0], least, Operator.AT_LEAST, "deg", nose[1].name, steel),
        Verdict(
            "3.3",
            "longest face along its pull",
            longest[0],
            case.dims.shell + case.dims.spec.shop.fit_gap,
            Operator.AT_MOST,
            "mm",
            longest[1].name,
            _PATH,
        ),
    )
