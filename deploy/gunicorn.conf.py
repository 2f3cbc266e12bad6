"""How gunicorn serves the site: ``gunicorn --config deploy/gunicorn.conf.py logbook.conf.wsgi``.

``WEB_CONCURRENCY`` sets the number of processes, ``GUNICORN_CMD_ARGS`` anything else; gunicorn reads both.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from logbook.common import logs
from logbook.conf.environment import log_format, log_level

bind = "127.0.0.1:8000"
workers = int(os.environ.get("WEB_CONCURRENCY", "2"))
worker_class = "gthread"
threads = 4
timeout = 60
# What is being answered when the service is restarted is answered to its end.
graceful_timeout = 30
control_socket_disable = True

# gunicorn's own lines take the form of the site's; the site itself logs the requests.
logconfig_dict = logs.configuration(log_format(), log_level()) | {
    "loggers": {"gunicorn.error": {"level": "INFO", "handlers": ["console"], "propagate": False}}
}

_counts = os.environ.get("PROMETHEUS_MULTIPROC_DIR")
if _counts:
    # It must be there before any process imports what counts.
    Path(_counts).mkdir(parents=True, exist_ok=True)


def child_exit(server: Any, worker: Any) -> None:
    """Take a process that ended out of what is counted as living; its counts stay."""
    if _counts:
        from prometheus_client.multiprocess import mark_process_dead

        mark_process_dead(worker.pid)
