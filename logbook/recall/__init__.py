"""Coming back: for now the invented demo, replayed through the same commands as real data."""
