"""Views of the mould at each stage, made from its solids, with marks of the new pieces and numbers of the welds."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from mouldgeom.drawing.hidden import Key, Solid, Thing, View, section
from mouldgeom.drawing.looking import CONCRETE, TUBE
from mouldgeom.drawing.strokes import Curve, points_of
from mouldgeom.fabrication.stages import BuildStep, SeamStep, Stage
from mouldgeom.geometry.outline import Point
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import (
    APART,
    BACK_PANEL,
    BASE,
    BOLTS,
    CORE,
    FOOT,
    FRONT_PANEL,
    LEFT_PANEL,
    LID,
    RIGHT_PANEL,
    PieceId,
    Role,
    Side,
    Unit,
)
from mouldgeom.model.parts.core import CLOSING
from mouldgeom.model.shapes import Fastener, Group
from mouldgeom.model.sides import DOWN, OUTWARDS, UP
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.picture import StepPicture, Tag, labelled
from mouldgeom.solids import PlacedSolid
from mouldgeom.units import Mm, Ratio

X: Final[Vec] = (1.0, 0.0, 0.0)
_NEAR: Final[Mm] = 2.0
_BACK_UP: Final[Vec] = (0.0, 1.0, 0.0)
"""Up while the core lies on its front wall."""
_LYING: Final[Vec] = (0.8, 1.0, -0.6)
_AFTER: Final = (PieceId(Role.ANCHOR_PLATE), PieceId(Role.ANCHOR_NUT))
_LEFT_OUT: Final = (Role.HANDLE, Role.DIAPHRAGM, Role.ANCHOR_PLATE, Role.ANCHOR_NUT)
"""What the picture of the closed box does without."""


@dataclass(frozen=True, eq=False)
class Views:
    """The views that more than one page shows."""

    desk: BuildDesk

    @cached_property
    def concrete(self) -> list[Solid]:
        """Concrete and tube."""
        solids = self.desk.job.solids
        return [Thing("", CONCRETE, solids.body), Thing("", TUBE, solids.tube)]

    @cached_property
    def filter(self) -> View:
        """The filter cut from front to back, upright, the nose on the left."""
        return section(self.concrete, OUTWARDS["right"], DOWN, whole={TUBE}, beyond=True)

    @cached_property
    def mould(self) -> View:
        """The mould with its concrete, as it is cast, cut from front to back, the nose on the left."""
        return section(
            [*self._cut(Group.OUTER_BOX, Group.CORE, Group.BASE, Group.NOSE), *self.concrete], X, beyond=False
        )

    @cached_property
    def drawing(self) -> View:
        """The mould upright with the gear on, cut from left to right through the screw, or the screws at the front."""
        groups, dims = (Group.OUTER_BOX, Group.CORE, Group.BASE, Group.EXTRACTION), self.desk.dims
        level = 0.0 if dims.has_bridge else dims.forcing.y
        kept = [*self._cut(*groups), *self._gear(), self.concrete[0]]
        return section(kept, OUTWARDS["front"], DOWN, level=level, beyond=False)

    def _cut(self, *groups: Group) -> list[PlacedSolid]:
        return [p for p in self.desk.pieces.values() if p.part.group in groups and p.id.role is not Role.HANDLE]

    def _gear(self) -> list[PlacedSolid]:
        return [p for p in self.desk.pieces.values() if isinstance(p.part, Fastener) and p.id.row is None]


def tags_of(shown: View, words: Sequence[tuple[Key, str]]) -> list[Tag]:
    """Labels for what a view shows; what is not seen has none."""
    return [Tag(said, shown.anchors[key]) for key, said in words if key in shown.anchors]


# ---------------------------------------------------------------- steps


@dataclass(frozen=True)
class Shot:
    """How one picture of a step is taken: which pieces, from where, and how near; ``again``: with all labels anew.

    ``share`` is its part of the width beside the others.
    """

    pieces: tuple[PieceId, ...]
    eye: Vec
    caption: str = ""
    up: Vec = UP
    near: tuple[Role, ...] = ()
    rim: Ratio = 0.0
    again: bool = False
    share: Ratio = 1.0


def step_pictures(desk: BuildDesk, step: BuildStep, height: Mm) -> tuple[tuple[StepPicture, str], ...]:
    """Pictures of one step: the pieces so far narrow, the new ones wide, marks of the new, numbers of the welds.

    A mark or weld is labelled in one of them, first in those that are taken from near.
    """
    taken = shots(desk, step)
    done: set[str] = set()
    made = {}
    for shot in sorted(taken, key=lambda s: not s.near):
        width = 170.0 * shot.share / sum(other.share for other in taken)
        made[shot] = _shot(desk, step, shot, (width, height), set() if shot.again else done)
    return tuple((made[shot], shot.caption) for shot in taken)


def _shot(desk: BuildDesk, step: BuildStep, shot: Shot, size: Point, done: set[str]) -> StepPicture:
    kept = set(shot.pieces)
    drawn = desk.view([p for p in desk.pieces.values() if p.id in kept], shot.eye, step.new, shot.up)
    box = _box_near(drawn, shot.near, shot.rim) if shot.near else None
    tags = []
    for tag in (*_marks(step, drawn), *_welds(step, drawn)):
        (x, y), inside = tag.point, box or drawn.box
        if tag.words not in done and inside[0] <= x <= inside[2] and inside[1] <= y <= inside[3]:
            done.add(tag.words)
            tags.append(tag)
    alt = desk.say("Picture of this step, made from the model of the mould.")
    return labelled(drawn, tags, alt, width=size[0], height=size[1], room=24.0, box=box)


def _marks(step: BuildStep, drawn: View) -> list[Tag]:
    best: dict[str, Key] = {}
    for key in drawn.anchors:
        mark = drawn.marks.get(key, "")
        size = len(drawn.of_piece[key])
        if key in step.new and mark and size > len(drawn.of_piece.get(best.get(mark, ""), ())):
            best[mark] = key
    marks = sorted(best, key=lambda mark: (mark[0], int(mark[1:])))
    return [Tag(mark, drawn.anchors[best[mark]]) for mark in marks]


def _welds(step: BuildStep, drawn: View) -> list[Tag]:
    found = ((weld, _seen(weld, drawn)) for weld in step.welds)
    return [Tag(f"W{weld.number}", at[0], boxed=True, behind=not at[1]) for weld, at in found if at is not None]


def _seen(weld: SeamStep, drawn: View) -> tuple[Point, bool] | None:
    """Where a weld is shown, and whether it is seen there; ``None`` if its pieces are not in the view."""
    there = [key for key in drawn.marks if isinstance(key, PieceId)]
    best: tuple[Mm, Point] | None = None
    hidden: Point | None = None
    for seam in weld.seams:
        bodies = [[k for k in there if piece in (k, k.whole)] for piece in seam.pieces]
        if not all(bodies):
            continue
        curves = [c for keys in bodies for key in keys for c in drawn.of_piece.get(key, ())]
        for start, end in seam.lines:
            for share in (0.5, 0.3, 0.7):
                x, y, z = (a + share * (b - a) for a, b in zip(start, end, strict=True))
                spot = drawn.at((x, y, z))
                hidden = hidden or spot
                away = _away(spot, curves)
                if best is None or away < best[0] - 0.3:
                    best = (away, spot)
    if best is not None and best[0] < _NEAR:
        return best[1], True
    return (hidden, False) if hidden is not None else None


def _away(spot: Point, curves: Sequence[Curve]) -> Mm:
    from mouldgeom.drawing.strokes import Segment

    least = math.inf
    for curve in curves:
        if isinstance(curve, Segment):
            least = min(least, curve.distance(spot))
        else:
            least = min(least, *(math.dist(p, spot) for p in points_of(curve)))
    return least


def _box_near(drawn: View, roles: Sequence[Role], rim: Ratio) -> tuple[Mm, Mm, Mm, Mm]:
    points = [
        p for key, curves in drawn.of_piece.items() if isinstance(key, PieceId) and key.role in roles
        for c in curves for p in points_of(c)
    ]  # fmt: skip
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    wide = rim * max(max(xs) - min(xs), max(ys) - min(ys))
    return min(xs) - wide, min(ys) - wide, max(xs) + wide, max(ys) + wide


def shots(desk: BuildDesk, step: BuildStep) -> tuple[Shot, ...]:
    """The pictures of a step."""

    def pick(test: Callable[[PlacedSolid], bool], among: Collection[PieceId] = desk.pieces) -> tuple[PieceId, ...]:
        return tuple(p.id for p in desk.shown if p.id in among and test(p))

    def part_of(unit: Unit) -> Callable[[PlacedSolid], bool]:
        return lambda p: p.unit.within(unit)

    core = pick(lambda p: p.unit.within(CORE) and p.id.role is not Role.LEDGE_STRIP)
    strips = pick(lambda p: p.id.role is Role.LEDGE_STRIP)
    new = pick(lambda p: p.id in step.new)
    say = desk.say
    stage = step.stage
    if stage is Stage.SIDES:
        left, right = pick(part_of(LEFT_PANEL), new), pick(part_of(RIGHT_PANEL), new)
        closer = Shot(left, (1.0, -0.8, 0.5), say("Its lower edge, from near."), near=(Role.GUSSET,), rim=0.45)
        edge = (closer,) if desk.some(Role.GUSSET) else ()
        if desk.sides_alike:
            told = say("Left side panel, from outside; the right one is alike, turned half round.")
            return (Shot(left, (1.0, -0.8, 0.5), told), *edge)
        return (
            Shot(left, (1.0, -0.8, 0.5), say("Left side panel, from outside.")),
            *edge,
            Shot(right, (-1.0, -0.8, 0.5), say("Right side panel, from outside.")),
        )
    if stage is Stage.FACES:
        front, back = pick(part_of(FRONT_PANEL), new), pick(part_of(BACK_PANEL), new)
        return (
            Shot(front, (0.7, -1.0, 0.5), say("Front panel, from outside."), again=True),
            Shot(back, (-0.7, 1.0, 0.5), say("Back panel, from outside."), again=True),
        )
    if stage is Stage.NOSE:
        boxed = pick(lambda p: not p.unit.within(LID, BOLTS), new)
        under = (PieceId(Role.PANEL, (Side.FRONT,)), PieceId(Role.BASE_FLANGE, (Side.FRONT,)))
        near = (Role.NOSE_SIDE, Role.NOSE_FRONT, Role.NOSE_LID, Role.NOSE_FLANGE)
        sides = pick(lambda p: p.id.role is Role.NOSE_SIDE, new)
        eye = (0.9, -1.0, 0.75)
        return (
            Shot((*under, *sides), (0.45, -1.0, 0.5), say("The sides at the edges of the opening."),
                 near=(Role.NOSE_SIDE,), rim=0.3, share=0.8),
            Shot((*under, *boxed), eye, say("The nose on the front panel."), near=near, rim=0.2, share=1.15),
            Shot((*under, *new), eye, say("The same with its lid."), near=near, rim=0.2),
        )  # fmt: skip
    if stage is Stage.WALLS:
        told = say("Three core walls and end plate, lying on the front wall, the open back above.")
        return (Shot(new, _LYING, told, _BACK_UP),)
    closing = [piece for piece in core if piece in (PieceId(Role.CORE_WALL, (CLOSING,)), *_AFTER)]
    if stage is Stage.INSIDE:
        open_core = tuple(piece for piece in core if piece not in closing)
        return (
            Shot(open_core, _LYING, say("The core as it lies: all seams are laid from above."), _BACK_UP),
            Shot(open_core, (0.5, 0.35, -1.0), say("The same from the rim end."), _BACK_UP, share=0.7),
        )
    if stage is Stage.CLOSE:
        return (
            Shot(core, _LYING, say("The back wall closes the core."), _BACK_UP),
            Shot(core, (0.8, -0.7, -1.0), say("From the rim end: the anchor plate.") if desk.dims.has_bridge
                 else say("From the rim end.")),
        )  # fmt: skip
    if stage is Stage.STRIPS:
        return (Shot((*core, *strips), (1.0, -0.8, 0.6), say("Ledge strips over the rim end of the core.")),)
    if stage is Stage.BASE:
        return (Shot(new, (0.8, -1.0, -0.8), say("Base plate with its runners, from below.")),)
    if stage is Stage.JOIN:
        foot = pick(part_of(FOOT))
        return (
            Shot(foot, (1.0, -0.8, 0.6), say("The core on the base plate.")),
            Shot(foot, (0.5, -0.6, -1.0), say("From below, through the opening: here the inside is welded.")),
        )
    if stage is Stage.BOLTS:
        box = pick(lambda p: not p.unit.within(*APART) and p.id.role not in _LEFT_OUT)
        return (Shot(box, (1.0, -0.75, 0.6), say("The mould bolted up, ready for the dry fit.")),)
    if stage is Stage.FORCING:
        base = pick(part_of(BASE))
        return (
            Shot((*base, *new), (1.0, -0.8, -0.5), say("The forcing screws in their nuts, as they stand on the upright "
                 "mould."), DOWN),
            Shot((*base, *(piece for piece in new if piece.role is Role.THRUST_PAD)), (0.8, -1.0, 0.9),
                 say("From the concrete side: the pads fill their openings."),
                 near=(Role.THRUST_PAD,), rim=0.4),
        )  # fmt: skip
    if stage is Stage.STAND:
        return (
            Shot(new, (1.0, -0.8, 0.6), say("The stand: two trestles, tied."), share=1.4),
            Shot(new, (-1.0, -0.8, 0.6), say("A saddle on its post."), near=(Role.SADDLE,), rim=0.1),
        )
    return (
        Shot(new, (1.0, -0.8, -0.5), say("The bridge with the jack screw, as it stands on the upright mould."), DOWN),
    )
