"""Pages of board pictures."""
