"""How the site writes its log: one line an event, for people or as JSON, to the standard error stream.

Rule: a line never holds a password, a token or the local variables of a function. What a traceback shows is
the text of the code, and what looks like a secret in any text is hidden before it is written.
"""

from __future__ import annotations

import re
from typing import Any

import structlog
from structlog.typing import EventDict, Processor

FORMATS = ("plain", "json")
HIDDEN = "[hidden]"
_NAMES = r"pass(?:word|wd|phrase)\w*|secret\w*|token\w*|api[_-]?key|authorization|cookie|sessionid|csrf\w*"
_SECRET_NAME = re.compile(rf"(?i)(?:.*[_-])?(?:{_NAMES})$")
_IN_TEXT = (
    # Before the names: "Authorization: Bearer x" must lose x, not only the word Bearer.
    (re.compile(r"(?i)\b(bearer|basic)\s+[^\s\"',;)}\]]+"), rf"\1 {HIDDEN}"),
    (re.compile(r"://[^/\s:@]*:[^/\s@]*@"), f"://{HIDDEN}@"),
    (
        re.compile(rf"(?i)\b(\w*(?:{_NAMES})[\"']?\s*[=:]\s*[\"']?)(?!bearer |basic )[^\s\"'&,;)}}\]]+"),
        rf"\1{HIDDEN}",
    ),
    # A token of the site: its prefix, a dot, its secret.
    (re.compile(r"\b([A-Za-z0-9]{8})\.[A-Za-z0-9]{32}\b"), rf"\1.{HIDDEN}"),
)


def without_secrets(_logger: object, _method: str, event: EventDict) -> EventDict:
    """Hide what has the name of a secret or looks like one."""
    for name, value in event.items():
        if _SECRET_NAME.match(name):
            event[name] = HIDDEN
        elif isinstance(value, str):
            event[name] = hidden_in(value)
    return event


def hidden_in(text: str) -> str:
    """Return a text with what looks like a secret hidden."""
    for pattern, replacement in _IN_TEXT:
        text = pattern.sub(replacement, text)
    return text


def configuration(form: str, level: str) -> dict[str, Any]:
    """Return the settings of Python's logging; lines of every library take the same form."""
    shared: list[Processor] = [
        structlog.contextvars.merge_contextvars,
        structlog.stdlib.add_log_level,
        structlog.stdlib.add_logger_name,
        structlog.stdlib.PositionalArgumentsFormatter(),
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        structlog.processors.format_exc_info,
        without_secrets,
    ]
    structlog.configure(
        processors=[
            structlog.stdlib.filter_by_level,
            *shared,
            structlog.stdlib.ProcessorFormatter.wrap_for_formatter,
        ],
        logger_factory=structlog.stdlib.LoggerFactory(),
        wrapper_class=structlog.stdlib.BoundLogger,
        cache_logger_on_first_use=False,
    )
    formatter = {
        "()": structlog.stdlib.ProcessorFormatter,
        "processors": [structlog.stdlib.ProcessorFormatter.remove_processors_meta, _renderer(form)],
        "foreign_pre_chain": shared,
    }
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": formatter},
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
        # A refused request is answered to whoever sent it; on the console it would only be noise.
        # The library that lays out PDF files warns of every rule of the screen it does not know.
        "loggers": {"django.request": {"level": "ERROR"}, "weasyprint": {"level": "ERROR"}},
        "root": {"handlers": ["console"], "level": level},
    }


def _renderer(form: str) -> Processor:
    if form == "json":
        return structlog.processors.JSONRenderer(ensure_ascii=False, default=repr)
    return structlog.dev.ConsoleRenderer(
        colors=False, pad_event_to=0, exception_formatter=structlog.dev.plain_traceback
    )
