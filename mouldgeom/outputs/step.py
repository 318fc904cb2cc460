"""Parts as one STEP file of the same bytes each time: a product for each mark, named, coloured, placed; millimetres.

The kernel's own text differs from run to run: a time and a name stand in its header, a counter of the whole process in
its usage ids, and its colours come in the order of memory addresses.  So its data section is read as tokens, the
entities are numbered afresh by what refers to what, and they are written one a line under a fixed header.

The bytes depend on the parts and on the kernel's version, and on nothing else.  The kernel's settings and printers are
shared by the whole process, so two threads must not write at the same time.

Source: ISO 10303-21 (clear text encoding, from memory); ISO 10303-214, the schema that the kernel writes by default.
"""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Final

import cadquery as cq
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy, BRepBuilderAPI_Transform
from OCP.gp import gp_Trsf
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

from mouldgeom.errors import FolderError, GeometryError, InputError, KernelError
from mouldgeom.units import Mm, Ratio, plain

Placement = tuple[tuple[Mm, ...], ...]
"""A rigid movement as a 4 x 4 matrix, row by row: no scale, no mirror; the shift (last column) in mm."""

ORIGINATING_SYSTEM: Final = "mouldgeom"
TIME_STAMP: Final = "1970-01-01T00:00:00"
"""Stands where the format asks for a time and allows no empty text; it means no time."""

_RIGID_TOLERANCE: Final = 1e-9
_SETTINGS: Final[Mapping[str, str]] = {
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    "write.precision.mode": "Average",
    "write.surfacecurve.mode": "Off",
    "write.step.assembly": "Auto",
    "write.step.nonmanifold": "Off",
    "write.step.tessellated": "Off",
    "write.step.vertex.mode": "Compound",
    "write.stepcaf.subshapes.name": "Off",
    "write.step.product.name": ORIGINATING_SYSTEM,
}
_SOLIDS: Final = frozenset({"MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS", "FACETED_BREP"})
_PRESENTATION: Final = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
_USAGE: Final = "NEXT_ASSEMBLY_USAGE_OCCURRENCE"

_STATEMENT: Final = re.compile(r"(#\d+)\s*=\s*((?:[^';]++|'[^']*+')*+);|(\S)")
_STRING_OR_REFERENCE: Final = re.compile(r"'(?:[^']|'')*'|#\d+")
_STRING_OR_BLANK: Final = re.compile(r"('(?:[^']|'')*')|\s+")


@dataclass(frozen=True)
class StepPart:
    """One mark: its shape once, and each place where it stands.

    Args:
        name: the mark, printable ASCII (``"A1"``); instances are named ``"A1.1"``, ``"A1.2"`` ...
        colour: red, green and blue as sRGB, each from 0 to 1.
        shape: one solid or several, in the part's own frame, mm.
        placements: from the part's own frame to the casting frame, one for each instance.
    """

    name: str
    colour: tuple[Ratio, Ratio, Ratio]
    shape: cq.Shape
    placements: tuple[Placement, ...]


def step_bytes(parts: Sequence[StepPart], root_name: str) -> bytes:
    """The STEP file of an assembly ``root_name`` (printable ASCII) of ``parts``.

    Raises:
        InputError: no parts, a mark used twice, a name that is not printable ASCII, a colour out of range, or a part
            that is placed nowhere.
        GeometryError: a placement that is no rigid movement.
        KernelError: the kernel failed, or wrote a part without its solids.
    """
    _check(parts, root_name)
    try:
        schema, entities = _read(_kernel_text(parts, root_name))
        _hold_solids(parts, entities)
        return _file(_canonical(entities), schema, root_name)
    except Exception as failure:  # the kernel's errors have no base of their own
        culprit = next((part for part in parts if not _writes_alone(part)), None)
        mark = root_name if culprit is None else culprit.name
        size = f"{len(parts)} parts" if culprit is None else _extent(culprit.shape)
        raise KernelError(mark, size, str(failure) or type(failure).__name__) from failure


def write_step(path: Path, parts: Sequence[StepPart], root_name: str) -> None:
    """Write ``step_bytes`` into a file; its folder must exist.

    Raises:
        FolderError: the file cannot be written.
        InputError, GeometryError, KernelError: as for ``step_bytes``.
    """
    content = step_bytes(parts, root_name)
    try:
        path.write_bytes(content)
    except OSError as failure:
        reason = failure.strerror or str(failure)
        raise FolderError("STEP file", str(path), reason, "Choose a folder that can be written to") from failure


# What is given


