"""Sketches that are no views of the model: order of weld runs, hole methods, sticks, layers, turning."""

from __future__ import annotations

import math
from typing import Final

from mouldgeom.drawing import lettering
from mouldgeom.geometry.outline import Point
from mouldgeom.model.turning_places import HANGER_RISE, clip_y, place_trestles
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.picture import CAPITAL, MEDIUM, NARROW, WIDE, StepPicture
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.units import Deg, Mm, Ratio

_GREY: Final = "#d4d4d4"


def runs_sketch(desk: BuildDesk) -> StepPicture:
    """Staggered runs on both sides of a bar, numbered from the middle outwards."""
    picture = StepPicture(85.0, 40.0, desk.say("Weld runs in turn on both sides, from the middle outwards."))
    picture.line(((3, 8), (82, 8), (82, 32), (3, 32)), NARROW, close=True)
    picture.line(((3, 16), (82, 16), (82, 24), (3, 24)), MEDIUM, close=True, fill="#efefef")
    for index, number in enumerate((9, 5, 1, 3, 7)):
        x = 6.0 + 16.0 * index
        picture.line(((x, 16), (x + 7, 16)), 1.6)
        picture.text((x + 3.5, 13.6), str(number), anchor="middle", bold=True)
    for index, number in enumerate((6, 2, 4, 8)):
        x = 14.0 + 16.0 * index
        picture.line(((x, 24), (x + 7, 24)), 1.6)
        picture.text((x + 3.5, 24 + CAPITAL + 2.0), str(number), anchor="middle", bold=True)
    return picture


def back_step_sketch(desk: BuildDesk) -> StepPicture:
    """A long seam in short runs, each laid back towards the one before."""
    picture = StepPicture(85.0, 40.0, desk.say("A long seam in short runs, each laid backwards."))
    picture.line(((3, 10), (82, 10), (82, 30), (3, 30)), NARROW, close=True)
    picture.line(((3, 20), (82, 20)), MEDIUM)
    for index in range(5):
        x = 4.0 + 15.5 * index
        picture.arrow((x + 14.0, 20.0), (x + 1.0, 20.0), 1.0, 3.4)
        picture.text((x + 8.0, 17.0), str(index + 1), anchor="middle", bold=True)
    picture.arrow((8.0, 35.5), (78.0, 35.5), NARROW)
    return picture


def holes_sketch(desk: BuildDesk, method: HoleMethod) -> StepPicture:
    """How two holes are brought to meet, by the method that was chosen."""
    picture = StepPicture(170.0, 44.0, desk.say("How the bolt holes of two pieces are made to line up."))
    hole, pilot = desk.bolt_hole, desk.pilot_hole
    if method is HoleMethod.FULL:
        frames = [
            (5.5, 5.5, desk.say("cut to {hole} in both", hole=hole)),
            (5.5, 5.5, desk.say("bolted together before tacking")),
            (5.5, 5.5, desk.say("opened with a file if it must be")),
        ]
    elif method is HoleMethod.PILOT:
        frames = [
            (2.6, 2.6, desk.say("pilot holes of {hole}", hole=pilot)),
            (2.6, 2.6, desk.say("clamped, a pin through two holes")),
            (5.5, 5.5, desk.say("opened to {hole} through both", hole=hole)),
        ]
    else:
        frames = [
            (0.0, -1.0, desk.say("centre marks on one piece")),
            (0.0, -1.0, desk.say("clamped, the marks outside")),
            (5.5, 5.5, desk.say("drilled to {hole} through both", hole=hole)),
        ]
    for index, (upper, lower, words) in enumerate(frames):
        left = 4.0 + 57.0 * index
        apart = 4.0 if index == 0 else 0.0
        for top, size in ((14.0, upper), (20.0 + apart, lower)):
            _plate(picture, left, top, size)
        if index == 1 and method is not HoleMethod.CENTRE:
            picture.line(((left + 24, 10.0), (left + 24, 30.0)), max(1.2, upper - 1.6), colour="#777")
        if index == 2 and method is not HoleMethod.FULL:
            picture.arrow((left + 24, 5.0), (left + 24, 13.0), WIDE)
        for row, line in enumerate(lettering.wrapped(words, 52.0, CAPITAL)):
            picture.text((left + 24, 37.0 + 4.4 * row), line, anchor="middle")
        picture.text((left + 2, 9.0), str(index + 1), 4.0, bold=True)
    return picture


