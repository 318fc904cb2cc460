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

from mouldgeom.assembly import Mould, Piece
from mouldgeom.joints import SeamKind, WeldRole
from mouldgeom.shapes import Group
from mouldgeom.stock.welds import Seam, seams
from mouldgeom.units import Mm


class Stage(StrEnum):
    """Steps of building."""

    SIDES = "side panels"
    FACES = "front and back panel"
    NOSE = "nose"
    WALLS = "core walls round the end plate"
    INSIDE = "diaphragms and anchor plate"
    STRIPS = "ledge strips"
    BASE = "base plate and runners"
    JOIN = "core to the base plate"
    BOLTS = "bolting up"
    BRIDGE = "bridge"


@dataclass(frozen=True)
class Weld:
    """Seams of one name and size in one step, under one number that counts through all steps."""

    number: int
    name: str
    seams: tuple[Seam, ...]

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
    """One step: names of the pieces that are new, and its welds."""

    stage: Stage
    new: frozenset[str]
    welds: tuple[Weld, ...]


PAIR: Final = "angle to angle"
"""Name of the seams that make a square bar of two angles."""
_SIDE_HEADS = ("side panel", "corner flange", "side base flange", "side stiffener", "gusset")
_CORE_HEADS = ("core wall", "end plate")


def stage_of(piece: Piece) -> Stage:
    """The step in which a piece is new."""
    head, _, tail = piece.name.partition(", ")
    group = piece.part.group
    stage = Stage.FACES
    if group is Group.EXTRACTION or (head.startswith("jack") and tail != "anchor"):
        stage = Stage.BRIDGE
    elif head == "jack nut":
        stage = Stage.INSIDE
    elif group is Group.FASTENERS:
        stage = Stage.NOSE if "lid bolt" in tail else Stage.BOLTS
    elif group is Group.NOSE:
        stage = Stage.NOSE
    elif group is Group.BASE:
        stage = Stage.BASE
    elif group is Group.CORE:
        stage = Stage.STRIPS if head == "ledge strip" else Stage.WALLS if head in _CORE_HEADS else Stage.INSIDE
    elif head in _SIDE_HEADS or (head == "handle" and tail.split()[0] in ("left", "right")):
        stage = Stage.SIDES
    return stage


def build_steps(mould: Mould) -> tuple[BuildStep, ...]:
    """All steps with their pieces and welds."""
    where = {piece.name: stage_of(piece) for piece in mould.pieces()}
    order = list(Stage)
    laid: dict[Stage, list[Seam]] = {stage: [] for stage in order}
    for seam in seams(mould):
        laid[_stage_of(seam, where, order)].append(seam)
    out, number = [], 0
    for stage in order:
        welds = []
        for same in _alike(sorted(laid[stage], key=lambda seam: seam.name != PAIR)):
            number += 1
            welds.append(Weld(number, same[0].name, same))
        new = frozenset(name for name, own in where.items() if own is stage)
        out.append(BuildStep(stage, new, tuple(welds)))
    return tuple(out)


def _stage_of(seam: Seam, where: dict[str, Stage], order: list[Stage]) -> Stage:
    if seam.role is WeldRole.CORE_TO_BASE:
        return Stage.JOIN
    # a box of two angles bears their name without the letter
    return max((where.get(name) or where[f"{name} a"] for name in seam.names), key=order.index)


def _alike(made: Iterable[Seam]) -> list[tuple[Seam, ...]]:
    """Seams of one name, size and pattern together, in the order of the first of each."""
    found: dict[tuple[object, ...], list[Seam]] = {}
    for seam in made:
        key = (seam.name, seam.kind, round(seam.leg, 3), round(seam.radius, 3), seam.pattern, seam.flush)
        found.setdefault(key, []).append(seam)
    return [tuple(same) for same in found.values()]
