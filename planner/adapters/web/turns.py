"""Pages that weigh the whole library take turns: many windows at once need no more memory than one."""

import threading
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")

_TURN = threading.Lock()


def takes_turns(view: Callable[Asked, Answer]) -> Callable[Asked, Answer]:
    """A view of which one request at a time is worked out; the work fills a core, so none waits longer."""

    @wraps(view)
    def wait_and_show(*args: Asked.args, **values: Asked.kwargs) -> Answer:
        with _TURN:
            return view(*args, **values)

    return wait_and_show
