"""Addresses that a page writes by the hundred."""

from __future__ import annotations

from functools import lru_cache

from django.urls import get_script_prefix, get_urlconf, reverse


def target_page(slug: str, key: str) -> str:
    """Return the address of a target."""
    return _kept("target-detail", (slug, key), get_script_prefix(), get_urlconf())


@lru_cache(maxsize=4096)
def _kept(name: str, args: tuple[str, ...], prefix: str, routes: str | None) -> str:
    """Return an address; ``prefix`` and ``routes`` are what it depends on beside name and arguments."""
    return reverse(name, urlconf=routes, args=list(args))
