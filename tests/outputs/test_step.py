"""STEP files: the same bytes each time, and what another reader gets out of them."""

from __future__ import annotations

import math
import os
import random
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import cadquery as cq
import pytest
from conftest import ROOT
from hypothesis import given
from hypothesis import strategies as st
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopoDS import TopoDS_Solid
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
from random_specs import profile
from steputils import p21

from mouldgeom.errors import FolderError, GeometryError, InputError, KernelError
from mouldgeom.outputs import step
from mouldgeom.outputs.step import Placement, StepPart, step_bytes, write_step

pytestmark = pytest.mark.slow(seconds=15)

# Simple parts whose volumes are known in closed form


def at(x: float, y: float, z: float, *, roll: float = 0.0, pitch: float = 0.0, yaw: float = 0.0) -> Placement:
    """Rotation about x, then y, then z (radians), then a shift (mm)."""
    (ca, sa), (cb, sb), (cc, sc) = ((math.cos(a), math.sin(a)) for a in (roll, pitch, yaw))
    return (
        (cc * cb, cc * sb * sa - sc * ca, cc * sb * ca + sc * sa, x),
        (sc * cb, sc * sb * sa + cc * ca, sc * sb * ca - cc * sa, y),
        (-sb, cb * sa, cb * ca, z),
        (0.0, 0.0, 0.0, 1.0),
    )


def shape_of(work: cq.Workplane) -> cq.Shape:
    shape = work.val()
    assert isinstance(shape, cq.Shape)
    return shape


def plate() -> cq.Shape:
    """300 x 200 x 3, six holes of 9."""
    return shape_of(cq.Workplane().box(300, 200, 3).faces(">Z").workplane().rarray(100, 150, 3, 2).hole(9))


def prism() -> cq.Shape:
    """A trapezoid of 120 and 80, 60 high, 5 thick."""
    return shape_of(cq.Workplane().polyline([(0, 0), (120, 0), (100, 60), (20, 60)]).close().extrude(5))


def angle() -> cq.Shape:
    """An angle 60 x 60 x 5, root radius 6, toe radii 3, 400 long."""
    outline = cq.Workplane().polyline([(0, 0), (60, 0), (60, 5), (5, 5), (5, 60), (0, 60)]).close()
    bar = outline.extrude(400)
    for x, y, radius in ((5, 5, 6), (60, 5, 3), (5, 60, 3)):
        nearest = cq.selectors.NearestToPointSelector((x, y, 200))  # type: ignore[no-untyped-call]  # the library leaves it untyped
        bar = bar.edges(nearest).fillet(radius)
    return shape_of(bar)


def tube() -> cq.Shape:
    """A half circle of tube 20 x 2, bent at a radius of 50 to its middle."""
    path = cq.Workplane("XY").threePointArc((50, 50), (100, 0))
    return shape_of(cq.Workplane("XZ").circle(10).circle(8).sweep(path))


VOLUMES = {
    "A1": 300 * 200 * 3 - 6 * math.pi * 4.5**2 * 3,
    "B2": (120 + 80) / 2 * 60 * 5,
    "C3": 400 * (60 * 5 + 55 * 5 + (1 - math.pi / 4) * (6**2 - 2 * 3**2)),
    "D4": math.pi * (10**2 - 8**2) * math.pi * 50,  # Pappus
}


@cache
def parts() -> tuple[StepPart, ...]:
    turned = at(10, 20, 30, yaw=math.pi / 2)
    tilted = at(-250.5, 0, 1000, roll=0.1, pitch=-0.05, yaw=2.5)
    return (
        StepPart("A1", (0.8, 0.2, 0.1), plate(), (at(0, 0, 0), turned, tilted)),
        StepPart("B2", (0.1, 0.3, 0.9), prism(), (tilted,)),
        StepPart("C3", (1.0, 0.0, 0.0), angle(), (turned, at(0, 0, -500))),
        StepPart("D4", (0.8, 0.2, 0.1), tube(), (at(0, 0, 700, pitch=1.0),)),
    )


