"""The site's own addresses and the empty view."""

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.csrf import csrf_exempt

from logbook.conf.urls import urlpatterns as own


@csrf_exempt
def empty(request: HttpRequest) -> HttpResponse:
    """Read what was sent and answer nothing."""
    return HttpResponse(len(request.body))


urlpatterns = [path("empty/", empty), *own]
