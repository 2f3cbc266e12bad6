"""Forms of the pages. Rule: they check shape; commands decide."""
