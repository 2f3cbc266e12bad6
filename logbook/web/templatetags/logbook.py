"""Template tags and filters of the pages."""

from django import template

register = template.Library()
