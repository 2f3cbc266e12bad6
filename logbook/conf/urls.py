"""Addresses of the site."""

urlpatterns: list[object] = []
