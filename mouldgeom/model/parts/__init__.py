"""Parts of the mould by group: each module returns plain descriptions in the casting frame, made from dimensions alone.

Left and right are named as seen from the front of the upright filter: left is at +x in the casting frame, because the
filter is cast upside down, turned about the y axis.
"""