@cache
def content() -> bytes:
    return step_bytes(parts(), "mould")


# A reader of its own


@dataclass(frozen=True)
class Instance:
    name: str
    product: str
    placement: Placement
    shape: cq.Shape
    colour: tuple[float, float, float] | None


def label_name(label: TDF_Label) -> str:
    name = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
    return str(name.Get().ToExtString())


def children(label: TDF_Label) -> Iterator[TDF_Label]:
    found = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetComponents_s(label, found)
    yield from (found.Value(number) for number in range(1, found.Length() + 1))


def read_back(data: bytes, folder: Path) -> tuple[str, list[Instance]]:
    """Root name and instances, by the kernel's reader."""
    path = folder / "read.step"
    path.write_bytes(data)
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    assert reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    roots = TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    assert roots.Length() == 1
    instances = []
    for component in children(roots.Value(1)):
        product = TDF_Label()
        assert XCAFDoc_ShapeTool.GetReferredShape_s(component, product)
        movement = XCAFDoc_ShapeTool.GetLocation_s(component).Transformation()
        rows = tuple(tuple(movement.Value(row, column) for column in range(1, 5)) for row in range(1, 4))
        shape = cq.Shape.cast(XCAFDoc_ShapeTool.GetShape_s(product))
        colour = Quantity_Color()
        seen = all(
            colours.GetColor(solid.wrapped, XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour) for solid in shape.Solids()
        )
        shares = colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
        placement = (*rows, (0.0, 0.0, 0.0, 1.0))
        instances.append(
            Instance(label_name(component), label_name(product), placement, shape, tuple(shares) if seen else None)
        )
    return label_name(roots.Value(1)), instances


def test_names_colours_volumes_and_places_come_back(tmp_path: Path) -> None:
    root, instances = read_back(content(), tmp_path)
    assert root == "mould"
    assert [(found.name, found.product) for found in instances] == [
        ("A1.1", "A1"),
        ("A1.2", "A1"),
        ("A1.3", "A1"),
        ("B2.1", "B2"),
        ("C3.1", "C3"),
        ("C3.2", "C3"),
        ("D4.1", "D4"),
    ]
    given_places = [(part, placement) for part in parts() for placement in part.placements]
    for found, (part, placement) in zip(instances, given_places, strict=True):
        assert found.colour == pytest.approx(part.colour, abs=0.01)
        assert found.shape.isValid()
        assert found.shape.Volume() == pytest.approx(VOLUMES[part.name], rel=1e-6)
        assert found.shape.Center().toTuple() == pytest.approx(part.shape.Center().toTuple(), abs=1e-6)
        for row, expected in zip(found.placement, placement, strict=True):
            assert row == pytest.approx(expected, abs=1e-9)


def test_all_instances_stand_where_the_casting_frame_says(tmp_path: Path) -> None:
    """Extent of the whole, by the plain importer: it knows nothing of products."""
    path = tmp_path / "whole.step"
    corner = cq.Solid.makeBox(10, 20, 30)
    write_step(path, [StepPart("K1", (0, 0, 1), corner, (at(0, 0, 0), at(100, 50, 0, yaw=math.pi / 2)))], "two")
    whole = shape_of(cq.importers.importStep(str(path)))
    box = whole.BoundingBox()
    assert whole.Volume() == pytest.approx(2 * 10 * 20 * 30)
    assert (box.xmin, box.ymin, box.zmin) == pytest.approx((0, 0, 0), abs=1e-6)
    assert (box.xmax, box.ymax, box.zmax) == pytest.approx((100, 60, 30), abs=1e-6)


