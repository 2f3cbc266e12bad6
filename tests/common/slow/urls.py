"""The addresses of the site, and one that fails with a secret in its hands."""

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.csrf import csrf_exempt

from logbook.conf.urls import handler400, handler403, handler404, handler500, urlpatterns  # noqa: F401


@csrf_exempt
def fail(request: HttpRequest) -> HttpResponse:
    password = request.POST["password"]
    message = f"cannot reach redis://:{password}@127.0.0.1/0"
    raise ConnectionError(message)


urlpatterns = [path("fail/", fail), *urlpatterns]
