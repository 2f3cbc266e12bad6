"""Views of signing in, the first set-up, the account and its tokens."""