@profile(15)
@given(
    angles=st.tuples(*[st.floats(-math.pi, math.pi)] * 3),
    shift=st.tuples(*[st.floats(-5000, 5000)] * 3),
)
def test_any_rigid_placement_comes_back(
    angles: tuple[float, float, float], shift: tuple[float, float, float], tmp_path_factory: pytest.TempPathFactory
) -> None:
    roll, pitch, yaw = angles
    placement = at(*shift, roll=roll, pitch=pitch, yaw=yaw)
    part = StepPart("A1", (0.5, 0.5, 0.5), cq.Solid.makeBox(1, 2, 3), (placement,))
    _, [found] = read_back(step_bytes([part], "one"), tmp_path_factory.mktemp("place"))
    for row, expected in zip(found.placement, placement, strict=True):
        assert row == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_two_marks_of_one_shape_stay_two_products(tmp_path: Path) -> None:
    """The kernel would make one product of a shape that is given twice."""
    box = cq.Solid.makeBox(1, 2, 3)
    moved = box.moved(cq.Location((7, 0, 0), (0, 0, 1), 90))
    pair = cq.Compound.makeCompound([box, moved])
    here = (at(0, 0, 0),)
    given_parts = [
        StepPart("A1", (1, 0, 0), box, here),
        StepPart("A2", (0, 1, 0), box, here),
        StepPart("A3", (0, 0, 1), moved, here),
        StepPart("A4", (1, 1, 0), pair, here),
    ]
    _, found = read_back(step_bytes(given_parts, "same"), tmp_path)
    assert [instance.product for instance in found] == ["A1", "A2", "A3", "A4"]
    assert [instance.shape.Volume() for instance in found] == pytest.approx([6, 6, 6, 12])
    for instance, part in zip(found, given_parts, strict=True):
        assert instance.colour == pytest.approx(part.colour, abs=0.01)
        assert instance.shape.Center().toTuple() == pytest.approx(part.shape.Center().toTuple())


def test_marks_of_any_length_and_sign_come_back(tmp_path: Path) -> None:
    """The kernel breaks lines within strings, between the two apostrophes of one too."""
    here = (at(0, 0, 0),)
    names = ["x" * length + "it''s; a = #12\\ (b)  end" for length in range(40, 76)] + ["y" * 300]
    box = cq.Solid.makeBox(1, 2, 3)
    data = step_bytes([StepPart(name, (0, 0, 0), box, here) for name in names], "O'Neil \\ ENDSEC; DATA;")
    root, found = read_back(data, tmp_path)
    assert root == "O'Neil \\ ENDSEC; DATA;"
    assert [instance.product for instance in found] == names
    assert [instance.name for instance in found] == [f"{name}.1" for name in names]


# Bytes


def write_elsewhere(folder: Path, before: str, **environment: str) -> bytes:
    """The same file from a process of its own, in a folder of its own; nothing may be printed."""
    folder.mkdir()
    code = "; ".join(
        [
            "import test_step as t",
            "from pathlib import Path",
            before,
            "t.write_step(Path('out.step'), t.parts(), 'mould')",
        ]
    )
    roots = [str(Path(__file__).parent), str(ROOT / "tests"), str(ROOT)]
    process = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(roots), **environment},
        capture_output=True,
        check=False,
    )
    assert (process.returncode, process.stdout) == (0, b""), process.stderr.decode()
    return (folder / "out.step").read_bytes()


def test_bytes_are_the_same_in_other_processes(tmp_path: Path) -> None:
    first = write_elsewhere(tmp_path / "a", "pass", PYTHONHASHSEED="1", TZ="UTC")
    second = write_elsewhere(
        tmp_path / "deeper folder",
        "junk = [bytearray(n % 977) for n in range(20000)]; t.step_bytes(t.parts()[::-1], 'other')",
        PYTHONHASHSEED="4242",
        TZ="Pacific/Kiritimati",
        LC_ALL="C",
    )
    assert first == second == content()


def test_bytes_are_the_same_again_in_one_process() -> None:
    step_bytes(parts()[1:], "other")
    for part in parts():
        part.shape.tessellate(0.5)  # a mesh on the shape must not reach the file
    assert step_bytes(list(parts()), "mould") == content()


def test_shapes_made_anew_give_the_same_bytes() -> None:
    makers = (plate, prism, angle, tube)
    anew = [replace(part, shape=make()) for part, make in zip(parts(), makers, strict=True)]
    assert step_bytes(anew, "mould") == content()


