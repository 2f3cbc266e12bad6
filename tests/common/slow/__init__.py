"""A site with one slow kind of job, for tests that kill its worker."""
