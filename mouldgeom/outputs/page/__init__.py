"""The report page: one HTML that carries the mould in 3-D, its checks, lists, calculation, drawings and files."""

from mouldgeom.outputs.page.page import page_bytes

__all__ = ["page_bytes"]
