"""Rules of strength and handling: fresh concrete, screws, beams, lifting.

Pure functions with their sources, as in ``rules``; nothing here knows a specification or a part.
"""
