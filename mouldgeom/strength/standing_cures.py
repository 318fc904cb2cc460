"""What to change where mould or filter tips too easily: each change is tried on the whole design before it is said."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Final

from mouldgeom.errors import MouldError
from mouldgeom.filter.cures import Cure
from mouldgeom.model.assembly import Mould, build
from mouldgeom.spec import Spec
from mouldgeom.units import Deg, Mm
from mouldgeom.verdict import Verdict
from mouldgeom.words import Said, joined

_SLOPE_STEP: Final[Deg] = 0.5
_STEP: Final[Mm] = 5.0
_STEPS: Final = 8
"""How many values of a length are tried, each a step beyond the one before."""
Judge = Callable[[Mould], Iterable[Verdict]]


def _flatter(spec: Spec) -> Iterator[Cure]:
    """Ever flatter ground, the steepest first."""
    steps = int(spec.handling.slope / _SLOPE_STEP + 1e-9)
    for step in range(steps, -1, -1):
        if step * _SLOPE_STEP < spec.handling.slope:
            yield Cure("flatter ground", "handling.slope", step * _SLOPE_STEP)


def _wider_base(spec: Spec) -> Iterator[Cure]:
    return (Cure("longer runners under a wider base", "shop.base_margin", at) for at in _up(spec.shop.base_margin))


def _thicker_walls(spec: Spec) -> Iterator[Cure]:
    return (Cure("thicker walls", "filter.least_wall", at) for at in _up(spec.filter.least_wall))


def _up(start: Mm) -> Iterator[Mm]:
    return (start + _STEP * step for step in range(1, _STEPS + 1))


_WAYS: Final[dict[str, tuple[Callable[[Spec], Iterator[Cure]], ...]]] = {
    "10.7": (_flatter, _wider_base),
    "10.8": (_flatter, _thicker_walls),
    "10.10": (_flatter, _thicker_walls),
}
"""By code of a check, the fields that may cure it."""
_TIED: Final = "Level the ground, and tie mould or filter down while it stands there."


def cured(mould: Mould, found: Iterable[Verdict], judge: Judge) -> tuple[Verdict, ...]:
    """The same verdicts; those on tipping that fail with the least changes that make them hold.

    Args:
        judge: the verdicts of another mould.
    """
    return tuple(
        replace(one, cure=_cure(mould.dims.spec, one.code, judge)) if one.code in _WAYS and not one.holds else one
        for one in found
    )


def _cure(spec: Spec, code: str, judge: Judge) -> str:
    whole = [next((cure for cure in way(spec) if _holds(spec, cure, code, judge)), None) for way in _WAYS[code]]
    lines = [cure.line() for cure in whole if cure is not None]
    return Said("Choose {cures}.", cures=joined(lines, " or ")) if lines else _TIED


def _holds(spec: Spec, cure: Cure, code: str, judge: Judge) -> bool:
    """Whether a mould is made with this change, and keeps the check."""
    changed = cure.applied(spec)
    if changed is None:
        return False
    try:
        verdicts = judge(build(changed))
        return all(one.holds for one in verdicts if one.code == code)
    except MouldError:
        return False
