"""A network cable before a site that can be pulled: connections pass through, or break and are refused."""

from __future__ import annotations

import contextlib
import socket
import threading
from urllib.parse import urlsplit

CONNECT_S = 10.0


class Cable:
    """Passes what comes to ``address`` on to a site (http only) while it is plugged in."""

    def __init__(self, site: str) -> None:
        parts = urlsplit(site)
        if parts.scheme != "http" or not parts.hostname:
            message = f"{site!r} cannot stand behind the cable: give an address such as http://127.0.0.1:8000"
            raise ValueError(message)
        self._site = (parts.hostname, parts.port or 80)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._open: set[socket.socket] = set()
        self._lock = threading.Lock()
        self._is_plugged_in = True
        threading.Thread(target=self._accept, daemon=True).start()

    @property
    def address(self) -> str:
        """Return the address a script takes for the site's."""
        return f"http://127.0.0.1:{self._listener.getsockname()[1]}"

    def pull(self) -> None:
        """Break every connection, also one in the middle of a reading, and refuse new ones."""
        with self._lock:
            self._is_plugged_in = False
            for one in self._open:
                with contextlib.suppress(OSError):
                    one.shutdown(socket.SHUT_RDWR)

    def plug_in(self) -> None:
        """Let connections pass again."""
        with self._lock:
            self._is_plugged_in = True

    def close(self) -> None:
        """Take the cable away."""
        self.pull()
        self._listener.close()

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listener.accept()
            except OSError:
                return
            threading.Thread(target=self._connect, args=[near], daemon=True).start()

    def _connect(self, near: socket.socket) -> None:
        """Join one connection to the site; both ends are closed when either breaks."""
        with near:
            if not self._is_plugged_in:
                return
            try:
                far = socket.create_connection(self._site, timeout=CONNECT_S)
            except OSError:
                return
            with far:
                far.settimeout(None)
                self._join(near, far)

    def _join(self, near: socket.socket, far: socket.socket) -> None:
        with self._lock:
            if not self._is_plugged_in:
                return
            self._open |= {near, far}
        back = threading.Thread(target=_pass_on, args=[far, near], daemon=True)
        back.start()
        _pass_on(near, far)
        back.join()
        with self._lock:
            self._open -= {near, far}


def _pass_on(source: socket.socket, target: socket.socket) -> None:
    """Pass on what one end says until it has said all or the connection breaks."""
    with contextlib.suppress(OSError):
        while part := source.recv(65536):
            target.sendall(part)
    with contextlib.suppress(OSError):
        target.shutdown(socket.SHUT_WR)
