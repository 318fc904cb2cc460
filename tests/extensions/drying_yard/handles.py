"""Bracket handles in place of the straight ones: a grip on two legs, so that a gloved hand goes behind it anywhere.

A bar of a mould is straight, so what a smith bends of one rod is welded of three here: two legs that stand on the
stiffeners where the straight handle was welded to them, and the grip across their ends.
"""

from __future__ import annotations

import math
from dataclasses import replace
from enum import StrEnum
from itertools import pairwise
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.placement import Placement, Vec, add
from mouldgeom.identity import PANELS, Role
from mouldgeom.model.assembly import Mould
from mouldgeom.model.changes import Groups
from mouldgeom.model.joints import TOUCHES, GroupParts, SeamKind, Weld, WeldRole
from mouldgeom.model.shapes import Bar, Group, Stand, bar_diameter
from mouldgeom.model.sides import OUTWARDS
from mouldgeom.outputs.extension import Extension
from mouldgeom.rules import beams
from mouldgeom.strength.masses import masses
from mouldgeom.strength.steps import Chapter, Step
from mouldgeom.units import GRAVITY
from mouldgeom.verdict import Operator, Verdict

REACH: Final = 45.0
"""From the stiffener to the grip, in mm: a gloved hand."""
FACTOR: Final = 1.5
"""On the weight that hangs on a handle (common practice, no source)."""
PRACTICE: Final = "common practice, no source"


class BracketRole(StrEnum):
    """What a piece is for."""

    LEG = "handle leg"


class BracketWeld(StrEnum):
    """What a weld joins."""

    LEG = "handle leg to stiffener"
    GRIP = "grip to handle leg"


def brackets(_: Dimensions, groups: Groups) -> Groups:
    """Every straight handle taken away, and a bracket where it was welded."""
    box = groups[Group.OUTER_BOX]
    straight = [bar for bar in box.bars if bar.stands[0].id.role is Role.HANDLE]
    made = box.without(*(bar.stands[0].id for bar in straight))
    for bar in straight:
        welds = [w for w in box.welds if w.role is WeldRole.HANDLE_TO_STIFFENER and w.pieces[0] == bar.stands[0].id]
        made = made.plus(_bracket(bar, sorted(welds, key=lambda weld: weld.roots[0][0][2])))
    return {Group.OUTER_BOX: made}


def _bracket(straight: Bar, held: list[Weld]) -> GroupParts:
    """Legs and grip of one handle."""
    stand, radius = straight.stands[0], bar_diameter(straight) / 2
    out = OUTWARDS[stand.id.place[0]]
    up, across = (0.0, 0.0, 1.0), (-out[1], out[0], 0.0)
    bars, welds, tops = [], [], []
    for count, weld in enumerate(held, 1):
        foot = _middle(weld)
        piece = replace(stand.id, role=BracketRole.LEG, number=2 * (stand.id.number - 1) + count)
        at = Placement(foot, across, up)
        bars.append(replace(straight, length=REACH, stands=(Stand(piece, stand.unit, at),)))
        tops.append(add(foot, out, REACH))
        ring = [at.to_casting((radius * math.cos(t), radius * math.sin(t), 0.0)) for t in _TURNS]
        roots = tuple(pairwise(ring))
        welds.append(
            Weld(BracketWeld.LEG, (piece, weld.pieces[1]), roots, SeamKind.FILLET, TOUCHES, through=True, bears=True)
        )
        line = (add(tops[-1], up, -radius), add(tops[-1], up, radius))
        pieces = (stand.id, piece)
        welds.append(
            Weld(BracketWeld.GRIP, pieces, (line, line), SeamKind.FLARE, TOUCHES, True, radius=radius, bears=True)
        )
    start = add(add(tops[0], out, radius), up, -radius)
    grip = Stand(stand.id, stand.unit, Placement(start, across, (-out[0], -out[1], 0.0)))
    length = tops[-1][2] - tops[0][2] + 2 * radius
    return GroupParts(bars=(*bars, replace(straight, length=length, stands=(grip,))), welds=tuple(welds))


_TURNS: Final = tuple(2 * math.pi * turn / 8 for turn in range(9))


def _middle(weld: Weld) -> Vec:
    """Middle of the flat on which the straight handle lay."""
    (x, y, low), (_, _, high) = weld.roots[0]
    return x, y, (low + high) / 2


def chapter(mould: Mould) -> Chapter:
    """The grip between its legs under the whole of the heaviest panel: as the program reckons a straight handle."""
    heaviest = max((masses(mould).carried[panel] for panel in PANELS.values()), key=lambda item: item.lump.mass)
    grips = [p.part for p in mould.pieces() if p.id.role is Role.HANDLE and isinstance(p.part, Bar)]
    grip = max(grips, key=lambda bar: bar.length)
    size = bar_diameter(grip)
    span, force = grip.length - size, FACTOR * heaviest.lump.mass * GRAVITY
    yield_mpa = mould.dims.stock.steel.at(size).yield_mpa
    stress = beams.point_moment(force, span) / (math.pi / 32 * size**3)
    foot = force / 2 * REACH / (math.pi / 32 * size**3)
    worst, where = max((stress, "middle of the grip"), (foot, "foot of a leg"))
    return Chapter(
        "Bracket handles",
        ("One handle bears its whole panel, with factor 1.5; the grip lies simply supported on its legs.",),
        (
            Step(
                "bending of the grip", "s = F l / 4 / (pi d^3 / 32)",
                f"{force:.0f} N x {span:.0f} mm / 4 / (pi x ({size:.0f} mm)^3 / 32)", stress, "MPa", "beam theory",
            ),
            Step(
                "bending at the foot of a leg", "s = F / 2 r / (pi d^3 / 32)",
                f"{force / 2:.0f} N x {REACH:.0f} mm / (pi x ({size:.0f} mm)^3 / 32)", foot, "MPa", "beam theory",
            ),
        ),
        requirements=(
            Verdict(
                "grip", "stress in a bracket handle that bears its whole panel", worst, yield_mpa, Operator.AT_MOST,
                "MPa", where, f"beam theory; factor {FACTOR}: {PRACTICE}",
            ),
        ),
    )  # fmt: skip


EXTENSION: Final = Extension("bent-handles", changes=(brackets,), chapters=(chapter,))
