"""The words in which somebody writes parts, checks, chapters and kinds of file of their own.

    parts       Change, Groups, GroupParts, Group, Plate, Bar, Fastener, Stand, Hole, BarHole, HolePurpose, SectionKind,
                ConcreteFace, PieceId, Role, Side, Unit, PANELS, BOX, Outline, Placement, Dimensions
    joints      BoltRow, RowId, RowRole, Weld, WeldRole, SeamKind, Seat, TOUCHES
    checks      Check, Case, Verdict, Operator
    chapters    ChapterMaker, Chapter, Step, ResultTable
    files       Kind, File
    together    Extension

A change is a function from dimensions and groups of parts to the groups that differ; a check one from a ``Case`` to
verdicts; a chapter one from the ``Model`` of a mould to a ``Chapter``; a kind of file has a maker of files.

    >>> from mouldgeom import build
    >>> from mouldgeom.extend import Change, Dimensions, Group, Groups, Role
    >>> def without_handles(dims: Dimensions, groups: Groups) -> Groups:
    ...     box = groups[Group.OUTER_BOX]
    ...     pieces = [stand.id for bar in box.bars for stand in bar.stands]
    ...     return {Group.OUTER_BOX: box.without(*(piece for piece in pieces if piece.role is Role.HANDLE))}
    >>> build("hill-example").mass > build("hill-example", [without_handles]).mass
    True
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import BOX, PANELS, PieceId, Role, RowId, RowRole, Side, Unit
from mouldgeom.model.assembly import Mould as Model
from mouldgeom.model.changes import Change, Groups
from mouldgeom.model.joints import TOUCHES, GroupParts, SeamKind, Seat, Weld, WeldRole
from mouldgeom.model.shapes import (
    Bar,
    BarHole,
    BoltRow,
    ConcreteFace,
    Fastener,
    Group,
    Hole,
    HolePurpose,
    Plate,
    SectionKind,
    Stand,
)
from mouldgeom.outputs.extension import Extension
from mouldgeom.outputs.kinds import File, Kind
from mouldgeom.strength.book import ChapterMaker
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.verdict import Operator, Verdict

if TYPE_CHECKING:
    from mouldgeom.checks import Case, Check

__all__ = [
    "BOX",
    "PANELS",
    "TOUCHES",
    "Bar",
    "BarHole",
    "BoltRow",
    "Case",
    "Change",
    "Chapter",
    "ChapterMaker",
    "Check",
    "ConcreteFace",
    "Dimensions",
    "Extension",
    "Fastener",
    "File",
    "Group",
    "GroupParts",
    "Groups",
    "Hole",
    "HolePurpose",
    "Kind",
    "Model",
    "Operator",
    "Outline",
    "PieceId",
    "Placement",
    "Plate",
    "ResultTable",
    "Role",
    "RowId",
    "RowRole",
    "SeamKind",
    "Seat",
    "SectionKind",
    "Side",
    "Stand",
    "Step",
    "Unit",
    "Verdict",
    "Weld",
    "WeldRole",
]

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        if name in ("Case", "Check"):  # they load the kernel
            from mouldgeom import checks

            return getattr(checks, name)
        raise AttributeError(f"module 'mouldgeom.extend' has no attribute {name!r}")
