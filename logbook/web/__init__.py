"""The pages. Rule: a view reads input, checks access, calls one query or command, renders."""