def test_settings_of_the_process_neither_matter_nor_change() -> None:
    foreign = {"write.step.schema": "AP242DIS", "write.step.unit": "INCH", "write.surfacecurve.mode": "On"}
    before = {key: Interface_Static.CVal_s(key) for key in foreign}
    try:
        for key, value in foreign.items():
            assert Interface_Static.SetCVal_s(key, value)
        assert step_bytes(parts(), "mould") == content()
        assert {key: Interface_Static.CVal_s(key) for key in foreign} == foreign
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)


@profile(25)
@given(seed=st.integers(0, 2**32))
def test_numbers_and_order_of_colours_do_not_matter(seed: int) -> None:
    """What the kernel varies, varied on purpose: entity numbers, and the order of presentations and of their items."""
    _, entities = step._read(content().decode())
    chance = random.Random(seed)
    shown = [number for number, entity in entities.items() if entity.startswith(step._PRESENTATION)]
    styled = [number for number, entity in entities.items() if entity.startswith("STYLED_ITEM")]
    assert len(shown) == len(styled) == len(parts())
    # One presentation of all, so that its items can be shuffled, beside one each.
    entities[shown[0]] = re.sub(r"\(#\d+\)", f"({','.join(styled)})", entities[shown[0]])
    expected = step._canonical(entities)
    chance.shuffle(styled)
    entities[shown[0]] = re.sub(r"\(#[\d,#]+\)", f"({','.join(styled)})", entities[shown[0]])
    chance.shuffle(shown)
    geometry = [number for number in entities if number not in shown]
    shuffled = {number: entities[number] for number in (*geometry, *shown)}
    numbers = chance.sample(range(1, 10 * len(entities)), len(entities))
    names = {number: f"#{new}" for number, new in zip(entities, numbers, strict=True)}
    assert step._canonical({names[n]: step._renamed(entity, names) for n, entity in shuffled.items()}) == expected


# Syntax, by a parser that has nothing to do with the kernel


def every_reference(value: object) -> Iterator[str]:
    if isinstance(value, p21.Reference):
        yield str(value)
    elif isinstance(value, p21.TypedParameter):
        yield from every_reference(value.param)
    elif isinstance(value, tuple):
        for item in value:
            yield from every_reference(item)


def test_another_parser_reads_every_entity() -> None:
    text = content().decode("ascii")
    file = p21.loads(text)
    [section] = file.data
    statements = [line for line in text.splitlines() if line.startswith("#")]
    assert len(section) == len(statements)
    assert list(section.references()) == [f"#{number}" for number in range(1, len(statements) + 1)]
    entities = [
        (instance.ref, entity)
        for instance in file
        for entity in (instance.entities if p21.is_complex_entity_instance(instance) else [instance.entity])
    ]
    used = {reference for _, entity in entities for reference in every_reference(entity.params)}
    assert used <= set(section.references())
    assert len(used) > len(statements) / 2

    def parameters(kind: str) -> list[tuple[object, ...]]:
        return [entity.params for _, entity in entities if entity.name == kind]

    assert [product[0] for product in parameters("PRODUCT")] == ["mould", "A1", "B2", "C3", "D4"]
    assert [usage[:2] for usage in parameters("NEXT_ASSEMBLY_USAGE_OCCURRENCE")] == [
        (str(number), name)
        for number, name in enumerate(["A1.1", "A1.2", "A1.3", "B2.1", "C3.1", "C3.2", "D4.1"], start=1)
    ]
    assert len(parameters("MANIFOLD_SOLID_BREP")) == len(parts())
    assert all(unit == (".MILLI.", ".METRE.") for unit in parameters("SI_UNIT") if unit[1] == ".METRE.")


def test_header_tells_no_time_path_or_person() -> None:
    head = content().decode().split("DATA;")[0].splitlines()
    assert head == [
        "ISO-10303-21;",
        "HEADER;",
        "FILE_DESCRIPTION(('solids in millimetres'),'2;1');",
        "FILE_NAME('mould','1970-01-01T00:00:00',(''),(''),'mouldgeom','mouldgeom','');",
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));",
        "ENDSEC;",
    ]
    assert content().endswith(b";\nENDSEC;\nEND-ISO-10303-21;\n")
    assert b"\r" not in content()
    assert b"CASCADE" not in content()


