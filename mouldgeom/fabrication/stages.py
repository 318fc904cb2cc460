"""The steps of building in their order: which pieces are new in each, and which welds are laid there.

Every piece is new in one step and every weld is laid in one.  A weld belongs to the step in which the later of its
two pieces comes, but for the core's seam on the base plate, which is a step of its own.  Bars of two angles are
made first in each step.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from mouldgeom.fabrication.welds import Seam, seams
from mouldgeom.identity import (
    BACK_PANEL,
    BASE,
    BRIDGE,
    CORE,
    FOOT,
    FORCING,
    FRONT_PANEL,
    LEFT_PANEL,
    LID,
    MOULD,
    NOSE,
    PADS,
    RIGHT_PANEL,
    SCREW,
    STAND,
    PieceId,
    Role,
    RowRole,
    Unit,
)
from mouldgeom.model.assembly import Mould, Piece
from mouldgeom.model.joints import SeamKind, WeldRole
from mouldgeom.model.parts.core import CLOSING
from mouldgeom.units import Mm


class Stage(StrEnum):
    """Steps of building."""

    SIDES = "side panels"
    FACES = "front and back panel"
    NOSE = "nose"
    WALLS = "three core walls round the end plate"
    INSIDE = "diaphragms"
    CLOSE = "back wall and anchor plate"
    STRIPS = "ledge strips"
    BASE = "base plate and runners"
    JOIN = "core to the base plate"
    BOLTS = "bolting up"
    BRIDGE = "bridge"
    FORCING = "forcing screws and pads"
    STAND = "stand"


@dataclass(frozen=True)
class SeamStep:
    """Seams that join the same and are of one size, in one step, under one number that counts through all steps."""

    number: int
    seams: tuple[Seam, ...]

    @property
    def role(self) -> StrEnum:
        """What it joins."""
        return self.seams[0].role

    @property
    def name(self) -> str:
        """Its English label."""
        return self.seams[0].name

    @property
    def leg(self) -> Mm:
        """Leg of the fillet."""
        return self.seams[0].leg

    @property
    def laid(self) -> Mm:
        """Leg of the fillet that is laid on a filled corner; 0 if there is none."""
        return self.seams[0].laid

    @property
    def kind(self) -> SeamKind:
        """Shape of the weld."""
        return self.seams[0].kind

    @property
    def flush(self) -> bool:
        """Whether it is ground level with the sheet."""
        return self.seams[0].flush


@dataclass(frozen=True)
class BuildStep:
    """One step: the pieces that are new, and its welds."""

    stage: Stage
    new: frozenset[PieceId]
    welds: tuple[SeamStep, ...]


_STAGES: Final[dict[Unit, Stage]] = {
    LEFT_PANEL: Stage.SIDES, RIGHT_PANEL: Stage.SIDES, FRONT_PANEL: Stage.FACES, BACK_PANEL: Stage.FACES,
    NOSE: Stage.NOSE, LID: Stage.NOSE, CORE: Stage.INSIDE, BASE: Stage.BASE, FOOT: Stage.JOIN, BRIDGE: Stage.BRIDGE,
    SCREW: Stage.BRIDGE, FORCING: Stage.FORCING, PADS: Stage.FORCING, STAND: Stage.STAND, MOULD: Stage.BOLTS,
}  # fmt: skip
"""The step in which each unit is built; what is part of none but the mould comes when it is bolted up."""
_EARLIER: Final[dict[StrEnum, Stage]] = {
    Role.CORE_WALL: Stage.WALLS,
    Role.END_PLATE: Stage.WALLS,
    Role.ANCHOR_PLATE: Stage.CLOSE,
    Role.ANCHOR_NUT: Stage.CLOSE,
    Role.LEDGE_STRIP: Stage.STRIPS,
}
"""Pieces of the core that have a step of their own."""


def stage_of(piece: Piece) -> Stage:
    """The step in which a piece is new: that of the least unit that it is part of and that has one."""
    if piece.id.row is not None and piece.id.row.role is RowRole.LID:
        return Stage.NOSE
    stage = next(_STAGES[unit] for unit in piece.unit.line if unit in _STAGES)
    if stage is not Stage.INSIDE:
        return stage
    closing = piece.id == PieceId(Role.CORE_WALL, (CLOSING,))
    return Stage.CLOSE if closing else _EARLIER.get(piece.id.role, stage)


def build_steps(mould: Mould) -> tuple[BuildStep, ...]:
    """All steps with their pieces and welds; one in which nothing comes and nothing is welded is none."""
    where = {piece.id: stage_of(piece) for piece in mould.pieces()}
    wholes = {piece.whole: stage for piece, stage in where.items()}
    order = list(Stage)
    laid: dict[Stage, list[Seam]] = {stage: [] for stage in order}
    for seam in seams(mould):
        laid[_stage_of(seam, wholes, order)].append(seam)
    out, number = [], 0
    for stage in order:
        welds = []
        for same in _alike(sorted(laid[stage], key=lambda seam: seam.role is not WeldRole.PAIR)):
            number += 1
            welds.append(SeamStep(number, same))
        new = frozenset(piece for piece, own in where.items() if own is stage)
        if new or welds:
            out.append(BuildStep(stage, new, tuple(welds)))
    return tuple(out)


def _stage_of(seam: Seam, where: dict[PieceId, Stage], order: list[Stage]) -> Stage:
    if seam.role is WeldRole.CORE_TO_BASE:
        return Stage.JOIN
    return max((where[piece.whole] for piece in seam.pieces), key=order.index)


def _alike(made: Iterable[Seam]) -> list[tuple[Seam, ...]]:
    """Seams that join the same, of one size and pattern together, in the order of the first of each."""
    found: dict[tuple[object, ...], list[Seam]] = {}
    for seam in made:
        key = (seam.role, seam.kind, round(seam.leg, 3), round(seam.radius, 3), seam.pattern, seam.flush)
        found.setdefault(key, []).append(seam)
    return [tuple(same) for same in found.values()]
