"""Everything that is written for a person or a machine: one module for each kind of file."""
