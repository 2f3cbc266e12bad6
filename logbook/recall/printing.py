"""Pages as PDF, laid out by the same style sheets as the print view."""

from __future__ import annotations

import mimetypes
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage

from logbook.common.errors import DomainError

if TYPE_CHECKING:
    from weasyprint.urls import URLFetcher

NO_PICTURES: Mapping[str, bytes] = MappingProxyType({})


class PrintingUnavailableError(DomainError):
    """No PDF can be made on this installation."""

    code = "printing_unavailable"


def pdf_of(html: str, *, address: str, pictures: Mapping[str, bytes] = NO_PICTURES) -> bytes:
    """Return a page as a tagged PDF (PDF/UA-1); it needs a title and a language, as every page here has.

    ``address`` is that of the page, so that links lead back to the site. A page can hold the site's static
    files and ``pictures``, given by the path their ``src`` names; nothing else is read from disk or network.

    Raises
    ------
    PrintingUnavailableError
        When the library or the system's Pango is missing.
    """
    try:
        weasyprint = _library()
    except (ImportError, OSError) as error:
        message = "this site cannot make PDF files: install board-logbook[pdf] and the system library Pango, "
        message += "or print the page from the browser, which gives the same sheet"
        raise PrintingUnavailableError(message) from error
    fetcher = _fetcher(address, pictures)
    page = weasyprint.HTML(string=html, base_url=address, media_type="print", url_fetcher=fetcher)
    made: bytes = page.write_pdf(pdf_variant="pdf/ua-1")
    return made


def _library() -> Any:
    """Return WeasyPrint, without what it sets for the whole process.

    Once imported, it lets Pillow read pictures that break off in the middle; here those are refused.
    """
    # Takes a third of a second and a system library, and most requests print nothing.
    import weasyprint
    from PIL import ImageFile

    ImageFile.LOAD_TRUNCATED_IMAGES = False
    return weasyprint


def _fetcher(address: str, pictures: Mapping[str, bytes]) -> URLFetcher:
    """Return the only way a page being printed has to anything outside it."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):  # type: ignore[misc]
        """Hands out static files and the pictures given; refuses every other address."""

        def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> Any:
            path = _own_path(url, address)
            body = pictures[path] if path in pictures else _static_file(path)
            kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
            return URLFetcherResponse(url, body, {"Content-Type": kind})

    return OwnFilesOnly()


def _own_path(url: str, address: str) -> str:
    """Return the path of an address of this site."""
    asked, own = urlsplit(url), urlsplit(address)
    if (asked.scheme, asked.netloc) != (own.scheme, own.netloc):
        message = f"{url[:200]} is not of this site"
        raise ValueError(message)
    return unquote(asked.path)


def _static_file(path: str) -> bytes:
    """Return a static file by its address; both finders and storage refuse to leave their folders."""
    if not path.startswith(settings.STATIC_URL):
        message = f"{path} was not given as a picture and is no static file"
        raise ValueError(message)
    name = path.removeprefix(settings.STATIC_URL)
    found = finders.find(name)
    if found:
        return Path(found).read_bytes()
    with staticfiles_storage.open(name) as file:
        body: bytes = file.read()
    return body
