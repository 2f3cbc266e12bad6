"""People, how they sign in, and the tokens of their bench scripts."""
