"""Prints how long nests and bar plans are and take, beside known packers: ``python tests/benchmarks/bench_nest.py``.

The packers run on the same parts, the same distances, in the same run; no test depends on it.  rectpack lays bounding
boxes by each of its ways; spyrrow packs the irregular outlines for 15 s.  Seconds are of this machine at this moment:
look at the ratios.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from typing import TypeVar

from mouldgeom import load
from mouldgeom.fabrication.stocklist import StockSheet, default_stock
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import Plate
from mouldgeom.nesting.bars import cut_mould
from mouldgeom.nesting.layout import Nest, NestOptions
from mouldgeom.nesting.nest import nest_plates

WIDTH, LENGTH = 1220.0, 2440.0
OPTIONS = NestOptions()
_Result = TypeVar("_Result")


def timed(work: Callable[[], _Result]) -> tuple[_Result, float]:
    """Return what the work returns, and how many seconds it took."""
    start = time.perf_counter()
    result = work()
    return result, time.perf_counter() - start


def by_rectangles(plates: Sequence[Plate]) -> float:
    """Shortest used length over every packing and sorting rule of rectpack."""
    import rectpack

    ways = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith(("MaxRects", "Guillotine", "Skyline"))]
    sorts = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith("SORT_")]
    gap, edge, best = OPTIONS.gap, OPTIONS.edge, float("inf")
    count = sum(plate.quantity for plate in plates)
    for way in ways:
        for sort in sorts:
            packer = rectpack.newPacker(
                mode=rectpack.PackingMode.Offline,
                bin_algo=rectpack.PackingBin.Global,
                pack_algo=way,
                sort_algo=sort,
                rotation=True,
            )
            packer.add_bin(WIDTH - 2 * edge + gap, 3 * LENGTH)
            for plate in plates:
                x0, y0, x1, y1 = plate.outline.bounds
                for _ in range(plate.quantity):
                    packer.add_rect(x1 - x0 + gap, y1 - y0 + gap)
            packer.pack()
            laid = [rect for area in packer for rect in area]
            if len(laid) == count:
                best = min(best, max(rect.y + rect.height for rect in laid) - gap + 2 * edge)
    return best


def by_outlines(plates: Sequence[Plate], seconds: int) -> float:
    """Used length of spyrrow's strip packing in so many seconds."""
    import spyrrow

    items = [spyrrow.Item(plate.mark, plate.outline.points(5.0), plate.quantity, [0, 90, 180, 270]) for plate in plates]
    config = spyrrow.StripPackingConfig(
        early_termination=False, min_items_separation=OPTIONS.gap, total_computation_time=seconds, seed=1
    )
    instance = spyrrow.StripPackingInstance("parts", WIDTH - 2 * OPTIONS.edge, items)
    return float(instance.solve(config).width) + 2 * OPTIONS.edge


def one_mould(mould: Mould, seconds: int) -> None:
    """Print the used length of one mould, with and without parts in openings, against the packers."""
    for sheet in dict.fromkeys(plate.sheet for plate in mould.plates):
        plates = [plate for plate in mould.plates if plate.sheet == sheet]
        stock = [StockSheet(sheet, plates[0].thickness, LENGTH, WIDTH)]
        plain, seconds_plain = timed(lambda p=plates, s=stock: nest_plates(p, s, NestOptions(use_openings=False)))
        own, seconds_own = timed(lambda p=plates, s=stock: nest_plates(p, s, OPTIONS))
        boxes, seconds_boxes = timed(lambda p=plates: by_rectangles(p))
        shapes, seconds_shapes = timed(lambda p=plates: by_outlines(p, seconds))
        best = min(boxes, shapes)
        print(f"one mould, {sheet}: {len(plates)} marks, {sum(p.quantity for p in plates)} parts")
        print(f"  this program          {own.used_length:8.1f} mm in {seconds_own:5.1f} s")
        print(f"  without openings      {plain.used_length:8.1f} mm in {seconds_plain:5.1f} s")
        print(f"  rectangles            {boxes:8.1f} mm in {seconds_boxes:5.1f} s")
        print(f"  irregular strip       {shapes:8.1f} mm in {seconds_shapes:5.1f} s")
        print(
            f"  used length {plain.used_length / best:.4f} of the best packer, time {seconds_plain / seconds:.3f} of it"
        )
        bound = own.length_bound
        print(f"  bound {bound:.1f} mm, reached to {bound / own.used_length:.3f}; density {own.sheets[-1].density:.3f}")


def many_moulds(mould: Mould, numbers: Sequence[int]) -> None:
    """Print sheets, density and time for several moulds, and time for each part against that of one mould."""
    stock = default_stock()
    first = 0.0
    for number in numbers:
        nests: list[Nest] = []
        spent = 0.0
        for sheet in dict.fromkeys(plate.sheet for plate in mould.plates):
            plates = [plate for plate in mould.plates if plate.sheet == sheet]
            nest, seconds = timed(lambda p=plates, s=sheet, n=number: nest_plates(p, stock.sheets_of(s), OPTIONS, n))
            nests.append(nest)
            spent += seconds
        first = first or spent / number
        words = "; ".join(
            f"{nest.sheet}: {len(nest.sheets)} sheets, used {nest.used_length:.0f} mm, "
            f"{nest.length_bound / nest.used_length:.3f} of it needed by area"
            for nest in nests
        )
        print(
            f"{number:3d} moulds: {words}; {spent:.1f} s, {spent / number / first:.2f} of the time a mould takes alone"
        )


def bars(mould: Mould, numbers: Sequence[int]) -> None:
    """Print bars, bound and time for several moulds."""
    for number in numbers:
        plans, seconds = timed(lambda n=number: cut_mould(mould, default_stock(), n))
        words = ", ".join(f"{p.section} {p.bars} ({'proven' if p.proven else f'bound {p.bound:g}'})" for p in plans)
        print(f"{number:3d} moulds: bars {words}; {seconds:.2f} s (limit 5 s)")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("spec", nargs="?", default="hill-example")
    parser.add_argument("--seconds", type=int, default=15, help="what the irregular packer is given")
    parser.add_argument("--moulds", type=int, nargs="*", default=[1, 2, 5, 10, 20, 50])
    given = parser.parse_args()
    wanted = build(load(given.spec))
    one_mould(wanted, given.seconds)
    bars(wanted, given.moulds)
    many_moulds(wanted, given.moulds)
