"""Numbers out of captures."""
