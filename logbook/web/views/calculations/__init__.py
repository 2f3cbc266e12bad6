"""Pages of tolerance stack-ups: calculators that store nothing, and calculations kept on a project."""