def _check(parts: Sequence[StepPart], root_name: str) -> None:
    if not parts:
        raise InputError("STEP parts", "none", "an assembly needs at least one part", "Give its parts")
    for name in (root_name, *(part.name for part in parts)):
        if not (name and name.isascii() and name.isprintable()):
            raise InputError("STEP name", repr(name), "must be printable ASCII", "Use a mark, not a translated word")
    for name, count in Counter(part.name for part in parts).items():
        if count > 1:
            raise InputError("STEP part", name, f"given {count} times", "Put all its placements into one part")
    for part in parts:
        if not all(0.0 <= share <= 1.0 for share in part.colour):
            raise InputError(f"colour of {part.name}", str(part.colour), "each share from 0 to 1", "Give sRGB shares")
        if not part.placements:
            raise InputError(f"placements of {part.name}", "none", "at least one", "Leave the part out instead")
        for number, placement in enumerate(part.placements, start=1):
            if not _is_rigid(placement):
                raise GeometryError(f"placement {number} of {part.name} is no rigid movement: {placement}")


def _is_rigid(placement: Placement) -> bool:
    if [len(row) for row in placement] != [4, 4, 4, 4] or tuple(placement[3]) != (0, 0, 0, 1):
        return False
    a, b, c = (row[:3] for row in placement[:3])
    across = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    dots = [sum(p * q for p, q in zip(u, v, strict=True)) for u, v in ((a, a), (b, b), (a, b))]
    errors = [dots[0] - 1, dots[1] - 1, dots[2], *(p - q for p, q in zip(across, c, strict=True))]
    shifts = [row[3] for row in placement[:3]]
    return all(abs(error) <= _RIGID_TOLERANCE for error in errors) and all(math.isfinite(shift) for shift in shifts)


def _extent(shape: cq.Shape) -> str:
    """Length, width and height of a shape in words."""
    try:
        box = shape.BoundingBox()
    except Exception:
        return "no extent"
    return " x ".join(plain(length) for length in (box.xlen, box.ylen, box.zlen)) + " mm"


# The kernel


@contextmanager
def _kernel_state() -> Iterator[None]:
    """Fixed settings and no messages (they would go to standard output); all put back afterwards."""
    STEPCAFControl_Controller.Init_s()
    before = {key: Interface_Static.CVal_s(key) for key in _SETTINGS}
    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        for key, value in _SETTINGS.items():
            if not Interface_Static.SetCVal_s(key, value):
                raise RuntimeError(f"no setting {key} = {value}")
        yield
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)
        for printer in printers:
            messenger.AddPrinter(printer)


def _own_shape(shape: cq.Shape) -> TopoDS_Shape:
    """A copy that shares nothing with another part (the kernel makes one product of shared shapes), at the origin."""
    wrapped = shape.wrapped
    if wrapped is None or wrapped.IsNull():
        raise ValueError("an empty shape")
    here = wrapped.Location()
    if here.IsIdentity():
        return BRepBuilderAPI_Copy(wrapped).Shape()
    return BRepBuilderAPI_Transform(wrapped.Located(TopLoc_Location()), here.Transformation(), True).Shape()


def _location(placement: Placement) -> TopLoc_Location:
    movement = gp_Trsf()
    movement.SetValues(*(number for row in placement[:3] for number in row))
    return TopLoc_Location(movement)


def _name(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))


def _document(parts: Sequence[StepPart], root_name: str) -> TDocStd_Document:
    """The kernel's document: a root, under it the products in their order, each with its instances."""
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    root = shapes.NewShape()
    _name(root, root_name)
    for part in parts:
        product = shapes.AddShape(_own_shape(part.shape), False)
        _name(product, part.name)
        colour = Quantity_Color(*part.colour, Quantity_TypeOfColor.Quantity_TOC_sRGB)
        colours.SetColor(product, colour, XCAFDoc_ColorType.XCAFDoc_ColorGen)
        for number, placement in enumerate(part.placements, start=1):
            _name(shapes.AddComponent(root, product, _location(placement)), f"{part.name}.{number}")
    shapes.UpdateAssemblies()
    return document


def _kernel_text(parts: Sequence[StepPart], root_name: str) -> str:
    """The STEP file as the kernel writes it."""
    with _kernel_state():
        document = _document(parts, root_name)
        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(True)
        for switch_off in (writer.SetLayerMode, writer.SetPropsMode, writer.SetMaterialMode, writer.SetDimTolMode):
            switch_off(False)
        if not writer.Transfer(document):
            raise RuntimeError("no transfer into STEP")
        stream = io.BytesIO()
        status = writer.WriteStream(stream)
    if status != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise RuntimeError(f"no STEP text, status {status.name}")
    return stream.getvalue().decode("ascii")


def _writes_alone(part: StepPart) -> bool:
    """Whether the kernel can write this part by itself; used to find the part that failed."""
    try:
        _hold_solids([part], _read(_kernel_text([part], part.name))[1])
    except Exception:
        return False
    return True


# The text


def _keyword(entity: str) -> str:
    """The type of an entity, empty for one of several types."""
    return entity.partition("(")[0]


def _references(entity: str) -> tuple[str, ...]:
    return tuple(token for token in _STRING_OR_REFERENCE.findall(entity) if token[0] == "#")


