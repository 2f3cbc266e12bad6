"""Addresses of the pages, one module for each area; ``logbook.web.urls`` adds them up."""