def _plate(picture: StepPicture, left: Mm, top: Mm, hole: Mm) -> None:
    """Section of a plate with a hole, a centre mark (0) or nothing (-1) in its middle."""
    middle, right, low = left + 24.0, left + 48.0, top + 6.0
    if hole > 0:
        for a, b in ((left, middle - hole / 2), (middle + hole / 2, right)):
            picture.line(((a, top), (b, top), (b, low), (a, low)), MEDIUM, close=True, fill=_GREY)
        return
    ring: list[Point] = [(left, top), (right, top), (right, low), (left, low)]
    if hole == 0:
        ring[1:1] = [(middle - 1.2, top), (middle, top + 1.8), (middle + 1.2, top)]
    picture.line(ring, MEDIUM, close=True, fill=_GREY)


def bow_sketch(desk: BuildDesk) -> StepPicture:
    """Sign of a panel's bow: a straight edge on the concrete face of one that bulges into it, and of a hollow one.

    Above the panel is the concrete, as above 0 is what comes out of its face.
    """
    picture = StepPicture(170.0, 29.0, desk.say("Sign of the bow: + bulges into the concrete, - is hollow."))
    for left, bow, words in ((4.0, 5.0, desk.say("+ bulges into the concrete")), (91.0, -5.0, desk.say("- is hollow"))):
        face = [(left + 75.0 * k / 24, 15.0 - bow * (1 - (k / 12 - 1) ** 2)) for k in range(25)]
        edge = min(y for _, y in face)
        picture.area([[(left, 1.0), (left + 75.0, 1.0), *reversed(face)]], "#efefef", 0.0)
        picture.line([*face, *((x, y + 2.0) for x, y in reversed(face))], MEDIUM, close=True, fill="#000")
        picture.line(((left, edge - 2.4), (left + 75.0, edge - 2.4), (left + 75.0, edge), (left, edge)), MEDIUM,
                     close=True, fill="#fff")  # fmt: skip
        picture.text((left + 37.5, 5.4), desk.say("concrete side"), anchor="middle")
        for x, y in (face[1], face[-2]) if bow > 0 else (face[12],):
            picture.arrow((x, (edge + y) / 2), (x, edge), MEDIUM, 1.6)
            picture.arrow((x, (edge + y) / 2), (x, y), MEDIUM, 1.6)
        picture.text((left + 37.5, 27.5), words, 3.0, anchor="middle", bold=True)
    return picture


def sticks_sketch(desk: BuildDesk, go: str, no_go: str) -> StepPicture:
    """A gap between two plates; the shorter stick passes, the longer does not."""
    picture = StepPicture(170.0, 30.0, desk.say("The short stick must pass through the gap, the long one must not."))
    for start, wide, words in ((6.0, 40.0, desk.say("must pass: {size}", size=go)),
                               (92.0, 50.0, desk.say("must not pass: {size}", size=no_go))):  # fmt: skip
        for x in (start, start + 48.0):
            picture.line(((x, 3), (x + 4, 3), (x + 4, 20), (x, 20)), NARROW, close=True, fill="#000")
        left = start + 28.0 - wide / 2
        turn = 0.0 if wide < 44 else 4.0
        picture.line(
            ((left, 10 - turn), (left + wide, 10 + turn), (left + wide, 13 + turn), (left, 13 - turn)), MEDIUM,
            close=True, fill="#fff",
        )  # fmt: skip
        picture.text((start + 26.0, 27.5), words, 3.0, anchor="middle", bold=True)
    return picture


# ---------------------------------------------------------------- turning


