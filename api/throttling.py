"""How often somebody without a token may ask."""

from django.conf import settings
from rest_framework.request import Request
from rest_framework.throttling import AnonRateThrottle


class AnonymousRate(AnonRateThrottle):
    """Generous for a person, narrow for a machine; counted per worker process and address."""

    rate = "1200/min"

    def get_ident(self, request: Request) -> str:
        """Return the caller's address; a forwarded one counts only behind a proxy of our own."""
        forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
        if settings.LOGBOOK_BEHIND_TLS and forwarded:
            return str(forwarded).rsplit(",", maxsplit=1)[-1].strip()
        return str(request.META.get("REMOTE_ADDR", ""))
