"""The REST API. Rule: views read input, check access, call one query or command, and render."""
