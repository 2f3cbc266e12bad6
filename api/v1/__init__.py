"""Version 1 of the API, one module a resource: its shapes, its addresses and what they answer."""
