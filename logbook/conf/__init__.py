"""Settings and entry points. Rule: everything configurable comes from the environment, read once here."""
