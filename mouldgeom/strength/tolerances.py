"""Tolerances to wall: how much thinner than drawn the thinnest cast wall comes out, and which cause counts most.

Worst case and a sampled distribution of the least wall, by ``wall_model``; ten thousand moulds are one product of
matrices.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from mouldgeom.model.assembly import Mould
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.strength.wall_model import SIGMAS, Array, Cause, WallModel, wall_model
from mouldgeom.units import Mm, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

COUNT: Final = 10_000
SEED: Final = 1

_DIGITS: Final = 6
"""Results are rounded to this, so that they are the same on every machine."""
_FIRST_AID: Final[dict[Cause, str]] = {
    Cause.STRIP: "measure the strip's sheet before it is bought",
    Cause.SHELL: "measure the shell sheet before it is bought",
    Cause.PANEL_CUT: "have the panels cut by laser, or to a template",
    Cause.CORE_CUT: "have core walls and end plate cut by laser, or to a template",
    Cause.BOX_WELD: "tack the corner flanges on a jig, check both diagonals, then weld in short runs",
    Cause.CORE_WELD: "clamp the core on a square block, check its width at the foot, then weld in short runs",
    Cause.PANEL_FLAT: "straighten the base edge of each panel after welding",
    Cause.CORE_FLAT: "straighten the core walls at the rim after welding",
    Cause.CENTRING: "set the box to the core by four equal gauge blocks before the base bolts are tightened",
    Cause.BULGE: "place the stiffeners where the drawing shows them",
}


# ---------------------------------------------------------------- sampling


@dataclass(frozen=True, slots=True)
class Share:
    """One cause: its greatest effect on the least wall's place, its share of the variance, and what halving it gains.

    ``gain`` is by how much the 5 % quantile rises when all limits of the cause are halved.
    """

    cause: Cause
    effect: Mm
    share: Ratio
    gain: Mm


@dataclass(frozen=True)
class WallSample:
    """The least cast wall of many moulds.

    ``drawn`` and ``worst`` are the least as drawn and in the worst case; ``low5`` and ``low1`` quantiles;
    ``below_least`` and ``below_accepted`` probabilities; ``place`` is where the wall is least most often.  The
    shares add up to 1 together with what the change of place makes.
    """

    count: int
    seed: int
    drawn: Mm
    worst: Mm
    mean: Mm
    low5: Mm
    low1: Mm
    below_least: Ratio
    below_accepted: Ratio
    place: str
    shares: tuple[Share, ...]

    @property
    def governs(self) -> Share:
        """The cause that makes most of the variance."""
        return max(self.shares, key=lambda share: share.share)

    @property
    def tighten_first(self) -> Share:
        """The cause that gains most when halved."""
        return max(self.shares, key=lambda share: share.gain)


def draws(model: WallModel, count: int, seed: int) -> Array:
    """Draw every variable ``count`` times, -1 to 1: one row a mould, one column a variable.

    Normal values beyond three standard deviations are drawn again.
    """
    generator = np.random.Generator(np.random.PCG64(seed))
    drawn = generator.standard_normal((count, len(model.variables)))
    beyond = np.abs(drawn) > SIGMAS
    while beyond.any():
        drawn[beyond] = generator.standard_normal(int(beyond.sum()))
        beyond = np.abs(drawn) > SIGMAS
    drawn /= SIGMAS
    even = [i for i, variable in enumerate(model.variables) if variable.uniform]
    drawn[:, even] = generator.uniform(-1.0, 1.0, (count, len(even)))
    return drawn


def walls(model: WallModel, drawn: Array) -> Array:
    """Wall at every place (columns) of every mould (rows)."""
    out: Array = model.middle + drawn @ model.effects
    return out


def sample(mould: Mould, count: int = COUNT, seed: int = SEED) -> WallSample:
    """Sample the least cast wall: the same numbers on every machine for the same seed and count."""
    shop, least_wall = mould.dims.spec.shop, mould.dims.spec.filter.least_wall
    model = wall_model(mould)
    drawn = draws(model, count, seed)
    effects, wall = model.effects, walls(model, drawn)
    at = wall.argmin(axis=1)
    rows = np.arange(count)
    least = wall[rows, at]
    low5, low1 = (_rounded(q) for q in np.quantile(least, (0.05, 0.01)))
    usual = int(np.bincount(at, minlength=len(model.places)).argmax())
    variance = float(least.var())
    shares = []
    for cause in Cause:
        own = [i for i, variable in enumerate(model.variables) if variable.cause is cause]
        part = drawn[:, own] @ effects[own]
        mine = part[rows, at]
        share = float(((mine - mine.mean()) * (least - least.mean())).mean()) / variance
        gain = float(np.quantile((wall - part / 2).min(axis=1), 0.05)) - low5
        effect = float(np.abs(effects[own][:, usual]).sum())
        shares.append(Share(cause, _rounded(effect), _rounded(share), _rounded(gain)))
    return WallSample(
        count=count,
        seed=seed,
        drawn=_rounded(min(model.drawn)),
        worst=_rounded(model.worst.min()),
        mean=_rounded(least.mean()),
        low5=low5,
        low1=low1,
        below_least=_rounded((least < least_wall).mean()),
        below_accepted=_rounded((least < least_wall - shop.allowed_undersize).mean()),
        place=model.places[usual].words,
        shares=tuple(sorted(shares, key=lambda share: -share.share)),
    )


def _rounded(value: Ratio | np.float64) -> Ratio:
    return round(float(value), _DIGITS)


# ---------------------------------------------------------------- the chapter


def chapter(mould: Mould) -> Chapter:
    """Write the tolerances to wall down, and require the 5 % quantile of the least wall: 4.10."""
    shop, least_wall = mould.dims.spec.shop, mould.dims.spec.filter.least_wall
    model, found = wall_model(mould), sample(mould)
    accepted = least_wall - shop.allowed_undersize
    worst = int(model.worst.argmin())
    place = model.places[worst].words
    first = found.tighten_first
    return Chapter(
        "Tolerances to wall",
        (
            "Cut and weld assembly are added, though ISO 13920 may be read to contain the cut: on the safe side.",
            "ISO 13920 sizes are those at the corners of box and core; flatness is the bow of the sheet between them, "
            "at most the whole tolerance to either side, each place for itself. At the rim the sheets are held by the "
            "base plate, so the length of that edge counts; elsewhere the height.",
            Said("Limits are {sigmas:.0f} standard deviations of a normal distribution cut off there; the "
            "core's place within shop.centring has all values alike.", sigmas=SIGMAS),
            "Bulge adds to the wall; none at lines that hold the sheet, nor behind the ledge strips.",
            "The wall around the outlet tube and in the nose is measured on the solid, not here.",
        ),
        (
            Step("least wall as designed", "b/2 - c/2 - step", place, found.drawn, "mm", "drawing"),
            Step(
                Said("worst case, {place}", place=place), "e = e0 + bulge - sum of all limits",
                f"{model.drawn[worst]:.2f} mm + {model.bulge[worst]:.2f} mm - "
                f"{float(np.abs(model.effects[:, worst]).sum()):.2f} mm",
                found.worst, "mm", "arithmetic sum",
            ),
            Step(
                Said("standard deviation at one place, {place}", place=place), "s = sqrt(sum s_i^2)",
                f"{len([e for e in model.effects[:, worst] if e])} variables", _rounded(model.deviations[worst]), "mm",
                "sum of variances",
            ),
            Step(
                "mean of the least wall of a mould", "mean of min(e)",
                f"{found.count} moulds sampled, seed {found.seed}",
                found.mean, "mm", "sampling",
            ),
            Step("5 % quantile of the least wall", "P(min e < q) = 0.05", "the same", found.low5, "mm", "sampling"),
            Step("1 % quantile of the least wall", "P(min e < q) = 0.01", "the same", found.low1, "mm", "sampling"),
            Step(
                "moulds whose least wall is below the one asked for", "P(min e < e_asked)",
                f"{plain(least_wall)} mm", found.below_least, "-", "sampling",
            ),
            Step(
                "moulds whose least wall is below what is accepted", "P(min e < e_asked - undersize)",
                f"{plain(least_wall)} mm - {plain(shop.allowed_undersize)} mm", found.below_accepted, "-", "sampling",
            ),
            Step(
                Said("tighten first: {cause}; {first_aid}", cause=first.cause,
                     first_aid=_FIRST_AID[first.cause]), "q(half the limits) - q",
                "same samples", first.gain, "mm", "sampling",
            ),
        ),
        (_share_table(found), _limit_table(model), _place_table(model)),
        (
            Verdict(
                "4.10", "least cast wall that 95 of 100 moulds keep", found.low5, accepted, Operator.AT_LEAST, "mm",
                Said("{place} most often; {cause} counts most", place=found.place, cause=found.governs.cause),
                "sampling of EN 10051, ISO 9013 and ISO 13920 limits",
            ),
        ),
        (
            "Measure the empty mould before the first cast: box, core, both diagonals, and the gap at all four walls.",
            "The first filter shows the walls that the mould makes: measure it before you pay for or repeat a mould.",
        ),
    )  # fmt: skip


def _share_table(found: WallSample) -> ResultTable:
    return ResultTable(
        "What makes the least wall vary",
        (
            "cause",
            Said("greatest effect at {place}, mm", place=found.place),
            "share of the variance",
            "5 % quantile gains if halved, mm",
        ),
        tuple((s.cause.value, round(s.effect, 3), round(s.share, 3), round(s.gain, 3)) for s in found.shares),
        "What the shares lack to 1 is the change of the place that is least.",
    )


def _limit_table(model: WallModel) -> ResultTable:
    """Every variable but the flatness of each place, which is given once for the rim and once for the rest."""
    rows: dict[tuple[str, str], tuple[str | Mm, ...]] = {}
    for v in model.variables:
        name = v.row or v.name
        rows.setdefault((v.cause, name), (v.cause.value, name, round(v.limit, 3), v.source))
    return ResultTable("Limits", ("cause", "what", "limit, +- mm", "source"), tuple(rows.values()))


def _place_table(model: WallModel) -> ResultTable:
    rows = zip(model.places, model.drawn, model.bulge, model.worst, model.deviations, strict=True)
    return ResultTable(
        "Wall by place",
        ("place", "height, mm", "designed, mm", "bulge, mm", "worst case, mm", "standard deviation, mm"),
        tuple(
            (p.words, round(p.z, 1), round(e, 2), round(b, 2), round(float(w), 2), round(float(s), 2))
            for p, e, b, w, s in rows
        ),
        "Heights in the casting frame.",
    )
