"""Cutting, checking and drilling the pieces, by the hole method that was chosen."""

from __future__ import annotations

import math

from mouldgeom.geometry.outline import SAME
from mouldgeom.model.shapes import HolePurpose, Plate
from mouldgeom.outputs.papers.build.blocks import (
    Actions,
    Block,
    BuildChapter,
    Bullets,
    CautionBlock,
    CheckBlock,
    Page,
    Pictures,
    Prose,
    TableBlock,
)
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.sketches import holes_sketch
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.units import Mm


def cutting(desk: BuildDesk) -> BuildChapter:
    """Cutting, check of plates, drilling."""
    say = desk.say
    return BuildChapter(say("Cutting and drilling"), (_cut(desk), *_plates(desk), _holes(desk)))


def sparks(desk: BuildDesk) -> CautionBlock:
    """Cautions of cutting and grinding.

    Source: WAC 296-806-40504 (guard); 29 CFR 1910.252(a)(2)(iii) (35 ft); others common practice.
    """
    say = desk.say
    return CautionBlock(say("Cutting and grinding"), (
        say("Face shield over goggles, gloves, ear plugs. Guard on the grinder, tight, between you and the disc."),
        say("Move all that burns {far} away, or cover it. Water at hand. Look again half an hour after the last spark.",
            far=desk.say("11 m (35 ft)")),
        say("Edges are sharp and hot. Never cut or weld a closed vessel."),
    ))  # fmt: skip


def _cut(desk: BuildDesk) -> Page:
    say, shop = desk.say, desk.dims.spec.shop
    kerf = (
        say("The cut files are larger by half the width of the cut ({half}): set no compensation on the machine.",
            half=desk.length(shop.kerf / 2, 2))
        if shop.kerf_compensation
        else say("The cut files show the finished size: the machine sets off half the width of its cut ({half}).",
                 half=desk.length(shop.kerf / 2, 2))
    )  # fmt: skip
    return Page(
        say("Cutting the plates and bars"),
        (
            Actions((
                say("Lay the sheet with its best face up: flat and free of rust. This face will touch the concrete."),
                say("Cut the plates as the nest drawing shows. Never turn a pattern over: left would become right.")
                if desk.job.cut
                else say("Cut each plate by its cut file, or mark it out by its drawing. Never turn a pattern over: "
                         "left would become right."),
                kerf,
                say("Etch or punch the mark on each plate where its cut file has it; where that has none, write it on "
                    "by hand. Etch no mark on a concrete face deeper than a scratch."),
                say("Cut openings and holes before the outline, and what lies inside an opening before that opening."),
                say("Saw the bars square. Write the mark on each at once."),
                say("Take off every burr and all slag. Let no edge of a concrete face stand up."),
                say("Measure each plate as the next page shows. A plate that is out of size is cut again, not bent "
                    "or built up with weld."),
                say("Hold a straight edge on each panel and core wall. Flatten what is bowed by more than {bow}.",
                    bow=desk.length(2.0)),
            )),
            CheckBlock(say("Check now: thickness of the sheet, at an edge clear of burrs"),
                   tuple(desk.check(code) for code in ("plate-shell", "plate-ledge", "plate-base"))),
            sparks(desk),
        ),
    )  # fmt: skip


def _plates(desk: BuildDesk) -> list[Page]:
    say = desk.say
    rows = []
    for plate in desk.mould.plates:
        x0, y0, x1, y1 = plate.outline.bounds
        ends = _ends(plate)
        width = desk.cell(x1 - x0, 1)
        if ends is not None and abs(ends[0] - ends[1]) > 0.05:
            width = "\n".join(desk.length(end, 1) for end in ends)
        across = _diagonals(plate)
        rows.append((plate.mark, desk.name(plate), width, desk.cell(y1 - y0, 1),
                     " / ".join(desk.cell(d, 1) for d in across) if across else "–", ""))  # fmt: skip
    table = TableBlock(
        (say("Mark"), say("Plate"), say("Width"), say("Height"), say("Diagonals"), say("OK")), tuple(rows),
        ("auto", "1", "auto", "auto", "auto", "auto"), (2, 3, 4), "small",
    )  # fmt: skip
    return [
        Page(
            say("Check of the cut plates"),
            (
                Prose(say("Measure every plate before anything is welded. Both diagonals of a plate must agree within "
                         "{within}.", within=desk.length(1.5, 1))),
                table,
                Prose(say("Two widths: the plate is a taper, narrower at one end. No diagonal: see the drawing."),
                     "note"),
            ),
        )
    ]  # fmt: skip


