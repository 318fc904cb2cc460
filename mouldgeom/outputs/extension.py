"""What somebody adds from outside under a name: changes of parts, checks, chapters of the calculation, kinds of file.

An extension is handed to functions, or installed and asked for by its name: a package names it as an entry point of the
group ``mouldgeom.extensions``.  Nothing is loaded that was not asked for, and a specification asks for nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from importlib.metadata import EntryPoint, entry_points
from typing import TYPE_CHECKING, Final

from mouldgeom.errors import InputError, blamed
from mouldgeom.model.assembly import Mould
from mouldgeom.model.changes import Addition
from mouldgeom.outputs.kinds import KINDS, File, Kind
from mouldgeom.reading import meant
from mouldgeom.strength.book import ChapterMaker, own_chapter
from mouldgeom.strength.steps import Chapter
from mouldgeom.verdict import Verdict, own_verdicts

if TYPE_CHECKING:
    from mouldgeom.checks import Case, Check

GROUP: Final = "mouldgeom.extensions"
"""Entry points of extensions that are installed."""
_NAME: Final = re.compile(r"[a-z][a-z0-9-]{0,39}")
_PLAIN: Final = "Choose small letters, digits and hyphens, such as rack-hooks."


@dataclass(frozen=True)
class Extension(Addition):
    """What is added under one name; every field but the name may be left out.

    >>> str(Extension("rack-hooks", "1.2"))
    'rack-hooks 1.2'

    Args:
        checks: each from what is examined to its verdicts, of codes that begin with a word.
        chapters: of the calculation, each from a mould; what they require becomes checks.
        kinds: of file, which stand last in a package.

    Raises:
        InputError: a name is not plain or taken, or something is of the wrong type.
    """

    checks: tuple[Check, ...] = ()
    chapters: tuple[ChapterMaker, ...] = ()
    kinds: tuple[Kind, ...] = ()

    def __post_init__(self) -> None:
        if not isinstance(self.name, str) or not _NAME.fullmatch(self.name):
            raise InputError("extension", repr(self.name), "no plain name", _PLAIN)
        if not isinstance(self.version, str) or not self.version.isprintable():
            raise InputError(self.whose, f"version {self.version!r}", "no plain text", 'Write it as text: "1.2".')
        for field in ("changes", "checks", "chapters", "kinds"):
            given: object = getattr(self, field)
            if not isinstance(given, tuple):
                raise self._refused(f"{field} of {type(given).__name__}", "no tuple", f"Write {field}=(one, another).")
            for one in given:
                if not (isinstance(one, Kind) if field == "kinds" else callable(one)):
                    wanted = "a Kind" if field == "kinds" else "a function"
                    raise self._refused(f"{type(one).__name__} among the {field}", f"each is {wanted}", "Give such.")
        for kind in self.kinds:
            if not isinstance(kind.name, str) or not _NAME.fullmatch(kind.name):
                raise self._refused(f"kind {kind.name!r}", "no plain name", _PLAIN)
            if not callable(kind.maker):
                raise self._refused(f"kind {kind.name}", "its maker is no function", "Give it one.")
        taken = [kind.name for kind in KINDS]
        for name in (kind.name for kind in self.kinds):
            if name in taken:
                raise self._refused(f"kind {name}", "there is a kind of that name", "Give it another.")
            taken.append(name)

    @property
    def whose(self) -> str:
        """What answers for what it does, in messages."""
        return f"extension {self.name}"

    def _refused(self, given: str, limit: str, remedy: str) -> InputError:
        return InputError(self.whose, given, limit, remedy)

    def check(self, case: Case) -> tuple[Verdict, ...]:
        """Run its checks.

        Raises:
            InputError: one of them raises, gives something other than verdicts, or takes a code of the program.
        """
        with blamed(self.whose):
            return tuple(found for check in self.checks for found in own_verdicts(check(case), self.whose))

    @property
    def makers(self) -> tuple[ChapterMaker, ...]:
        """Its chapters; each raises ``InputError`` where its code raises, or gives no chapter."""
        return tuple(partial(self._chapter, maker) for maker in self.chapters)

    def _chapter(self, maker: ChapterMaker, mould: Mould) -> Chapter:
        with blamed(self.whose):
            return own_chapter(maker(mould), self.whose)

    def made(self, kind: Kind, given: Mapping[str, object]) -> list[File]:
        """Files of one of its kinds, from what its maker asks for.

        Raises:
            InputError: its maker raises, or gives something other than files with paths inside the package.
        """
        with blamed(self.whose):
            files = list(kind.maker(**given))
        for file in files:
            if not isinstance(file, File) or not isinstance(file.path, str) or not isinstance(file.content, bytes):
                raise self._refused(f"kind {kind}", "its maker gives files", "Yield File(path, content in bytes).")
            if not _PATH.fullmatch(file.path):
                raise self._refused(
                    f"path {file.path!r}", "no plain path inside a package", "Write it as cart/list.csv."
                )
        return files


_PATH: Final = re.compile(r"(?:[\w-][\w.-]*/)*[\w-][\w.-]*")


def together(extensions: Sequence[Addition]) -> tuple[Extension, ...]:
    """Extensions that go into one mould.

    Raises:
        InputError: two of one name, or two kinds of file.
    """
    found: list[Extension] = []
    for one in extensions:
        if not isinstance(one, Extension):
            raise InputError("extension", type(one).__name__, "no Extension", "Give Extension(name=...).")
        if one.name in (other.name for other in found):
            raise InputError(one.whose, "given twice", "each extension has a name of its own", "Leave one out.")
        for kind in one.kinds:
            for other in found:
                if kind.name in (has.name for has in other.kinds):
                    limit = f"extension {other.name} has a kind of that name"
                    raise InputError(one.whose, f"kind {kind}", limit, "Leave one of the two out.")
        found.append(one)
    return tuple(found)


def all_kinds(extensions: Sequence[Extension]) -> tuple[Kind, ...]:
    """Kinds of file that can be asked for, in the order of a package: those of extensions last."""
    return (*KINDS, *(kind for extension in extensions for kind in extension.kinds))


def installed(names: Iterable[str]) -> tuple[Extension, ...]:
    """Load extensions that are installed, by name; nothing else is loaded.

    Raises:
        InputError: none of that name is installed, or it cannot be loaded.
    """
    return together([_loaded(name) for name in dict.fromkeys(names)])


def _loaded(name: str) -> Extension:
    points = entry_points(group=GROUP)
    known = sorted(points.names)
    if name not in known:
        there = f"installed are {', '.join(known)}" if known else "none is installed"
        remedy = meant(name, known, "Install the package that has it, or leave it out.")
        raise InputError("--with", repr(name), f"no extension of that name; {there}", remedy)
    point, *more = points.select(name=name)
    if more:
        raise InputError("--with", repr(name), f"installed {len(more) + 1} times", "Uninstall all but one.")
    whose = f"extension {name}"
    with blamed(whose):
        found: object = point.load()
    if not isinstance(found, Extension):
        raise InputError(whose, f"{point.value} is {type(found).__name__}", "no Extension", "Tell those who made it.")
    if found.name != name:
        raise InputError(whose, f"name {found.name}", "it is installed under another name", "Tell those who made it.")
    return found if found.version else replace(found, version=_version(point))


def _version(point: EntryPoint) -> str:
    """Version of the package that an extension came with."""
    return point.dist.version if point.dist else ""
