"""What is done after the answer, so that its time tells nothing: in a thread of this process, one thing after another.

It is for what may be lost when a server is stopped, and asked for again: nothing of the records.
"""

import logging
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from time import sleep
from typing import Any

from django.db import connections

A_WHILE = 1.0  # seconds until the answer is out: what is done then slows down none

log = logging.getLogger(__name__)
_worker = ThreadPoolExecutor(1, "later")


def after_the_answer(work: Callable[..., Any], *given: Any, **named: Any) -> None:
    """Have the work done soon, by somebody else. What goes wrong with it is logged."""
    _worker.submit(_done, partial(work, *given, **named))


def _done(work: Callable[[], Any]) -> None:
    sleep(A_WHILE)
    try:
        work()
    except Exception:  # nobody else would hear of it
        log.exception("what was to be done after the answer failed")
    finally:
        connections.close_all()
