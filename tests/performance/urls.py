"""The site's own addresses, an empty view and the plain way to take a list."""

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.csrf import csrf_exempt

from logbook.conf.urls import urlpatterns as own
from tests.performance.plain import PlainList


@csrf_exempt
def empty(request: HttpRequest) -> HttpResponse:
    """Read what was sent and answer nothing."""
    return HttpResponse(len(request.body))


urlpatterns = [path("empty/", empty), path("plain/", PlainList.as_view()), *own]
