"""Power screws and bolt torque: rows of group 10 of the project's reference values.

Tolerances: half of the last printed digit; 0.1 % where the reference recomputed a row to more digits.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom.errors import InputError
from mouldgeom.rules import screw
from mouldgeom.rules.screw import Thread

NM = 1000


def square_thread(major: float, pitch: float, starts: int = 1) -> Thread:
    """Depth and width are half the pitch, as in the books: Shigley, ch. 8, dm = d - p/2, dr = d - p (from memory)."""
    return Thread(major, major - pitch / 2, major - pitch, pitch, pitch / 2, pitch / 2, starts)


def by_mean(mean: float, lead: float) -> Thread:
    """A square thread given by its mean diameter and lead, as the statics books do."""
    return square_thread(mean + lead / 2, lead)


def test_10_01_shigley_8_1() -> None:
    """10.01, Shigley, Example 8-1 (MEMORY, recomputed to the digits here): 0.05 %."""
    thread = square_thread(32, 4, starts=2)
    assert (thread.mean, thread.root, thread.lead) == (30, 28, 8)
    up = screw.torque_to_raise(6400, thread, 0.08, 0.08, 40)
    assert up / NM == pytest.approx(26.177, rel=5e-4)
    assert screw.torque_to_lower(6400, thread, 0.08, 0.08, 40) / NM == pytest.approx(9.774, rel=5e-4)
    assert screw.efficiency(6400, 8, up) == pytest.approx(0.3113, rel=5e-4)
    assert screw.body_shear(up, 28) == pytest.approx(6.073, rel=5e-4)
    assert screw.body_axial(6400, 28) == pytest.approx(10.394, rel=5e-4)
    first = screw.FIRST_THREAD_SHARE * 6400
    assert screw.thread_bearing(first, thread) == pytest.approx(12.902, rel=5e-4)
    assert screw.thread_bending(first, thread) == pytest.approx(41.47, rel=5e-4)
    assert screw.thread_shear(first, thread) == pytest.approx(3 * first / (math.pi * 28 * 4))


def test_10_02_statics_problem() -> None:
    """10.02, statics text (SEEN): two threads an inch, dm 2 in, f 0.2, 10 000 lb: 2840 lb in, printed to 10."""
    assert screw.torque_to_raise(10_000, by_mean(2.0, 0.5), 0.2) == pytest.approx(2840, abs=5)


def test_10_03_raise_and_lower() -> None:
    """10.03, problem page (SEEN): p 20, dm 50, f 0.29, 400 N: 4.333 and 1.569 N m, efficiency 0.294; last digit."""
    thread = by_mean(50, 20)
    up = screw.torque_to_raise(400, thread, 0.29)
    assert up / NM == pytest.approx(4.333, abs=5e-4)
    assert screw.torque_to_lower(400, thread, 0.29) / NM == pytest.approx(1.569, abs=5e-4)
    assert screw.efficiency(400, 20, up) == pytest.approx(0.294, abs=5e-4)


@pytest.mark.parametrize(
    ("major", "pitch", "mean", "root"),
    [(10, 1.5, 9.026, 8.160), (16, 2, 14.701, 13.546), (24, 3, 22.051, 20.319), (30, 3.5, 27.727, 25.706)],
)
def test_iso_724(major: float, pitch: float, mean: float, root: float) -> None:
    """ISO 724:1993, d2 and d3 to the printed thousandth (from memory), and the basic profile of ISO 68-1 by geometry.

    Sharp triangle H = P sqrt 3/2: d2 is d - 3/4 H, d3 d - 17/12 H, flanks touch over 5/8 H, and a turn that is P/8 wide
    at the crest is 3/4 P wide where they end; factors to half of their fourth decimal.
    """
    thread = screw.vee_thread(major, pitch)
    assert (thread.mean, thread.root) == pytest.approx((mean, root), abs=6e-4)
    high = math.sqrt(3) / 2
    factors = [(major - thread.mean) / pitch, (major - thread.root) / pitch, thread.depth / pitch]
    assert factors == pytest.approx([3 / 4 * high, 17 / 12 * high, 5 / 8 * high], abs=5e-5)
    assert thread.root_width / pitch == pytest.approx(1 / 8 + 2 * 5 / 8 * high * math.tan(math.radians(thread.flank)))


def test_10_05_10_06_vee_thread() -> None:
    """10.05, 10.06, M20 x 2.5, 5 kN, f 0.15, computed for the reference without and with a 25 mm end: last digit."""
    thread = screw.vee_thread(20, 2.5)
    assert thread.mean == pytest.approx(18.376, abs=5e-4)
    up = screw.torque_to_raise(5000, thread, 0.15)
    assert up / NM == pytest.approx(10.02, abs=6e-3)
    assert screw.torque_to_lower(5000, thread, 0.15) / NM == pytest.approx(5.92, abs=6e-3)
    assert screw.efficiency(5000, 2.5, up) == pytest.approx(0.199, abs=6e-4)
    with_end = screw.torque_to_raise(5000, thread, 0.15, 0.15, 25)
    assert with_end / NM == pytest.approx(19.40, abs=6e-3)
    assert screw.efficiency(5000, 2.5, with_end) == pytest.approx(0.103, abs=6e-4)


def test_10_07_self_locking() -> None:
    """10.07, Shigley ch. 8 (sec a from memory): pi f dm sec a > l, just below and above; M20 at f 0.05 holds."""
    for thread, secant in ((square_thread(32, 4, starts=2), 1.0), (screw.vee_thread(20, 2.5), 2 / math.sqrt(3))):
        limit = thread.lead / (math.pi * thread.mean * secant)
        assert screw.torque_to_lower(1, thread, 0.999 * limit) < 0 < screw.torque_to_lower(1, thread, 1.001 * limit)
    assert screw.torque_to_lower(1, screw.vee_thread(20, 2.5), 0.05) > 0


def test_10_08_preload() -> None:
    """10.08, Shigley ch. 8: 0.75 of proof (SEEN), 0.9 (from memory); exact."""
    assert screw.preload(600, 245) == pytest.approx(0.75 * 600 * 245)
    assert screw.preload(600, 245, 0.9) == pytest.approx(132_300)


@pytest.mark.parametrize(
    ("name", "diameter", "pitch", "coefficient"),
    [("M12", 12, 1.75, 0.196), ("M20", 20, 2.5, 0.194), ("1/2-13", 12.7, 25.4 / 13, 0.197)],
)
def test_10_09_coefficient(name: str, diameter: float, pitch: float, coefficient: float) -> None:
    """10.09, computed for the reference, f = fc = 0.15, collar 1.25 d: K of T = K F d to half of the third decimal."""
    torque = screw.torque_to_raise(1, screw.vee_thread(diameter, pitch), 0.15, 0.15, 1.25 * diameter)
    assert torque / diameter == pytest.approx(coefficient, abs=6e-4), name


def test_10_10_bands() -> None:
    """10.10, general page (SEEN): K 0.20, 0.15, 0.30; exact."""
    assert [screw.usual_coefficient(s) for s in ("as received", "lubricated", "dry or rusty")] == [0.20, 0.15, 0.30]


def test_10_11_worked_bolt() -> None:
    """10.11, general page (SEEN): M12 8.8, 84.3 mm2, proof 580, 70 %, K 0.2: 34.2 kN, 82 N m; last digit."""
    tension = screw.preload(580, 84.3, 0.70)
    assert tension / 1000 == pytest.approx(34.2, abs=0.05)
    torque = screw.bolt_torque(0.2, tension, 12)
    assert torque / NM == pytest.approx(82, abs=0.5)
    back = screw.tightening(torque, 12, 0.2)
    assert (back.least, back.intended, back.greatest) == pytest.approx((0.7 * tension, tension, 1.3 * tension))


def test_10_12_textbook_table_stays_second() -> None:
    """10.12, Shigley Table 8-15 (MEMORY): 0.30, 0.20, 0.18 lie in the seen bands, which it does not overrule."""
    low, high = screw.usual_coefficient("lubricated"), screw.usual_coefficient("dry or rusty")
    assert all(low <= k <= high for k in (0.30, 0.20, 0.18))
    band = screw.tightening_over_surfaces(82_000, 12)
    assert band.greatest == pytest.approx(2 * band.least)
    assert band.intended == pytest.approx(82_000 / 2.4)


def test_small_helpers() -> None:
    """Statics: 26 N m at a 260 mm lever are 100 N; von Mises of 30 and 40 MPa is sqrt(900 + 4800)."""
    assert screw.hand_force(26_000, 260) == pytest.approx(100)
    assert screw.combined_stress(30, 40) == pytest.approx(math.sqrt(5700))


@given(st.floats(10, 60), st.floats(0.05, 0.12), st.floats(0.02, 0.4), st.floats(1, 1e5))
def test_energy(major: float, pitch_share: float, friction: float, force: float) -> None:
    """Work in is never less than work out, raising and lowering; without friction they are equal."""
    thread = screw.vee_thread(major, pitch_share * major)
    up, down = screw.torque_to_raise(force, thread, friction), screw.torque_to_lower(force, thread, friction)
    assert 0 < screw.efficiency(force, thread.lead, up) < 1
    assert -down < force * thread.lead / (2 * math.pi) < up
    assert screw.efficiency(force, thread.lead, screw.torque_to_raise(force, thread, 0)) == pytest.approx(1)


def test_outside_of_the_limits() -> None:
    """What has no meaning is refused."""
    steep = by_mean(10, 15)
    for wrong in (
        lambda: screw.torque_to_raise(1, steep, 3.0),
        lambda: screw.torque_to_raise(1, steep, -0.1),
        lambda: square_thread(4, 4),
        lambda: Thread(20, 18, 17, 2.5, 1, 1, flank=90),
        lambda: screw.preload(600, 84, 1.1),
        lambda: screw.tightening(1, 12, 0),
        lambda: screw.usual_coefficient("painted"),  # type: ignore[arg-type]  # wrong on purpose
        lambda: screw.thread_bearing(1, steep, 0),
    ):
        with pytest.raises(InputError):
            wrong()
