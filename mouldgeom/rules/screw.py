"""Power screws and bolts: torque up and down, what the screw's body and threads bear, preload from torque.

Friction is an input: with oil 0.08 to 0.12, dry or rusty 0.15 to 0.25 (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from mouldgeom.errors import InputError
from mouldgeom.rules.given import above_zero, from_zero, one_of, within
from mouldgeom.units import Deg, Mm, Mm2, Mpa, Newton, NewtonMm, Ratio

Surface = Literal["as received", "lubricated", "dry or rusty"]

FIRST_THREAD_SHARE: Final[Ratio] = 0.38
"""Part of the force on the first engaged thread: Shigley's Mechanical Engineering Design, ch. 8 (from memory)."""
WEAR_FACTOR: Final[Ratio] = 1e-4
"""Archard's factor of plain steel on plain steel, greased: its order of magnitude (from memory)."""
TORQUE_SCATTER: Final[Ratio] = 0.30
"""Preload above or below the intended one when tightened by torque: common practice, no source (from memory)."""


@dataclass(frozen=True)
class Thread:
    """A screw's thread; ``flank`` is half the thread's angle: 0 square, 14.5 Acme, 15 trapezoidal, 30 V.

    ``depth`` is that of contact between screw and nut, ``root_width`` the width of a turn at the screw's root.
    """

    major: Mm
    mean: Mm
    root: Mm
    pitch: Mm
    depth: Mm
    root_width: Mm
    starts: int = 1
    flank: Deg = 0.0

    def __post_init__(self) -> None:
        for name in ("major", "mean", "root", "pitch", "depth", "root_width", "starts"):
            above_zero(f"thread {name}", getattr(self, name), "" if name == "starts" else "mm")
        if not self.root < self.mean < self.major:
            shown = f"{self.root:g}, {self.mean:g}, {self.major:g} mm"
            raise InputError("thread diameters", shown, "root < mean < major", "Check the pitch against the diameter.")
        if not 0 <= self.flank < 90:
            raise InputError(
                "thread flank", f"{self.flank:g} deg", "half the thread's angle, 0 to below 90", "V is 30."
            )

    @property
    def lead(self) -> Mm:
        """Advance in one turn."""
        return self.starts * self.pitch


def vee_thread(major: Mm, pitch: Mm) -> Thread:
    """A 60 degree thread, ISO metric or unified: d2 = d - 0.6495 P, d3 = d - 1.2269 P.

    The depth of contact is 5/8 of the sharp triangle's height.  A turn is 0.75 P wide at the internal minor diameter
    and wider at its own root: 0.75 P is on the safe side.

    Raises:
        InputError: a size not above 0, or a pitch too great for the diameter.

    Source: ISO 724:1993 and ISO 68-1 (relations of the basic profile; root width from memory).
    """
    return Thread(
        major, major - 0.6495 * pitch, major - 1.2269 * pitch, pitch, 0.5413 * pitch, 0.75 * pitch, flank=30.0
    )


# ---------------------------------------------------------------- torque


def _tangents(thread: Thread, friction: Ratio) -> tuple[Ratio, Ratio]:
    from_zero("thread friction", friction, "")
    climb = thread.lead / (math.pi * thread.mean)
    drag = friction / math.cos(math.radians(thread.flank))
    return climb, drag


def collar_torque(force: Newton, friction: Ratio, mean_diameter: Mm) -> NewtonMm:
    """Torque of a collar or of a screw's end that rubs under the force.

    Raises:
        InputError: friction or diameter below 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8, F fc dc/2.
    """
    from_zero("collar friction", friction, "")
    from_zero("collar diameter", mean_diameter, "mm")
    return force * friction * mean_diameter / 2


