"""Holes of the shipped moulds against ISO 273:1979 (medium series) and ASME B18.2.8-1999 (normal fit).

Printed values, exact: M10 11 mm; 3/8 in 13/32 in.  The jack screw's hole is shop practice (no source): the screw and
4 mm, so that it can lean; for 1 in that is the loose fit of ASME B18.2.8-1999, 1 5/32 in.  A forcing screw's hole is
an own rule: the screw and 2 mm, for 1 in the drill next to it, 1 5/64 in (27.38 mm, where 1 1/16 in is 26.99 mm and
1 3/32 in 27.78 mm).
"""

from __future__ import annotations

import pytest

from mouldgeom import tables
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import HolePurpose
from mouldgeom.spec import load

PRINTED = {"hill-example": ("M10", 11.0), "inch-example": ("3/8-16", 13 / 32 * 25.4), "short-example": ("M10", 11.0)}


@pytest.mark.parametrize("name", PRINTED)
def test_every_bolt_hole_is_the_printed_one(name: str) -> None:
    mould = build(load(name))
    bolt, hole = PRINTED[name]
    assert {row.bolt for row in mould.rows} == {bolt}
    assert all(row.hole == pytest.approx(hole, abs=1e-9) for row in mould.rows)
    holes = [h for part in (*mould.plates, *mould.bars) for h in part.holes if h.purpose is HolePurpose.BOLT]
    assert len(holes) > 50
    assert all(h.diameter == pytest.approx(hole, abs=1e-9) for h in holes)


def test_washers_cover_the_holes(example: Mould) -> None:
    for row in example.rows:
        assert tables.bolt(row.bolt).washer_outside_mm > 1.5 * row.hole


def test_jack_screw_passes_its_plates(bridged_example: Mould) -> None:
    screw = bridged_example.dims.stock.jack.diameter_mm
    holes = [h for plate in bridged_example.plates for h in plate.holes if h.purpose is HolePurpose.SCREW]
    assert len(holes) == 2 + len(bridged_example.dims.diaphragm_z)
    wanted = {24.0: 28.0, 25.4: (1 + 5 / 32) * 25.4}[screw]
    assert all(hole.diameter == pytest.approx(wanted) for hole in holes)


def test_forcing_screws_pass_their_nut_plates(example: Mould) -> None:
    """And no other plate: the diaphragms of a core without a bridge are whole."""
    screw = example.dims.stock.jack.diameter_mm
    plates = [plate for plate in example.plates for h in plate.holes if h.purpose is HolePurpose.FORCING]
    assert sum(plate.quantity for plate in plates) == 4
    assert not [h for plate in example.plates for h in plate.holes if h.purpose is HolePurpose.SCREW]
    wanted = {24.0: 26.0, 25.4: (1 + 5 / 64) * 25.4}[screw]
    assert all(hole.diameter == pytest.approx(wanted) for plate in plates for hole in plate.holes)


def test_tube_passes_the_lid(example: Mould) -> None:
    (hole,) = [h for plate in example.plates for h in plate.holes if h.purpose is HolePurpose.TUBE]
    assert hole.diameter == pytest.approx(example.dims.tube.outside + example.dims.spec.shop.fit_gap)
