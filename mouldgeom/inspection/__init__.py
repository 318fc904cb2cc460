"""The finished mould against its design: which dimensions are critical, what was measured, and what to do about it."""
