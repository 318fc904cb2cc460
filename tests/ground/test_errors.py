"""Every error of this package can be copied and sent to another process, whole."""

from __future__ import annotations

import copy
import importlib
import pickle
import pkgutil
from collections.abc import Callable

import pytest

import mouldgeom
from mouldgeom.errors import (
    Copied,
    FolderError,
    GeometryError,
    InputError,
    KernelError,
    MeasurementError,
    MouldError,
    RenamedWarning,
    SpecError,
    TableError,
    UnknownDesignationError,
)
from mouldgeom.filter.candidates import Request
from mouldgeom.filter.changes import FilterChange, NoFilterError
from mouldgeom.filter.cures import CurableError, Cure
from mouldgeom.spec import load
from mouldgeom.writing import Stopped

FOUR = ("filter.floor", "3 mm", "allowed is 40 mm to 150 mm", "Choose a greater one.")
CHANGE = FilterChange("a charge of", "charge", 12.0, 9.0, "l")
SAMPLES: list[BaseException] = [
    RenamedWarning(["a is now called b"], "schema 1: "),
    MouldError("what went wrong"),
    InputError(*FOUR),
    SpecError(*FOUR),
    SpecError.together([SpecError(*FOUR), SpecError("tube.bore", *FOUR[1:])]),
    UnknownDesignationError(*FOUR),
    MeasurementError(*FOUR),
    FolderError(*FOUR),
    TableError("a column is missing"),
    GeometryError("no such shape"),
    KernelError("A1", "3 mm x 20 mm", "no face"),
    NoFilterError(Request(load("hill-example")), "the flow is too great", ("flow", "height"), (CHANGE,)),
    CurableError(*FOUR[:3], [Cure("a smaller bore", "tube.bore", 7.0)]),
    Stopped(15, "nothing was written"),
]
WAYS: dict[str, Callable[[BaseException], BaseException]] = {
    "pickle": lambda error: pickle.loads(pickle.dumps(error)),
    "copy": copy.copy,
    "deepcopy": copy.deepcopy,
}


def below(kind: type) -> set[type]:
    return {kind}.union(*(below(one) for one in kind.__subclasses__()))


def test_there_is_a_sample_of_every_error() -> None:
    for module in pkgutil.walk_packages(mouldgeom.__path__, "mouldgeom."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    own = {kind for kind in below(BaseException) | below(Copied) if kind.__module__.split(".")[0] == "mouldgeom"}
    assert own - {Copied} == {type(error) for error in SAMPLES}
    assert all(issubclass(kind, Copied) for kind in own)


def state(error: BaseException) -> dict[str, object]:
    """Its attributes, errors among them by what they say."""
    return {key: str(value) if key == "_several" else value for key, value in vars(error).items()}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("error", SAMPLES, ids=lambda error: type(error).__name__)
def test_an_error_comes_back_whole(error: BaseException, way: str) -> None:
    again = WAYS[way](error)
    assert type(again) is type(error)
    assert str(again) == str(error) != ""
    assert again.args == error.args
    assert state(again) == state(error)
    if isinstance(error, SpecError):
        assert isinstance(again, SpecError)
        assert [str(one) for one in again.errors] == [str(one) for one in error.errors]


def test_one_error_is_all_of_its_errors() -> None:
    error = SpecError(*FOUR)
    assert error.errors == (error,)
    assert SpecError.together([error]) is error
    both = SpecError.together([error, SpecError.together([error, error])])
    assert str(both) == f"3 fields are wrong: 1) {error} 2) {error} 3) {error}"
    assert both.errors == (error,) * 3
