"""What the yard's donkey cart takes (invented): the heaviest load, the trips of a mould, and a list."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Final

from mouldgeom.checks import Case
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.extension import Extension
from mouldgeom.outputs.kinds import File, Kind
from mouldgeom.strength.masses import masses
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Words

CART: Final = 80.0
"""Most that the cart takes, in kg (invented)."""
TRIPS: Final = 3
"""Trips that the donkey makes in a day (invented)."""
SOURCE: Final = "own rule of the yard (invented)"


def loads(mould: Mould) -> dict[str, float]:
    """Mass in kg of each unit that is carried as one, the heaviest first."""
    carried = {unit.name: item.lump.mass for unit, item in masses(mould).carried.items()}
    return dict(sorted(carried.items(), key=lambda item: -item[1]))


def trips(mould: Mould) -> list[float]:
    """Mass on the cart in each trip: every load, the heaviest first, on the first trip that still takes it."""
    out: list[float] = []
    for mass in loads(mould).values():
        place = next((i for i, on in enumerate(out) if on + mass <= CART), None)
        if place is None:
            out.append(mass)
        else:
            out[place] += mass
    return out


def check_cart(case: Case) -> tuple[Verdict, ...]:
    """No unit is heavier than what the cart takes."""
    name, mass = next(iter(loads(case.mould).items()))
    return (Verdict("cart", "heaviest load for the donkey cart", mass, CART, Operator.AT_MOST, "kg", name, SOURCE),)


def chapter(mould: Mould) -> Chapter:
    """The loads, and the trips that they take."""
    found, made = loads(mould), trips(mould)
    return Chapter(
        "Donkey cart",
        (f"The cart takes {CART:.0f} kg, and goes {TRIPS} times a day.",),
        (
            Step("heaviest load", "m", next(iter(found)), next(iter(found.values())), "kg", "masses of the parts"),
            Step("trips", "n", " + ".join(f"{mass:.1f} kg" for mass in made), float(len(made)), "-", SOURCE),
        ),
        (ResultTable("Loads", ("load", "mass (kg)"), tuple(found.items())),),
        (
            Verdict(
                "cart.trips", "trips of the donkey cart for one mould", float(len(made)), float(TRIPS),
                Operator.AT_MOST, "-", "whole mould", SOURCE,
            ),
        ),
    )  # fmt: skip


def cart_list(mould: Mould, words: Words) -> Iterator[File]:
    """A row a load: what it is called on the papers, and its mass."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["load", "mass_kg"])
    writer.writerows((words(name), f"{mass:.1f}") for name, mass in loads(mould).items())
    yield File("cart-list.csv", out.getvalue().encode("utf-8"))


CART_LIST: Final = Kind("cart-list", "loads for the donkey cart", cart_list)
EXTENSION: Final = Extension("cart-check", checks=(check_cart,), chapters=(chapter,), kinds=(CART_LIST,))
