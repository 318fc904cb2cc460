"""The front door: what the package shows of itself, and all that its commands use."""
