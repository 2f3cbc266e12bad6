"""What a key and a slug may look like."""

from __future__ import annotations

from django.core.validators import RegexValidator

KEY = RegexValidator(
    r"^[A-Za-z0-9][A-Za-z0-9._+-]*\Z",
    "Use letters, digits and . _ + - only, beginning with a letter or digit.",
)
SLUG = RegexValidator(r"^[a-z0-9][a-z0-9-]*\Z", "Use lower-case letters, digits and hyphens only.")
