"""The cavity, the levels and the wall for least concrete, within every limit.

The plan is searched on whole tenths of a millimetre.  A limit is broken either by a cavity that is too narrow (loading
rate, charge against pore volume, overall height, time to drain) or by one that is too wide (crest head, ledge, mass),
so the widths that a side allows begin, or end, at one width, which bisection finds; between the two the volume of
concrete is brought to its least by section search.  Nothing is random, and no start value is needed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from mouldgeom import tables
from mouldgeom.errors import SpecError
from mouldgeom.filter.candidates import (
    AS_ASKED,
    GRID,
    Design,
    Mould,
    Request,
    Search,
    Shape,
    range_of,
    with_drain_limit,
    with_filter,
)
from mouldgeom.filter.changes import no_filter
from mouldgeom.filter.early_age import refuse_too_young
from mouldgeom.filter.levels import Levels
from mouldgeom.filter.working import Limit, Working
from mouldgeom.spec import Spec
from mouldgeom.units import Kg, Mm, Mm3, plain

_NOSE_ROUNDS: Final = 6
_THICKEST_SHELL: Final[Mm] = 6.4
"""Beyond this a panel is too heavy to handle: common practice, no source."""


@dataclass(frozen=True)
class Sizing:
    """The answer: the design, what binds it, what had to be added, and the limits as they then stand.

    ``body`` is the volume of the concrete, nose included where the shape of the body was handed in.
    """

    request: Request
    design: Design
    limits: tuple[Limit, ...]
    binding: str
    reasons: tuple[str, ...]
    body: Mm3

    @property
    def spec(self) -> Spec:
        """The specification for `make`."""
        return self.design.spec

    @property
    def working(self) -> Working:
        """How it works."""
        return self.design.working

    @property
    def levels(self) -> Levels:
        """Its levels."""
        return self.design.levels

    @property
    def mass(self) -> Kg:
        """Mass of the concrete."""
        return self.body * 1e-9 * self.spec.concrete.density


def size(request: Request, shape: Shape | None = None, mould: Mould | None = None, *, mend: bool = True) -> Sizing:
    """Find the filter of least concrete within every limit.

    ``shape`` gives the whole body's volume and refuses a tube or nose that does not fit; ``mould`` refuses a mould that
    cannot be made.  Both stand after this module in the order of imports and so are handed in.  Without ``mend`` an
    impossible filter is not looked into for what would mend it, which takes longest.

    Raises:
        NoFilterError: two limits conflict, or one cannot be met at all.
        SpecError: tube, nose or mould cannot be made at any width within the limits, or the mould is opened too early.
    """
    refuse_too_young(request.base)
    asked = request
    reasons: tuple[str, ...] = ()
    while True:
        search, best, binding, more = _with_nose(request, shape, mend=mend)
        try:
            best, words = _buildable(search, best, mould) if mould is not None else (best, "")
            break
        except SpecError as refusal:
            thicker = _thicker_shell(request, refusal)
            request = replace(request, base=request.base.changed({"steel.shell": thicker}))
            was = asked.base.steel.shell
            reasons = (f"Mould of {thicker} sheet instead of {was}, which bulges too far under this much concrete.",)
    binding, reasons = words or binding, reasons + more
    found = with_drain_limit(search.at(best))
    design = found.design
    assert design is not None  # a width within the limits has its levels
    if design.wall_reason != AS_ASKED:
        thick = plain(design.spec.filter.least_wall, 1)
        reasons += (f"Least wall {thick} mm, for {design.wall_reason}.",)
    body = shape(design.spec) if shape is not None else design.concrete
    return Sizing(asked, design, found.limits, binding, reasons, body)


def _with_nose(request: Request, shape: Shape | None, *, mend: bool) -> tuple[Search, int, str, tuple[str, ...]]:
    """Solve, and give as much freeboard as the nose needs to stay clear of the base flange."""
    asked = request.base.filter.freeboard
    rounds = 0
    while True:
        search, best, binding = _solve(request, _nose(request, shape), mend=mend)
        design = search.at(best).design
        refusal = None if shape is None or design is None else refused(shape, design.spec)
        if refusal is None or shape is None or design is None:
            break
        rounds += 1
        if rounds > _NOSE_ROUNDS:
            raise refusal
        request = _more_freeboard(request, design, shape, refusal)
    more = request.base.filter.freeboard
    if more == asked:
        return search, best, binding, ()
    words = f"Freeboard {plain(more, 1)} mm, so that the nose stays clear of the mould's base flange."
    return search, best, binding, (words,)


def _solve(request: Request, nose: Mm3, *, mend: bool) -> tuple[Search, int, str]:
    """Best width, and the limit that binds it; the time to drain is looked at only where it might bind."""
    search = Search(request, nose)
    best, low, high = _best(search, mend=mend)
    if with_drain_limit(search.at(best)).broken(wider=True):
        search = Search(request, nose, with_drain=True)
        best, low, high = _best(search, mend=mend)
    if best == low > search.least:
        return search, best, search.at(low - 1).broken(wider=True)[0].title
    if best == high < search.most:
        return search, best, search.at(high + 1).broken(wider=False)[0].title
    if best == low:
        return search, best, "narrowest cavity that a mould is made for"
    return search, best, "least concrete, inside all limits"


def _best(search: Search, *, mend: bool) -> tuple[int, int, int]:
    """Width of least concrete, and the narrowest and widest that the limits allow (the widest only where it matters).

    Where concrete grows from the narrowest width on, that one is best and the widest need not be looked for.
    """
    low = search.narrowest()
    if low is not None and low < search.most:
        here = search.at(low)
        if all(limit.holds for limit in here.limits) and here.concrete <= search.at(low + 1).concrete:
            return low, low, search.most
    low, high = _bounds(search, mend=mend)
    return search.leanest(low, high), low, high


def _bounds(search: Search, *, mend: bool) -> tuple[int, int]:
    low, high = search.narrowest(), search.widest()
    if low is None or high is None or low > high or search.at(low).broken(wider=None):
        raise no_filter(search, mend=mend)
    return low, high


def _thicker_shell(request: Request, refusal: SpecError) -> str:
    """Designation of the next sheet that is a tenth thicker or more, where the refusal is that a sheet bulges too far.

    Less is the same sheet of another trade series, such as 3.2 mm for 3 mm.

    Raises:
        SpecError: the refusal, where it is of another kind or no thicker sheet is listed.
    """
    now = tables.sheet(request.base.steel.shell)
    least = 1.1 * now.thickness_mm
    rows = sorted((*tables.sheets(), *request.base.own.sheet), key=lambda row: row.thickness_mm)
    thicker = [row for row in rows if row.system == now.system and row.thickness_mm >= least]
    if refusal.name != "shop.allowed_bulge" or not thicker or thicker[0].thickness_mm > _THICKEST_SHELL:
        raise refusal
    return thicker[0].designation


def refused(mould: Mould, spec: Spec) -> SpecError | None:
    """Why a mould, or the body it casts, cannot be made."""
    try:
        mould(spec)
    except SpecError as error:
        return error
    return None


def _nose(request: Request, shape: Shape | None) -> Mm3:
    """Volume that nose and tube add to the vessel: the same at every width but for the slope of the nose."""
    if shape is None:
        return 0.0
    search = Search(request)
    middle = (search.least + search.most) // 2
    for tenths in (2600, search.least, middle):
        design = search.at(min(max(tenths, search.least), search.most)).design
        if design is not None and refused(shape, design.spec) is None:
            return shape(design.spec) - design.concrete
    return 0.0


def _more_freeboard(request: Request, design: Design, shape: Shape, refusal: SpecError) -> Request:
    """The request with the least freeboard at which the nose clears the base flange.

    Raises:
        SpecError: the refusal, where it is of another kind or no freeboard helps.
    """

    def clear(freeboard: Mm) -> bool:
        return refused(shape, with_filter(design.spec, freeboard=freeboard)) is None

    low, high = (math.floor(length * GRID) for length in (request.base.filter.freeboard, range_of("freeboard")[1]))
    if refusal.name != "filter.freeboard" or not clear(high / GRID):
        raise refusal
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if clear(middle / GRID) else (middle, high)
    return replace(request, base=with_filter(request.base, freeboard=high / GRID))


def _buildable(search: Search, best: int, mould: Mould) -> tuple[int, str]:
    """The width nearest to the best one for which a mould can be made, wider ones first; and what then binds.

    Raises:
        SpecError: what the mould of the best width was refused for, where no width within the limits will do.
    """

    def refusal(tenths: int) -> SpecError | None:
        design = search.at(tenths).design
        return None if design is None else refused(mould, design.spec)

    first = refusal(best)
    if first is None:
        return best, ""
    if first.name == "shop.allowed_bulge":  # a matter of the sheet, not of the filter
        raise first
    for way in (1, -1):
        near = best
        for shift in (10, 20, 40, 80, 160, 320, 640, 1280):
            far = best + way * shift
            if not search.least <= far <= search.most or any(not limit.holds for limit in search.at(far).limits):
                break
            if refusal(far) is None:
                while abs(far - near) > GRID:
                    middle = (far + near) // 2
                    near, far = (near, middle) if refusal(middle) is None else (middle, far)
                return far, f"mould, {first.name}"
            near = far
    raise first
