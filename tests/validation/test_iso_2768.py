"""General tolerances of linear dimensions against ISO 2768-1:1989, Table 1.  Printed values, compared for equality."""

from __future__ import annotations

import pytest

from mouldgeom import tables
from mouldgeom.errors import TableError

PRINTED: dict[tuple[float, float], tuple[float | None, ...]] = {
    (6, 30): (0.1, 0.2, 0.5, 1),
    (30, 120): (0.15, 0.3, 0.8, 1.5),
    (120, 400): (0.2, 0.5, 1.2, 2.5),
    (400, 1000): (0.3, 0.8, 2, 4),
    (2000, 4000): (None, 2, 4, 8),
}
FROM_MEMORY: dict[tuple[float, float], tuple[float | None, ...]] = {
    (0.5, 3): (0.05, 0.1, 0.2, None),
    (3, 6): (0.05, 0.1, 0.3, 0.5),
    (1000, 2000): (0.5, 1.2, 3, 6),
}


@pytest.mark.parametrize(("over", "to"), [*PRINTED, *FROM_MEMORY])
def test_rows(over: float, to: float) -> None:
    """Over the lower limit up to and with the upper one; the first, second and seventh range are from memory."""
    for name, value in zip("fmcv", (PRINTED | FROM_MEMORY)[over, to], strict=True):
        for nominal in (over + 1e-6, (over + to) / 2, to):
            if value is None:
                with pytest.raises(TableError, match="blank"):
                    tables.general_tolerance(nominal, name)
            else:
                assert tables.general_tolerance(nominal, name) == value
                assert tables.general_tolerance(nominal, f" {name.upper()} ") == value


def test_the_first_range_takes_its_lower_limit_in() -> None:
    assert tables.general_tolerance(0.5, "m") == 0.1


@pytest.mark.parametrize(("nominal", "name"), [(0.49, "m"), (4000.1, "m"), (100, "k"), (-1, "c"), (float("nan"), "m")])
def test_outside_the_table(nominal: float, name: str) -> None:
    with pytest.raises(TableError, match="outside the table"):
        tables.general_tolerance(nominal, name)
