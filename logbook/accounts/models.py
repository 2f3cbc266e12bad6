"""People and their API tokens."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import models
from rest_framework_api_key.models import AbstractAPIKey


class User(AbstractUser):
    """A person who signs in. Never deleted, only made inactive: records name them."""

    class Meta:
        ordering = ["username"]


class ApiToken(AbstractAPIKey):
    """A token of a bench script. The secret is shown once and stored hashed."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="api_tokens")
    scopes = models.JSONField(default=list)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta(AbstractAPIKey.Meta):
        ordering = ("-created",)
        verbose_name = "token"

    @property
    def state(self) -> str:
        """Return the state as a word: usable, expired or revoked."""
        if self.revoked:
            return "revoked"
        return "expired" if self.has_expired else "usable"
