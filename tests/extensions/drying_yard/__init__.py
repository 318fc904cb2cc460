"""What an invented drying yard adds to its moulds: hooks for racks, bracket handles, and a look at its donkey cart."""
