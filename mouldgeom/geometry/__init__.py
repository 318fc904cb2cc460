"""Outlines and placements: plain geometry, with no word of moulds and no solid kernel."""