def torque_to_raise(
    force: Newton, thread: Thread, friction: Ratio, collar_friction: Ratio = 0.0, collar_diameter: Mm = 0.0
) -> NewtonMm:
    """Torque that drives the screw against the force, the collar's included.

    Raises:
        InputError: friction below 0, or so high on so steep a thread that no torque turns the screw.

    Source: Shigley's Mechanical Engineering Design, ch. 8 (term 1/cos of the flank angle from memory).
    """
    climb, drag = _tangents(thread, friction)
    if climb * drag >= 1:
        raise InputError("thread friction", f"{friction:g}", "no torque turns this screw", "Take a smaller lead.")
    own = force * thread.mean / 2 * (climb + drag) / (1 - climb * drag)
    return own + collar_torque(force, collar_friction, collar_diameter)


def torque_to_lower(
    force: Newton, thread: Thread, friction: Ratio, collar_friction: Ratio = 0.0, collar_diameter: Mm = 0.0
) -> NewtonMm:
    """Torque that turns the screw back with the force, the collar's included; below 0 it runs back by itself.

    Raises:
        InputError: friction below 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8 (term 1/cos of the flank angle from memory).
    """
    climb, drag = _tangents(thread, friction)
    own = force * thread.mean / 2 * (drag - climb) / (1 + climb * drag)
    return own + collar_torque(force, collar_friction, collar_diameter)


def efficiency(force: Newton, lead: Mm, torque: NewtonMm) -> Ratio:
    """Work on the load over work at the handle.

    Raises:
        InputError: a torque not above 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8, F l/(2 pi T).
    """
    above_zero("torque", torque, "N mm")
    return force * lead / (2 * math.pi * torque)


def hand_force(torque: NewtonMm, lever: Mm) -> Newton:
    """Force of the hand at the end of a lever.

    Raises:
        InputError: a lever not above 0.

    Source: statics, T/r.
    """
    above_zero("lever", lever, "mm")
    return torque / lever


# ---------------------------------------------------------------- stresses


def body_shear(torque: NewtonMm, root: Mm) -> Mpa:
    """Shear stress at the surface of a screw's body twisted by a torque.

    Raises:
        InputError: a diameter not above 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8, 16 T/(pi dr^3) (from memory).
    """
    above_zero("root diameter", root, "mm")
    return 16 * torque / (math.pi * root**3)


def body_axial(force: Newton, root: Mm) -> Mpa:
    """Axial stress of a screw's body as a size; buckling is not looked at.

    Raises:
        InputError: a diameter not above 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8, 4 F/(pi dr^2) (from memory).
    """
    above_zero("root diameter", root, "mm")
    return 4 * force / (math.pi * root**2)


def combined_stress(axial: Mpa, shear: Mpa) -> Mpa:
    """Equivalent stress of a pull or push with a shear.

    Source: von Mises, sqrt(s^2 + 3 t^2), any handbook (from memory).
    """
    return math.sqrt(axial**2 + 3 * shear**2)


def thread_bearing(force: Newton, thread: Thread, turns: Ratio = 1.0) -> Mpa:
    """Pressure between the flanks, spread over engaged turns; for the first turn give its share of the force.

    Raises:
        InputError: turns not above 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8, 2 F/(pi dm n p) for square threads (from memory).
    """
    above_zero("engaged turns", turns, "")
    return force / (math.pi * thread.mean * thread.depth * turns)


def thread_bending(force: Newton, thread: Thread, turns: Ratio = 1.0) -> Mpa:
    """Bending stress at the root of a turn, loaded at the middle of its depth.

    Raises:
        InputError: turns not above 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8, 6 F/(pi dr n p) for square threads (from memory).
    """
    above_zero("engaged turns", turns, "")
    return 3 * force * thread.depth / (math.pi * thread.root * turns * thread.root_width**2)


def thread_shear(force: Newton, thread: Thread, turns: Ratio = 1.0) -> Mpa:
    """Greatest shear stress at the root of a turn, 3/2 of the mean one.

    Raises:
        InputError: turns not above 0.

    Source: Shigley's Mechanical Engineering Design, ch. 8, 3 F/(pi dr n p) for square threads (from memory).
    """
    above_zero("engaged turns", turns, "")
    return 1.5 * force / (math.pi * thread.root * thread.root_width * turns)