def turning_sketch(desk: BuildDesk) -> StepPicture:
    """Five moments of the filled mould about its pins, seen along them: the nose tells which way it stands."""
    at = desk.mould.trunnions
    words = (desk.say("1 cast"), desk.say("2 hangs on its pins"), desk.say("3 goes round"), desk.say("4 runners up"),
             desk.say("5 set down"))  # fmt: skip
    alt = desk.say("The filled mould hangs on two pins and is turned about them by half a turn.")
    picture = StepPicture(170.0, 60.0, alt)
    stand = None if at.hoisted else place_trestles(desk.dims, at)
    over = at.reach + HANGER_RISE if at.hoisted else 0.0
    high = stand.height if stand else at.reach + 100.0
    scale = min(49.0 / (high + max(over, at.reach)), 30.0 / (2 * at.reach))
    down = (at.z + desk.dims.base + desk.dims.stock.tube.side_mm, desk.dims.height - at.z)
    levels = (down[0], high, high, high, down[1] + desk.dims.stock.angle.leg_mm + 20) if at.hoisted else (high,) * 5
    tilts: tuple[Deg, ...] = (0.0, 0.0, 70.0, 180.0, 180.0)
    for index, (tilt, level, title) in enumerate(zip(tilts, levels, words, strict=True)):
        middle = 17.0 + 34.0 * index
        picture.line(((middle - 16, 52.4), (middle + 16, 52.4)), MEDIUM)
        pin = (middle, 52.0 - scale * level)
        under = down[0 if index == 0 else 1] if index in (0, 4) else None
        if under is not None and level - under > 1:
            for side in (-1, 1):
                x0, x1 = (middle + side * scale * far for far in (105.0, 175.0))
                picture.line(((x0, 52.0), (x1, 52.0), (x1, pin[1] + scale * under), (x0, pin[1] + scale * under)),
                             NARROW, close=True, fill="#fff")  # fmt: skip
        _about_pin(picture, desk, pin, tilt, scale, closed=index > 0)
        if stand is not None:
            foot = scale * stand.foot_half
            picture.line(((pin[0] - foot, 51.2), (pin[0] + foot, 51.2)), WIDE)
            picture.line((pin, (pin[0], 51.2)), WIDE, clear=True)
        elif 0 < index < 4:
            picture.line((pin, (pin[0], 2.0)), MEDIUM, clear=True)
        picture.dot(pin, 1.1, fill="#fff", width=MEDIUM)
        for row, line in enumerate(lettering.wrapped(title, 33.0, CAPITAL)):
            picture.text((middle, 56.0 + 3.6 * row), line, anchor="middle")
    return picture


def _about_pin(picture: StepPicture, desk: BuildDesk, pin: Point, tilt: Deg, scale: Ratio, *, closed: bool) -> None:
    """The mould turned clockwise about its pins, which are at ``pin``; the nose on the left as it is cast."""
    dims, at, turn = desk.dims, desk.mould.trunnions, math.radians(tilt)
    half, low, nose = dims.depth / 2 + dims.shell, -dims.base, dims.nose

    def spot(y: Mm, z: Mm) -> Point:
        across, up = scale * (y - at.y), scale * (z - at.z)
        return (
            pin[0] + across * math.cos(turn) + up * math.sin(turn),
            pin[1] - up * math.cos(turn) + across * math.sin(turn),
        )

    box = [spot(y, z) for y, z in ((-half, low), (half, low), (half, dims.height), (-half, dims.height))]
    picture.line(box, MEDIUM, close=True, fill=_GREY)
    wedge = ((nose.root_y, nose.low_z), (nose.tip_y, nose.lid_z), (nose.root_y, nose.lid_z))
    picture.line([spot(*corner) for corner in wedge], MEDIUM, close=True, fill=_GREY)
    tube = dims.stock.tube.side_mm
    for y in (-dims.runner_y, dims.runner_y):
        square = ((y - tube / 2, low), (y + tube / 2, low), (y + tube / 2, low - tube), (y - tube / 2, low - tube))
        picture.line([spot(*corner) for corner in square], NARROW, close=True, fill="#000")
    for y in (-clip_y(dims), clip_y(dims)) if closed else ():
        picture.line((spot(y - 20, dims.height + 8), spot(y + 20, dims.height + 8)), WIDE)
    if 0 < tilt < 180:
        hand = spot(-half, low)
        picture.arrow((hand[0], hand[1] + 6.5), (hand[0], hand[1] + 0.6), WIDE)
