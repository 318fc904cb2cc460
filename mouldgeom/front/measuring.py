"""A finished mould as it was measured: the walls that it will cast."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from mouldgeom.front.answers import Answer, verdict_rows
from mouldgeom.front.given import extensions_given
from mouldgeom.inspection.asbuilt import BuiltMould, load_built
from mouldgeom.outputs.asbuilt_report import built_record, built_text
from mouldgeom.outputs.extension import Extension
from mouldgeom.reading import path_given
from mouldgeom.rich import html_table
from mouldgeom.verdict import Verdict


class AsBuilt(Answer):
    """A finished mould as it was measured, against the one designed.

    It is made by ``as_built``.

    >>> import tempfile
    >>> from pathlib import Path
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder, "measured.csv")
    ...     _ = path.write_text("code,measured\\njoint-nose,1.4\\n")
    ...     as_built("hill-example", path)
    <AsBuilt 'Hill-district workshop (invented example)': 1 measured, 1 of 8 fail: 12.1>
    """

    def __init__(self, built: BuiltMould) -> None:
        self._built = built

    @property
    def results(self) -> tuple[Verdict, ...]:
        """What is judged of it."""
        return self._built.results

    @property
    def passed(self) -> bool:
        """Whether it can be accepted."""
        return all(result.holds for result in self.results)

    def text(self) -> str:
        """What fails, what has to be put right, and what then comes out."""
        return built_text(self._built)

    def record(self) -> dict[str, Any]:
        """As ``asbuilt --json`` prints it."""
        return built_record(self._built)

    def picture(self, path: str | Path) -> Path:
        """Write the four walls as they will be cast, ``.svg`` or ``.png`` by the end of the name.

        Raises:
            FolderError: another ending, or the file cannot be written.
        """
        from mouldgeom.outputs.asbuilt_picture import write_picture

        file = path_given("--picture", path)
        write_picture(file, self._built)
        return file

    def __repr__(self) -> str:
        failed = [result.code for result in self.results if not result.holds]
        state = f"{len(failed)} of {len(self.results)} fail: {', '.join(failed)}" if failed else "can be accepted"
        return f"<AsBuilt {self._built.dims.spec.title!r}: {len(self._built.measured)} measured, {state}>"

    def _repr_html_(self) -> str:
        from mouldgeom.outputs.asbuilt_picture import built_figure

        rows = verdict_rows(self.results)
        table = html_table(("", "check", "of", "value and limit", "where"), rows, caption=repr(self)[1:-1])
        return built_figure(self._built).svg() + table


def as_built(source: str | Path | None, measured: str | Path, *, extensions: Sequence[Extension | str] = ()) -> AsBuilt:
    """Judge a finished mould by its measured dimensions.

    >>> import tempfile
    >>> from pathlib import Path
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder, "measured.csv")
    ...     _ = path.write_text("code,measured\\njoint-nose,0.4\\n")
    ...     as_built("hill-example", path).passed
    True

    Args:
        source: file of its specification, or the name of an example; the built-in one if ``None``.
        measured: ``measured.csv`` of its package, filled in.
        extensions: that it was made with.

    Raises:
        InputError: a file cannot be read, it is of another mould, or a value in it is none.
    """
    spec = None if source is None else path_given("SPEC", source)
    return AsBuilt(load_built(spec, path_given("MEASURED.csv", measured), extensions_given(extensions)))