def _renamed(entity: str, names: Mapping[str, str]) -> str:
    """The entity with each string and reference that stands in ``names`` replaced."""
    return _STRING_OR_REFERENCE.sub(lambda found: names.get(found[0], found[0]), entity)


def _read(text: str) -> tuple[str, dict[str, str]]:
    """The schema statement, and the entities by their number in file order, without blanks outside strings.

    The kernel breaks a long line anywhere, within a string too; such a line end is no part of the string.
    """
    header, _, rest = text.replace("\r", "").replace("\n", "").partition("DATA;")
    data, ended, _ = rest.rpartition("ENDSEC;")
    schema = re.search(r"FILE_SCHEMA\s*\(.*?\)\s*\)\s*;", header)
    if schema is None or not ended:
        raise ValueError("a STEP text without schema or data")
    entities: dict[str, str] = {}
    for number, body, other in _STATEMENT.findall(data):
        if other or number in entities:
            raise ValueError(f"a STEP text that cannot be read near {number or other}")
        entities[number] = _STRING_OR_BLANK.sub(r"\1", body) if " " in body else body
    return schema[0], entities


def _hold_solids(parts: Sequence[StepPart], entities: Mapping[str, str]) -> None:
    """Raise ``ValueError`` unless each solid and each instance that was given is in the text."""
    given = [len(part.shape.Solids()) for part in parts]
    if 0 in given:
        raise ValueError("a shape without a solid")
    instances = sum(len(part.placements) for part in parts)
    kinds = Counter(_keyword(entity) for entity in entities.values())
    written = sum(kinds[kind] for kind in _SOLIDS)
    if (written, kinds[_USAGE]) != (sum(given), instances):
        raise ValueError(f"{written} solids in {kinds[_USAGE]} places instead of {sum(given)} in {instances}")


def _canonical(entities: Mapping[str, str]) -> list[str]:
    """The entities as statements, numbered afresh from 1.

    The walk goes depth first from the entities that nothing refers to: geometry in the order of the file, then the
    presentations by what they colour.
    """
    links = {number: _references(entity) for number, entity in entities.items()}
    referred = set(chain.from_iterable(links.values()))
    if not referred <= links.keys():
        raise ValueError("a STEP entity that refers to none")
    roots = [number for number in entities if number not in referred]
    shown = [number for number in roots if _keyword(entities[number]) == _PRESENTATION]
    order: dict[str, str] = {}
    _walk([root for root in roots if _keyword(entities[root]) != _PRESENTATION], links, order)
    geometry = {number: place for place, number in enumerate(order)}

    def coloured(styled: str) -> list[int]:
        return [geometry[number] for number in links[styled] if number in geometry]

    arranged = dict(entities)
    for root in shown:
        items = [number for number in links[root] if number not in geometry]
        arranged[root] = _renamed(entities[root], dict(zip(items, sorted(items, key=coloured), strict=True)))
        links[root] = _references(arranged[root])
    _walk(sorted(shown, key=lambda root: [coloured(item) for item in links[root]]), links, order)
    if len(order) != len(entities):
        raise ValueError(f"{len(entities) - len(order)} STEP entities that refer to one another in a ring")
    return _statements(arranged, order)


def _walk(roots: Iterable[str], links: Mapping[str, Sequence[str]], order: dict[str, str]) -> None:
    """Number what can be reached from the roots and has no number, an entity before what it refers to."""
    for root in roots:
        waiting = [root]
        while waiting:
            number = waiting.pop()
            if number not in order:
                order[number] = f"#{len(order) + 1}"
                waiting.extend(reversed(links[number]))


def _statements(entities: Mapping[str, str], order: Mapping[str, str]) -> list[str]:
    """One statement for each entity in its new order; the ids of usages are counted from 1."""
    statements: list[str] = []
    usages = 0
    for number, place in order.items():
        entity = entities[number]
        if _keyword(entity) == _USAGE:
            usages += 1
            entity = _STRING_OR_REFERENCE.sub(f"'{usages}'", entity, count=1)
        statements.append(f"{place}={_renamed(entity, order)};")
    return statements


def _quoted(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "''") + "'"


def _file(lines: Sequence[str], schema: str, root_name: str) -> bytes:
    """The whole file: fixed header, the schema statement of the kernel, the entities."""
    system = _quoted(ORIGINATING_SYSTEM)
    head = (
        "ISO-10303-21;",
        "HEADER;",
        "FILE_DESCRIPTION(('solids in millimetres'),'2;1');",
        f"FILE_NAME({_quoted(root_name)},'{TIME_STAMP}',(''),(''),{system},{system},'');",
        schema,
        "ENDSEC;",
        "DATA;",
    )
    return ("\n".join((*head, *lines, "ENDSEC;", "END-ISO-10303-21;")) + "\n").encode("ascii")
