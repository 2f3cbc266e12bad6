"""Addresses of the API: its versions, and a problem for everything else."""

from django.urls import include, path, re_path
from django.views.decorators.csrf import csrf_exempt

from api.errors import unknown_address

urlpatterns = [
    path("v1/", include("api.v1.urls")),
    re_path(r"^", csrf_exempt(unknown_address)),
]