# ---------------------------------------------------------------- wear


def slide(thread: Thread, stroke: Mm) -> Mm:
    """Way that flank slides on flank while the screw advances by a stroke.

    Source: geometry, n pi dm.
    """
    return stroke / thread.lead * math.pi * thread.mean


def wear_life(thread: Thread, pressure: Mpa, stroke: Mm, ultimate: Mpa) -> Ratio:
    """Strokes under a pressure between the flanks until a quarter of the pitch is worn off: order of magnitude only.

    Raises:
        InputError: a value not above 0.

    Source: Archard's law, depth k p s/H with H = 3 fu (k and H from memory); a quarter of the pitch: own rule.
    """
    above_zero("pressure between the flanks", pressure, "MPa")
    above_zero("stroke", stroke, "mm")
    above_zero("ultimate strength", ultimate, "MPa")
    return thread.pitch / 4 * 3 * ultimate / (WEAR_FACTOR * pressure * slide(thread, stroke))


# ---------------------------------------------------------------- bolts


def usual_coefficient(surface: Surface) -> Ratio:
    """The coefficient K by the state of the surfaces: 0.20 as received, 0.15 lubricated, 0.30 dry or rusty.

    Shigley's Table 8-15 (from memory) has 0.30 non-plated, 0.20 zinc-plated and 0.18 lubricated.

    Raises:
        InputError: an unknown state.

    Source: general bolt torque page, bands of K.
    """
    return one_of("surface", surface, {"as received": 0.20, "lubricated": 0.15, "dry or rusty": 0.30})


def preload(proof: Mpa, stress_area: Mm2, share: Ratio = 0.75) -> Newton:
    """Preload as a share of the proof load: 0.75 for joints that are undone, 0.9 for permanent ones.

    Raises:
        InputError: a share that is not above 0 or exceeds 1.

    Source: Shigley's Mechanical Engineering Design, ch. 8 (0.9 from memory).
    """
    above_zero("share of the proof load", share, "")
    within("share of the proof load", share, 0, 1, "", "Stay below the proof load.")
    return share * proof * stress_area


def bolt_torque(coefficient: Ratio, tension: Newton, diameter: Mm) -> NewtonMm:
    """Torque that gives a bolt this preload.

    Source: Shigley's Mechanical Engineering Design, ch. 8, T = K F d.
    """
    return coefficient * tension * diameter


@dataclass(frozen=True)
class Tightening:
    """The preload that a torque gives: intended, and the least and greatest over the scatter."""

    torque: NewtonMm
    least: Newton
    intended: Newton
    greatest: Newton


def tightening(torque: NewtonMm, diameter: Mm, coefficient: Ratio, scatter: Ratio = TORQUE_SCATTER) -> Tightening:
    """Preload with its scatter band.

    Raises:
        InputError: diameter or coefficient not above 0, or a scatter outside 0 to 1.

    Source: T = K F d; scatter of tightening by torque 30 %, common practice, no source (from memory).
    """
    above_zero("bolt diameter", diameter, "mm")
    above_zero("torque coefficient", coefficient, "")
    within("scatter", scatter, 0, 1, "", "Give a share such as 0.3.")
    intended = torque / (coefficient * diameter)
    return Tightening(torque, (1 - scatter) * intended, intended, (1 + scatter) * intended)


def tightening_over_surfaces(torque: NewtonMm, diameter: Mm, intended: Surface = "as received") -> Tightening:
    """Preload when the surfaces may be anything from dry or rusty to lubricated.

    Raises:
        InputError: a diameter not above 0, or an unknown state.

    Source: T = K F d with the bands of K of a general bolt torque page.
    """
    above_zero("bolt diameter", diameter, "mm")
    least, middle, most = (torque / (usual_coefficient(s) * diameter) for s in ("dry or rusty", intended, "lubricated"))
    return Tightening(torque, least, middle, most)
