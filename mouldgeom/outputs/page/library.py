"""The 3-D library of the page: three.js, as the file that the package ``jupyter-threejs-sage`` is there to carry.

It is the build of a released version that defines ``THREE`` in one plain script: the page allows scripts by their hash
alone, and modules that load one another could not run in it.
"""

from __future__ import annotations

import hashlib
import importlib.resources
from functools import cache
from typing import Final

from mouldgeom.errors import MouldError

PACKAGE: Final = "jupyter_threejs_sage"
PATH: Final = "static/r130/three.min.js"
RELEASE: Final = "130"
SHA256: Final = "52ced813d01a0973760ad3e6f3568c6310534d6bef1225aedc2b569221c1f5c9"
LICENCE: Final = "three.js, copyright 2010-2021 three.js authors, MIT licence"
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


@cache
def three_script() -> str:
    """The script that defines ``THREE``, ready to stand in a ``<script>`` element.

    Raises:
        MouldError: the package is not there, or carries another script.
    """
    try:
        content = importlib.resources.files(PACKAGE).joinpath(PATH).read_bytes()
    except (ModuleNotFoundError, OSError) as error:
        raise MouldError(f"the report page needs three.js from {PACKAGE}, which is not installed ({error})") from error
    found = hashlib.sha256(content).hexdigest()
    if found != SHA256:
        raise MouldError(f"{PATH} of {PACKAGE} is not the three.js expected: its SHA-256 is {found}, not {SHA256}")
    return content.decode("utf-8")
