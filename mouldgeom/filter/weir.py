"""Water that runs over the crest of a round tube as over a weir, and down a leg that it does not fill."""

from __future__ import annotations

import math
from typing import Final

from mouldgeom.units import GRAVITY, M3PerSecond, Metre, Mm, Rad, Ratio

SELF_VENTING: Final[Ratio] = 0.3
"""Full-bore velocity over sqrt(g D) below which a leg vents itself; above, it may run full, siphon or surge.

Source: P. D. Hills, Designing Piping for Gravity Flow, Chem. Eng. 1983 (year from memory).
"""


def critical_flow(bore: Mm, angle: Rad) -> tuple[M3PerSecond, Metre]:
    """Flow that runs critical over a crest where the water covers this angle of a round bore, and its head there.

    The head is over the invert: depth and velocity head, the least that this flow needs.

    Source: critical flow, Q^2 T = g A^3: Cengel and Cimbala, Fluid Mechanics, ch. 13.
    """
    across = bore / 1000
    area, top = across**2 / 8 * max(angle - math.sin(angle), 0.0), across * math.sin(angle / 2)
    return area * math.sqrt(GRAVITY * area / top), across / 2 * (1 - math.cos(angle / 2)) + area / (2 * top)


def leg_filling(bore: Mm, flow: M3PerSecond) -> Ratio:
    """Velocity that a flow would have in the full bore, over sqrt(g D): held against ``SELF_VENTING``.

    Source: as ``SELF_VENTING``.
    """
    across = bore / 1000
    return flow / (math.pi / 4 * across**2) / math.sqrt(GRAVITY * across)
