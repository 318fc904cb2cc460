"""Weld seams: what a seam is, how large it must be, and sums over seams.

Cautions: arc eye, burns, shock, fume (zinc most of all) and fire; a grinder throws sparks and broken discs.  Shade,
gloves, dry cables, air, guard and face shield; weld nothing that is closed.  Local law and a trained welder decide.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from mouldgeom import tables
from mouldgeom.identity import PieceId
from mouldgeom.model.assembly import Mould, Piece
from mouldgeom.model.joints import Root, SeamKind, Weld
from mouldgeom.model.shapes import Fastener, Part, Plate, SectionKind, bar_diameter
from mouldgeom.rules import fillet_leg_least, fillet_throat, flare_throat
from mouldgeom.units import Kg, KgPerM3, Mm, Mm2, Mm3


def fillet_leg_greatest_at_edge(thickness: Mm) -> Mm:
    """Greatest leg of a fillet along an edge of this thickness: the thickness, less 2 mm from 6 mm up.

    Source: AISC 360 J2.2b.
    """
    return thickness if thickness < 6 else thickness - 2


def least_run(leg: Mm) -> Mm:
    """Least length of one run of an intermittent fillet.

    Source: AISC 360 J2.2b, four legs and 38 mm (1 1/2 in).
    """
    return max(4 * leg, 38.0)


@dataclass(frozen=True, slots=True)
class RunPattern:
    """An intermittent weld: runs of length ``run`` whose starts are at most ``pitch`` apart, one at each end."""

    run: Mm
    pitch: Mm

    def runs(self, length: Mm) -> int:
        """Number of runs on a line; 1 if it is welded through."""
        if length <= 2 * self.run:
            return 1
        return math.ceil((length - self.run) / self.pitch - 1e-9) + 1

    def welded(self, length: Mm) -> Mm:
        """Length that is welded on a line."""
        count = self.runs(length)
        return length if count == 1 else min(length, count * self.run)


def usual_pattern(leg: Mm) -> RunPattern:
    """Pattern for thin sheet: runs of 25 to 50 mm at a pitch of 100 to 150 mm, staggered, both ends first.

    The run is the least allowed, in whole 5 mm; the pitch is the closer end of its range.  A seam that must be tight
    or is sized by a force is welded through instead.

    Source: run: AISC 360 J2.2b; pattern: shop practice (from memory).
    """
    return RunPattern(min(max(25.0, 5 * math.ceil(least_run(leg) / 5)), 50.0), 100.0)


@dataclass(frozen=True)
class Seam:
    """One seam between two pieces.

    ``leg`` is that of a fillet; of an edge seam (square edges, no gap) it is that of the fillet with as much metal.  A
    flare (``radius`` above 0) fills the corner beside a round of that radius level; where force goes through it, a
    fillet of leg ``laid`` is laid on it.  ``lines`` are the roots, in the casting frame.  ``pattern`` is ``None`` where
    the seam is continuous.  A square bar of two angles is one piece.
    """

    role: StrEnum
    pieces: tuple[PieceId, PieceId]
    marks: tuple[str, str]
    lines: tuple[Root, ...]
    kind: SeamKind
    leg: Mm
    radius: Mm
    pattern: RunPattern | None
    flush: bool
    source: str
    laid: Mm = 0.0

    @property
    def name(self) -> str:
        """Its English label."""
        return str(self.role)

    @property
    def names(self) -> tuple[str, str]:
        """English labels of its pieces."""
        return self.pieces[0].name, self.pieces[1].name

    @property
    def length(self) -> Mm:
        """Length of the lines together."""
        return sum(math.dist(*line) for line in self.lines)

    @property
    def welded(self) -> Mm:
        """Length that is welded."""
        return sum(self.pattern.welded(math.dist(*line)) if self.pattern else math.dist(*line) for line in self.lines)

    @property
    def section(self) -> Mm2:
        """Cross-section of the weld metal: a triangle, or the corner beside a round filled level, whichever is more.

        Source: geometry, z^2 / 2 and (1 - pi / 4) r^2; a fillet on it comes on top.
        """
        return max(self.leg**2 / 2, (1 - math.pi / 4) * self.radius**2) + self.laid**2 / 2

    @property
    def throat(self) -> Mm:
        """Throat that counts of a fillet or flare.

        Source: ``rules.fillet_throat``, ``rules.flare_throat``.
        """
        if self.kind is SeamKind.FLARE:
            return max(flare_throat(self.radius), fillet_throat(self.laid))
        return fillet_throat(self.leg)

    @property
    def volume(self) -> Mm3:
        """Volume of the weld metal, no allowance for a convex bead."""
        return self.welded * self.section


@dataclass(frozen=True, slots=True)
class Laid:
    """How ``lines`` lines of one length are welded: ``count`` runs on each, ``run`` long and ``gap`` apart.

    A line that is welded through is one run of its own length; a gap is in whole millimetres.
    """

    lines: int
    length: Mm
    count: int
    run: Mm
    gap: Mm

    @property
    def pitch(self) -> Mm:
        """From the start of a run to that of the next; 0 if there is none."""
        return self.run + self.gap if self.count > 1 else 0.0


def laid(made: Iterable[Seam]) -> tuple[Laid, ...]:
    """How the lines of some seams are welded, those of one length together, the longest first."""
    lines = Counter((seam.pattern, round(math.dist(*line), 1)) for seam in made for line in seam.lines)
    out = []
    for (pattern, length), number in sorted(lines.items(), key=lambda item: -item[0][1]):
        count = pattern.runs(length) if pattern else 1
        run = pattern.run if pattern and count > 1 else length
        gap = float(round((length - count * run) / (count - 1))) if count > 1 else 0.0
        out.append(Laid(number, length, count, run, gap))
    return tuple(out)


def weld_metal(made: Iterable[Seam], density: KgPerM3) -> Kg:
    """Mass of the weld metal of these seams."""
    return sum(seam.volume for seam in made) * density * 1e-9


@dataclass(frozen=True, slots=True)
class SeamTotal:
    """Seams of one kind and size together; ``size`` is the leg, or the radius of a flare."""

    kind: SeamKind
    size: Mm
    length: Mm
    welded: Mm
    flush: Mm
    volume: Mm3


def totals(made: Iterable[Seam]) -> tuple[SeamTotal, ...]:
    """Add up the seams by kind and size; ``flush`` is the welded length that is ground level."""
    sums: dict[tuple[str, Mm], list[float]] = {}
    for seam in made:
        row = sums.setdefault((seam.kind.value, round(seam.radius or seam.leg, 3)), [0.0, 0.0, 0.0, 0.0])
        for index, value in enumerate((seam.length, seam.welded, seam.welded * seam.flush, seam.volume)):
            row[index] += value
    return tuple(SeamTotal(SeamKind(kind), size, *row) for (kind, size), row in sorted(sums.items()))


def seams(mould: Mould) -> tuple[Seam, ...]:
    """Every seam of a mould with its size, in the order of welding.

    Source: leg: AWS D1.1:2025 Table 7.7, notes a, b; at an edge and runs: AISC 360 J2.2b.
    """
    pieces: dict[PieceId, Piece] = {}
    for piece in mould.pieces():
        pieces.setdefault(piece.id, piece)
        pieces.setdefault(piece.id.whole, piece)
    return tuple(_sized(weld, [pieces[piece] for piece in weld.pieces]) for weld in mould.welds)


def _sized(weld: Weld, joined: Sequence[Piece]) -> Seam:
    """Size a seam; beside a corner that is sharp, a flare is a fillet; one that bears gets a fillet on it."""
    flare = weld.kind is SeamKind.FLARE
    kind = SeamKind.FILLET if flare and not weld.radius else weld.kind
    thick = [_thickness(piece.part) for piece in joined]
    leg = fillet_leg_least(*thick)
    source = "leg: AWS D1.1:2025 Table 7.7, notes a, b"
    if weld.at_edge:
        leg = min(leg, fillet_leg_greatest_at_edge(thick[0]))
        source += "; AISC 360 J2.2b at an edge"
    pattern = None if weld.through else usual_pattern(leg)
    source += "; " + ("continuous" if weld.through else "run: AISC 360 J2.2b; pitch: shop practice (from memory)")
    marks = (joined[0].mark, joined[1].mark)
    laid = leg if weld.bears and kind is SeamKind.FLARE else 0.0
    source += "; fillet on a filled flare: AISC 360-10 Table J2.2 note a" if laid else ""
    roots = weld.roots
    return Seam(weld.role, weld.pieces, marks, roots, kind, leg, weld.radius, pattern, weld.flush, source, laid)


def _thickness(part: Part) -> Mm:
    """Thickness that a weld on a part goes by: sheet, leg or wall; of a rod its diameter, of a nut its height."""
    if isinstance(part, Plate):
        return part.thickness
    if isinstance(part, Fastener):
        return part.length
    if part.kind is SectionKind.ANGLE:
        return tables.angle(part.section).thickness_mm
    if part.kind is SectionKind.SQUARE_TUBE:
        return tables.square_tube(part.section).thickness_mm
    return bar_diameter(part)
