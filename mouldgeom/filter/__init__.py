"""The filter that is wanted: its sand, its water, its hydraulics and the demand it has to meet."""
