"""The shop's memory, and the only place that knows SQL."""
