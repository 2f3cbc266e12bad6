"""Reading the bench. Every list declares its joins and its order."""
