"""The 3-D library of the page, taken from a package of the registry when the page is made.

The package ``trimesh`` carries three.js, whole and minified, in the page that it shows meshes with.
"""

from __future__ import annotations

import importlib.util
import zipfile
from functools import cache
from pathlib import Path
from typing import Final

from mouldgeom.errors import MouldError

_BEGIN: Final = "/**\n * @license\n"
_END: Final = '"__esModule",{value:!0})}));'
LICENCE: Final = "three.js, copyright 2010-2022 three.js authors, MIT licence"
LICENCE_TEXT: Final = (
    "Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated "
    'documentation files (the "Software"), to deal in the Software without restriction, including without limitation '
    "the rights to use, copy, modify, merge, publish, distribute, sublicense, and/or sell copies of the Software, and "
    "to permit persons to whom the Software is furnished to do so, subject to the following conditions: The above "
    "copyright notice and this permission notice shall be included in all copies or substantial portions of the "
    'Software. THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED, INCLUDING BUT NOT '
    "LIMITED TO THE WARRANTIES OF MERCHANTABILITY, FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT "
    "SHALL THE AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER LIABILITY, WHETHER IN AN ACTION "
    "OF CONTRACT, TORT OR OTHERWISE, ARISING FROM, OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER "
    "DEALINGS IN THE SOFTWARE."
)


def _folder() -> Path:
    """Where the package lies; it is not imported, for that takes longer than all else here."""
    found = importlib.util.find_spec("trimesh")
    if found is None or not found.submodule_search_locations:
        raise OSError("not installed")
    return Path(found.submodule_search_locations[0])


@cache
def three_script() -> str:
    """The script that defines ``THREE``, ready to stand in a ``<script>`` element.

    Raises:
        MouldError: the package no longer carries it.
    """
    try:
        with zipfile.ZipFile(_folder() / "resources" / "templates" / "viewer.zip") as archive:
            page = archive.read("viewer.html.template").decode("utf-8")
        begin = page.index(_BEGIN)
        script = page[begin : page.index(_END, begin) + len(_END)]
    except (OSError, KeyError, ValueError, zipfile.BadZipFile) as error:
        raise MouldError(f"the installed trimesh carries no three.js for the report page ({error})") from error
    if "SPDX-License-Identifier: MIT" not in script[:200] or "</script" in script.lower():
        raise MouldError("the three.js that the installed trimesh carries is not the one expected")
    return script
