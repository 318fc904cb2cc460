"""The report page: one HTML that carries the mould in 3-D, its checks, lists, calculation, drawings and files."""
