"""The site served for real by one process, on this machine only."""

import socket
from typing import Any

from django.core.wsgi import get_wsgi_application
from gunicorn.app.base import BaseApplication

HOST = "127.0.0.1"
THREADS = 8


def is_taken(port: int) -> bool:
    """Does something listen there already, or may this user not?"""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError:
            return True
    return False


class Site(BaseApplication):
    """One worker with threads, no control socket, errors on the terminal."""

    def __init__(self, port: int) -> None:
        self.port = port
        super().__init__()

    def load_config(self) -> None:
        settings = {"bind": f"{HOST}:{self.port}", "worker_class": "gthread", "threads": THREADS, "loglevel": "warning", "control_socket_disable": True}
        for name, value in settings.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        return get_wsgi_application()
