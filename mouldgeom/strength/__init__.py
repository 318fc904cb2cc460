"""Whether the mould holds: wet concrete, bolts, extraction, handling, tolerances.  One file a chapter; no kernel.

Each chapter is a function from a ``Mould`` to a ``Chapter``: the calculation as an engineer reviews it, and what it
requires of the design.
"""