def _corners(plate: Plate) -> list[tuple[Mm, Mm]]:
    """Corners of a plate of four straight edges, anticlockwise; none for other shapes."""
    vertices = plate.outline.vertices
    return [] if len(vertices) != 4 or any(v.arc for v in vertices) else [(v.x, v.y) for v in vertices]


def _ends(plate: Plate) -> tuple[Mm, Mm] | None:
    _, y0, _, y1 = plate.outline.bounds
    out = []
    for level in (y0, y1):
        xs = [x for x, y in _corners(plate) if abs(y - level) < SAME]
        if len(xs) != 2:
            return None
        out.append(abs(xs[0] - xs[1]))
    return out[0], out[1]


def _diagonals(plate: Plate) -> tuple[Mm, ...]:
    corners = _corners(plate)
    if not corners:
        return ()
    both = (math.dist(corners[0], corners[2]), math.dist(corners[1], corners[3]))
    return both[:1] if abs(both[0] - both[1]) < 0.05 else both


# ---------------------------------------------------------------- holes


def _holes(desk: BuildDesk) -> Page:
    say, dims, method = desk.say, desk.dims, desk.dims.spec.shop.hole_method
    bolt, hole = dims.stock.bolt.designation, desk.bolt_hole
    tube = [h for plate in desk.mould.plates for h in plate.holes if h.purpose is HolePurpose.TUBE]
    steps = {
        HoleMethod.FULL: (
            say("All holes for the {bolt} bolts are cut or drilled to their full size of {hole} before assembly.",
                bolt=bolt, hole=hole),
            say("Drill the angles by their drawing. Measure every hole from the same end, never from hole to hole."),
            say("Bolt two pieces together through their holes before one of them is tacked. Then the holes line up."),
            say("If two holes do not line up, open them with a round file, by no more than {more}. Never force a "
                "bolt.",
                more=desk.length(1.0)),
        ),
        HoleMethod.PILOT: (
            say("All holes for the {bolt} bolts are pilot holes of {pilot} at first.", bolt=bolt,
                pilot=desk.pilot_hole),
            say("Clamp the two pieces where they belong. Put a pin through two pilot holes far from each other."),
            say("Open the holes to {hole} through both pieces, one after the other, and bolt each at once.", hole=hole),
            say("Number both pieces of a pair: holes opened together fit only each other."),
        ),
        HoleMethod.CENTRE: (
            say("The holes for the {bolt} bolts are centre marks only. Punch them deep.", bolt=bolt),
            say("Do not drill now. Clamp the two pieces where they belong, at assembly, the marks outside."),
            say("Drill {pilot} first, then {hole}, through both pieces at once. Bolt each hole before you drill the "
                "next.",
                pilot=desk.pilot_hole, hole=hole),
            say("Number both pieces of a pair: holes drilled together fit only each other."),
        ),
    }[method]  # fmt: skip
    titles = {
        HoleMethod.FULL: say("Bolt holes: full size before assembly"),
        HoleMethod.PILOT: say("Bolt holes: pilot holes, opened at assembly"),
        HoleMethod.CENTRE: say("Bolt holes: centre marks, drilled at assembly"),
    }
    other = [
        say("Hole of the jack screw, in the anchor plate and the washer plate: {screw}. Drill or cut it clean and "
            "round: "
            "the screw turns in it.", screw=desk.hole(dims.bridge.screw_hole))
        if dims.has_bridge else
        say("Hole of a forcing screw, in each nut plate: {screw}. Drill or cut it clean and round: the screw turns in "
            "it.", screw=desk.hole(dims.forcing.screw_hole)),
    ]  # fmt: skip
    if tube:
        other.append(
            say("Hole of the tube, in the nose lid: {tube}. File it round and smooth until the tube slides through "
                "by "
                "hand.", tube=desk.hole(tube[0].diameter, desk.mould.widest(HolePurpose.TUBE))),
        )  # fmt: skip
    blocks: tuple[Block, ...] = (
        Prose(titles[method], "lead"),
        Pictures(((holes_sketch(desk, method), say("Two pieces and their holes, seen from the side.")),)),
        Actions(steps),
        Prose(say("Other holes"), "lead"),
        Bullets(tuple(other)),
        CautionBlock(say("Drilling"), (
            say("Clamp every piece. A sheet that is caught by the drill turns like a knife."),
            say("No gloves at a running drill. Goggles on. Brush the swarf away, never by hand."),
        )),
    )  # fmt: skip
    return Page(say("Drilling"), blocks)