# Messages and errors


def test_kernel_is_silent_and_speaks_again_afterwards(capfd: pytest.CaptureFixture[str]) -> None:
    messenger = Message.DefaultMessenger_s()
    with step._kernel_state():
        messenger.Send("within", Message_Gravity.Message_Fail)
    step_bytes(parts(), "mould")
    assert capfd.readouterr() == ("", "")
    messenger.Send("afterwards", Message_Gravity.Message_Fail)
    assert "afterwards" in capfd.readouterr().out


def test_kernel_failure_names_the_part(capfd: pytest.CaptureFixture[str]) -> None:
    empty = cq.Solid.makeBox(1, 1, 1)
    empty.wrapped = TopoDS_Solid()
    face = cq.Face.makePlane(30, 20)
    none = cq.Compound.makeCompound([])
    for shape, extent in ((empty, "no extent"), (face, "20 x 30 x 0 mm"), (none, "no extent")):
        with pytest.raises(KernelError, match=re.escape(f"Z9 ({extent})")) as caught:
            step_bytes([*parts(), StepPart("Z9", (0, 0, 0), shape, (at(0, 0, 0),))], "mould")
        assert caught.value.mark == "Z9"
    assert capfd.readouterr().out == ""


def test_failure_of_the_whole_names_the_assembly(monkeypatch: pytest.MonkeyPatch) -> None:
    def lose(entities: object) -> list[str]:
        raise ValueError("lost")

    monkeypatch.setattr(step, "_canonical", lose)
    with pytest.raises(KernelError, match=re.escape("mould (4 parts)")):
        step_bytes(parts(), "mould")


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"name": "Pièce"}, "printable ASCII"),
        ({"name": ""}, "printable ASCII"),
        ({"name": "A\n1"}, "printable ASCII"),
        ({"name": "B2"}, "given 2 times"),
        ({"colour": (1.2, 0.0, 0.0)}, "from 0 to 1"),
        ({"colour": (math.nan, 0.0, 0.0)}, "from 0 to 1"),
        ({"placements": ()}, "at least one"),
    ],
)
def test_unusable_parts_are_refused(change: dict[str, object], message: str) -> None:
    first, *others = parts()
    with pytest.raises(InputError, match=message):
        step_bytes([replace(first, **change), *others], "mould")  # type: ignore[arg-type]  # fields by name


def test_an_assembly_needs_a_part_and_a_name() -> None:
    with pytest.raises(InputError, match="at least one part"):
        step_bytes([], "mould")
    with pytest.raises(InputError, match="printable ASCII"):
        step_bytes(parts(), "ሻጋታ")


@pytest.mark.parametrize(
    "placement",
    [
        pytest.param(((1, 0, 0, 0), (0, 1, 0, 0), (0, 0, -1, 0), (0, 0, 0, 1)), id="mirror"),
        pytest.param(((2, 0, 0, 0), (0, 2, 0, 0), (0, 0, 2, 0), (0, 0, 0, 1)), id="scale"),
        pytest.param(((1, 0.1, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)), id="shear"),
        pytest.param(((1, 0, 0, math.inf), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)), id="infinite"),
        pytest.param(((1, 0, 0, 0), (0, math.nan, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)), id="no number"),
        pytest.param(((1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (5, 0, 0, 1)), id="by columns"),
        pytest.param(((1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0)), id="three rows"),
    ],
)
def test_only_rigid_movements_are_placed(placement: Placement) -> None:
    with pytest.raises(GeometryError, match="placement 2 of A1"):
        step_bytes([replace(parts()[0], placements=(at(0, 0, 0), placement))], "mould")


def test_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FolderError, match="STEP file"):
        write_step(tmp_path / "none" / "mould.step", parts()[:1], "mould")
