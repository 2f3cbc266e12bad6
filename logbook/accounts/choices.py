"""Fixed words of the accounts."""

from django.db import models


class Scope(models.TextChoices):
    READ = "read", "read"
    RECORD = "record", "record readings and bench sessions"
    EDIT = "edit", "edit the structure"
