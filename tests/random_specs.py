"""Specifications over the whole allowed range, for property tests.

Most fields of a whole random specification disagree with each other, so a share of the fields keeps its default and
another share stays near it: the mixture reaches every limit of every field, and still a good part of it can be built.
The strategy walks the groups of the specification; a choice is drawn by its field's name, and keeps its default if
this file does not know it.
"""

from __future__ import annotations

import os
from typing import Any, Final

import hypothesis.strategies as st
from hypothesis import Phase, settings
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from mouldgeom import tables
from mouldgeom.spec import Spec, groups, limits_of

_CHOICES: Final[dict[str, list[Any]]] = {
    "shell": ["3 mm", "3.2 mm", "4 mm", "5 mm", "11 gauge MSG", "1/8 in", "10 gauge MSG", "3/16 in"],
    "ledge": ["3 mm", "5 mm", "6 mm", "8 mm", "12 mm", "1/4 in", "1/2 in"],
    "base": ["5 mm", "6 mm", "8 mm", "12 mm", "10 gauge MSG", "1/4 in", "1/2 in"],
    "angle": [a.designation for a in tables.angles()],
    "square_tube": [t.designation for t in tables.square_tubes()],
    "rod": [r.designation for r in tables.rods()],
    "bolt": ["M6", "M8", "M10", "M12", "M14", "1/4-20", "5/16-18", "3/8-16", "1/2-13"],
    "jack_screw": ["M16", "M20", "M24", "M30", "3/4-10", "1-8"],
    "grade": ["S235", "S275", "S355", "Q235", "SS400", "A36", "A1011 SS 36"],
    "cutting": ["plasma", "laser", "oxyfuel"],
    "kerf_compensation": [False, True],
    "pressure": ["liquid head", "ACI 347", "CIRIA 108", "DIN 18218"],
    "consistency": ["stiff", "plastic", "soft", "flowing"],
    "bolt_class": ["4.6", "5.8", "8.8", "10.9", "grade 2", "grade 5", "unmarked"],
    "screw_class": ["4.6", "5.8", "8.8", "10.9", "grade 2", "grade 8", "unmarked"],
    "weld_class": ["A", "B", "C", "D"],
    "flatness_class": ["E", "F", "G", "H"],
    "team": [1, 2, 3, 4],
    "paper": ["A3", "A4", "tabloid", "letter"],
    "projection": ["first angle", "third angle"],
    "paper_units": ["mm", "inches", "both"],
    "language": ["en", "fr", "es"],
    "joint_seal": ["none", "tape", "clay"],
    "hole_method": ["full-size", "pilot", "centre-mark"],
}
_SHARES: Final = (0.1, 0.3, 0.6, 1.0)
"""Shares of the fields that leave their defaults."""
_NEARNESS: Final = (0.2, 0.5, 1.0)
"""How far towards its limits a number goes that leaves its default."""

NO_SHRINKING: Final = (Phase.explicit, Phase.reuse, Phase.generate)
"""For tests whose examples take seconds each."""


def differences(spec: Spec) -> dict[str, Any]:
    """What a specification has other than the defaults, to print and to paste into a test."""
    found: dict[str, Any] = {}
    for name, model in groups():
        for field, info in model.model_fields.items():
            value = getattr(getattr(spec, name), field)
            if value != info.default:
                found[f"{name}.{field}"] = value
    return found


def changed(spec: Spec, changes: dict[str, Any]) -> Spec:
    """The specification with some fields changed, by ``group.field``, checked like one that is read from a file."""
    data = spec.model_dump(mode="json")
    for path, value in changes.items():
        group, field = path.split(".")
        data[group][field] = value
    return Spec.model_validate(data)


def numeric_fields() -> list[tuple[str, type[BaseModel], FieldInfo]]:
    """Path, group and field of every number in the specification."""
    return [
        (f"{name}.{field}", model, info)
        for name, model in groups()
        for field, info in model.model_fields.items()
        if limits_of(info) is not None
    ]


@st.composite
def specs(draw: st.DrawFn, *, near: float = 1.0) -> Spec:
    """A specification whose numbers run over their ranges, or a share ``near`` of them around the defaults."""
    share = draw(st.sampled_from(_SHARES))
    data: dict[str, dict[str, object]] = {}
    for name, model in groups():
        fields: dict[str, object] = {}
        for field, info in model.model_fields.items():
            limits = limits_of(info)
            if draw(st.floats(0, 1, exclude_max=True)) >= share:
                continue
            if limits is None:
                if field in _CHOICES:
                    fields[field] = draw(st.sampled_from([info.default, *_CHOICES[field]]))
                continue
            reach = near * draw(st.sampled_from(_NEARNESS))
            low, high = (info.default + reach * (limit - info.default) for limit in limits)
            fields[field] = round(draw(st.one_of(st.just(info.default), st.floats(low, high))), 3)
        data[name] = fields
    return Spec.model_validate({"title": "random", **data})


TIMES: Final = int(os.environ.get("MOULDGEOM_EXAMPLES", "1"))
"""How many times as many examples are drawn; ``.ci/long`` asks for more."""
LONG: Final = TIMES > 1
"""Whether every combination is gone through where a part of them is enough for one run."""


def profile(examples: int, *, shrink: bool = True) -> settings:
    """Settings of a property test; a failure prints the blob that reproduces it, and the seed in the header."""
    phases = tuple(Phase) if shrink else NO_SHRINKING
    return settings(max_examples=TIMES * examples, deadline=None, print_blob=True, phases=phases)
