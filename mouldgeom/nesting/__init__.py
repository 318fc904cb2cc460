"""Plates laid on sheets, pieces cut from bars."""
