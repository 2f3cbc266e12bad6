"""The WSGI entry point for gunicorn and other servers."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "logbook.conf.settings")
application = get_wsgi_application()
# What was loaded by now stays for ever; looking through it again and again for garbage halts a page
# for up to a seventh of a second.
gc.freeze()
# A list of thousands of readings makes as many objects that are none: few looks are enough.
gc.set_threshold(20_000, 10, 10)
