"""Two moulds beside each other: what differs in the specification, part by part, in mass, bolts, checks and cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from mouldgeom.fabrication.objective import WholeCost
from mouldgeom.front.answers import judged_text
from mouldgeom.front.showing import bars_svg
from mouldgeom.identity import PieceId
from mouldgeom.model.assembly import Mould, Piece
from mouldgeom.model.equality import same_bar, same_plate
from mouldgeom.model.shapes import Bar, Fastener, Part, Plate
from mouldgeom.outputs.job import Job
from mouldgeom.rich import html_table
from mouldgeom.spec import Difference
from mouldgeom.strength.book import requirements
from mouldgeom.units import Kg, plain
from mouldgeom.verdict import Verdict

MOVED: Final = "moved"
CUT: Final = "cut differently"
ADDED: Final = "added"
GONE: Final = "gone"


@dataclass(frozen=True)
class PieceDifference:
    """One piece that differs.

    Args:
        name: of the piece.
        what: ``"added"``, ``"gone"``, ``"cut differently"`` or only ``"moved"``.
        before, after: its size in words; empty where it is not there.
        mass: kilograms that it gained.
        holes: holes that it gained.
    """

    name: str
    what: str
    before: str
    after: str
    mass: Kg
    holes: int


@dataclass(frozen=True)
class CheckDifference:
    """One check of the calculation whose value or limit differs; ``None`` where a mould has no such check."""

    code: str
    title: str
    before: Verdict | None
    after: Verdict | None

    @property
    def turned(self) -> bool:
        """Whether it held before and fails now, or the other way round."""
        return self.before is not None and self.after is not None and self.before.holds != self.after.holds


@dataclass(frozen=True)
class MouldDifferences:
    """What differs in a second mould.

    >>> from mouldgeom import build
    >>> mould = build("hill-example")
    >>> found = mould.differences(build(mould.spec.changed({"filter.least_wall": 50})))
    >>> found.fields[0].name, found.mass > 0, found.bolts
    ('filter.least_wall', True, 0)

    Args:
        fields: of the specification.
        pieces: plates and bars, by name.
        fasteners: how many more of each, by name; less than nothing for fewer.
        checks: of the calculation.
        mass: kilograms of steel that it gained.
        bolts: bolts that it gained.
        costs: cost of each and of its use over its life, by relative weights.
    """

    fields: tuple[Difference, ...]
    pieces: tuple[PieceDifference, ...]
    fasteners: tuple[tuple[str, int], ...]
    checks: tuple[CheckDifference, ...]
    mass: Kg
    bolts: int
    costs: tuple[WholeCost, WholeCost]

    def __bool__(self) -> bool:
        return bool(self.fields or self.pieces or self.fasteners or self.checks)

    def record(self) -> dict[str, Any]:
        """As one JSON object; keys end in their unit."""
        return {
            "fields": [
                {"name": one.name, "before": one.before, "after": one.after, "unit": one.unit} for one in self.fields
            ],
            "pieces": [
                {
                    "name": one.name,
                    "what": one.what,
                    "before": one.before,
                    "after": one.after,
                    "mass_kg": round(one.mass, 3),
                    "holes": one.holes,
                }
                for one in self.pieces
            ],
            "fasteners": dict(self.fasteners),
            "checks": [
                {
                    "code": one.code,
                    "title": one.title,
                    "before": one.before and one.before.record(),
                    "after": one.after and one.after.record(),
                }
                for one in self.checks
            ],
            "mass_kg": round(self.mass, 3),
            "bolts": self.bolts,
            "over_its_life": dict(zip(("before", "after"), (cost.record() for cost in self.costs), strict=True)),
        }

    def text(self) -> str:
        """The differences, a line each."""
        return "\n".join(self._lines())

    def _lines(self) -> Iterator[str]:
        for field in self.fields:
            unit = "" if field.unit == "-" else f" {field.unit}"
            yield f"{field.name}: {_told(field.before)} -> {_told(field.after)}{unit}"
        alike: dict[tuple[object, ...], list[PieceDifference]] = {}
        for one in self.pieces:
            if one.what != MOVED:
                alike.setdefault((one.what, one.before, one.after, round(one.mass, 6), one.holes), []).append(one)
        for group in alike.values():
            one = group[0]
            sizes = " -> ".join(filter(None, dict.fromkeys((one.before, one.after))))
            names = "; ".join(same.name for same in group)
            yield f"{names}: {one.what}, {sizes}, {one.mass:+.2f} kg, {one.holes:+d} holes"
        moved = [one.name for one in self.pieces if one.what == MOVED]
        if moved:
            yield f"only moved: {'; '.join(moved)}"
        for name, count in self.fasteners:
            yield f"{name}: {count:+d}"
        for check in self.checks:
            if check.turned and check.after is not None:
                yield f"check {check.code} {check.title}: {'holds' if check.after.holds else 'fails'} now"
        yield f"{self.mass:+.1f} kg of steel, {self.bolts:+d} bolts, {len(self.checks)} checks with other numbers"
        before, after = self.costs
        gained = ", ".join(f"{name} {part - before.parts[name]:+,.1f}" for name, part in after.parts.items())
        yield f"mould and use over its life: {after.total - before.total:+,.1f} {after.unit} ({gained})"

    def __repr__(self) -> str:
        return (
            f"<Differences: {len(self.fields)} fields, {len(self.pieces)} pieces, {self.mass:+.1f} kg, "
            f"{self.bolts:+d} bolts, {len(self.checks)} checks>"
        )

    def _repr_html_(self) -> str:
        fields = html_table(
            ("field", "before", "after", "unit"),
            ((f.name, _told(f.before), _told(f.after), f.unit) for f in self.fields),
            caption="specification",
        )
        pieces = html_table(
            ("piece", "what", "before", "after", "kg", "holes"),
            ((p.name, p.what, p.before, p.after, f"{p.mass:+.2f}", f"{p.holes:+d}") for p in self.pieces),
            caption=repr(self)[1:-1],
        )
        checks = html_table(
            ("check", "of", "before", "after"),
            ((c.code, c.title, _judged(c.before), _judged(c.after)) for c in self.checks),
            caption="checks of the calculation",
        )
        before, after = self.costs
        costs = html_table(
            (f"mould and use, {after.unit}", "before", "after"),
            [(name, f"{before.parts[name]:,.1f}", f"{part:,.1f}") for name, part in after.parts.items()],
            caption=f"{before.total:,.1f} over {before.life:,.0f} casts, {after.total:,.1f} over {after.life:,.0f}",
        )
        gained = [(p.name, p.mass, f"{p.mass:+.2f} kg") for p in self.pieces if abs(p.mass) >= 0.005]
        picture = bars_svg("Steel that each piece gained", gained) if gained else ""
        return fields + picture + pieces + checks + costs


def differences(before: Job, after: Job) -> MouldDifferences:
    """What differs in the second of two moulds."""
    one, other = before.mould, after.mould
    return MouldDifferences(
        one.dims.spec.differences(other.dims.spec),
        tuple(_pieces(one, other)),
        tuple(_fasteners(one, other)),
        tuple(_checks(requirements(before.chapters), requirements(after.chapters))),
        other.steel_mass - one.steel_mass,
        other.bolt_count - one.bolt_count,
        (before.objective, after.objective),
    )


def _by_id(mould: Mould) -> dict[PieceId, Piece]:
    return {piece.id: piece for piece in mould.pieces() if not isinstance(piece.part, Fastener)}


def _pieces(one: Mould, other: Mould) -> Iterator[PieceDifference]:
    before, after = _by_id(one), _by_id(other)
    for piece in dict.fromkeys((*before, *after)):
        old, new = before.get(piece), after.get(piece)
        mass = (other.mass(new.part) if new else 0.0) - (one.mass(old.part) if old else 0.0)
        holes = (_holes(new.part) if new else 0) - (_holes(old.part) if old else 0)
        sizes = (size_text(old.part) if old else "", size_text(new.part) if new else "")
        if old is None or new is None:
            yield PieceDifference(piece.name, ADDED if old is None else GONE, *sizes, mass, holes)
        elif not _same(old.part, new.part):
            yield PieceDifference(piece.name, CUT, *sizes, mass, holes)
        elif old.placement != new.placement:
            yield PieceDifference(piece.name, MOVED, *sizes, mass, holes)


def _same(one: Part, other: Part) -> bool:
    if isinstance(one, Plate) and isinstance(other, Plate):
        return same_plate(one, other) is not None
    return isinstance(one, Bar) and isinstance(other, Bar) and same_bar(one, other) is not None


def _holes(part: Part) -> int:
    return 0 if isinstance(part, Fastener) else len(part.holes)


def size_text(part: Part) -> str:
    """Size of a plate or bar in words: ``"364 x 886.3 mm, 3 mm"``, ``"40x40x4, 350 mm long"``."""
    if isinstance(part, Plate):
        x0, y0, x1, y1 = part.outline.bounds
        return f"{plain(round(x1 - x0, 1))} x {plain(round(y1 - y0, 1))} mm of {part.sheet}"
    if isinstance(part, Bar):
        return f"{part.section}, {plain(round(part.length, 1))} mm long"
    return part.name


def _fasteners(one: Mould, other: Mould) -> Iterator[tuple[str, int]]:
    def counted(parts: Iterable[Fastener]) -> Counter[str]:
        return Counter({part.name: part.quantity for part in parts})

    before, after = counted(one.fasteners), counted(other.fasteners)
    for name in dict.fromkeys((*before, *after)):
        if after[name] != before[name]:
            yield name, after[name] - before[name]


def _checks(one: tuple[Verdict, ...], other: tuple[Verdict, ...]) -> Iterator[CheckDifference]:
    def keyed(verdicts: tuple[Verdict, ...]) -> dict[tuple[str, str, int], Verdict]:
        seen: Counter[tuple[str, str]] = Counter()
        found = {}
        for verdict in verdicts:
            key = (verdict.code, verdict.title)
            found[(*key, seen[key])] = verdict
            seen[key] += 1
        return found

    before, after = keyed(one), keyed(other)
    for key in dict.fromkeys((*before, *after)):
        old, new = before.get(key), after.get(key)
        if old is None or new is None or (old.value, old.limit) != (new.value, new.limit):
            yield CheckDifference(key[0], key[1], old, new)


def _told(value: object) -> str:
    return plain(value) if isinstance(value, int | float) and not isinstance(value, bool) else str(value)


def _judged(verdict: Verdict | None) -> str:
    return "" if verdict is None else judged_text(verdict)
