"""Long tasks: begun, asked after, cancelled, and ended when nobody asks any more."""

import asyncio
import secrets
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from templategen.errors import LimitError
from templategen.messages import tr
from templategen.page.worker import EndedError, Worker

LONGEST = 600.0  # s of one task
ABANDONED = 60.0  # s after which a task that nobody asks after is ended
MOST_TASKS = 20  # kept; the oldest finished ones go first
LOOK = 1.0  # s between looks for abandoned ones


@dataclass(slots=True)
class Task:
    """One task and how far it is."""

    name: str
    window: str = ""
    state: str = "running"  # then done, failed or cancelled
    done: int = 0
    total: int = 0
    result: dict[str, Any] | None = None
    asked_at: float = field(default_factory=time.monotonic)
    is_at_work: bool = False


class Tasks:
    """Tasks that run one after another in a worker.

    Args:
        worker: its process is ended where a task is cancelled.
    """

    def __init__(self, worker: Worker) -> None:
        self.worker = worker
        self.held: dict[str, Task] = {}
        self._running: set[asyncio.Task[None]] = set()

    def begin(self, name: str, request: Mapping[str, Any]) -> str:
        """Begins a task and gives its id.

        One of the same kind that the same window waits for is dropped.

        Raises:
            LimitError: too many wait already.
        """
        window = str(request.get("window"))
        for waiting in self.held.values():
            same = (waiting.name, waiting.window) == (name, window)
            if same and waiting.state == "running" and not waiting.is_at_work:
                waiting.state = "cancelled"
        if sum(task.state == "running" for task in self.held.values()) >= MOST_TASKS:
            raise LimitError(tr("too many tasks wait already"), mend=tr("let one end first"))
        for old in [key for key, task in self.held.items() if task.state != "running"]:
            if len(self.held) >= MOST_TASKS:
                del self.held[old]
        key = secrets.token_hex(8)
        task = self.held[key] = Task(name, window)
        running = asyncio.create_task(self._run(task, dict(request)))
        self._running.add(running)
        running.add_done_callback(self._running.discard)
        return key

    async def _run(self, task: Task, request: dict[str, Any]) -> None:
        def tell(done: int, total: int) -> None:
            task.done, task.total = done, total

        def is_unwanted() -> bool:
            task.is_at_work = task.state == "running"
            return not task.is_at_work

        try:
            status, result = await asyncio.to_thread(
                self.worker.ask,
                task.name,
                request,
                most=LONGEST,
                on_progress=tell,
                is_stale=is_unwanted,
            )
        except EndedError:
            task.state = "cancelled"
            return
        finally:
            task.is_at_work = False
        if task.state == "running":
            task.state = "done" if status == 200 else "failed"
            task.result = result

    def progress_of(self, key: str) -> dict[str, Any] | None:
        """How far a task is; None where there is none."""
        task = self.held.get(key)
        if task is None:
            return None
        task.asked_at = time.monotonic()
        shown: dict[str, Any] = {
            "task": key,
            "done": task.done,
            "total": task.total,
            "state": task.state,
        }
        if task.state == "done":
            shown["result"] = task.result
        elif task.state == "failed" and task.result is not None:
            shown["faults"] = task.result["faults"]
        return shown

    def cancel(self, key: str) -> None:
        """Ends a task; files that were being written stay as they were."""
        task = self.held.get(key)
        if task is None or task.state != "running":
            return
        task.state = "cancelled"
        if task.is_at_work:
            self.worker.end()

    async def watch(self) -> None:
        """Ends tasks that nobody asks after, as when their page was closed."""
        while True:
            await asyncio.sleep(LOOK)
            now = time.monotonic()
            for key, task in list(self.held.items()):
                if task.state == "running" and now - task.asked_at > ABANDONED:
                    self.cancel(key)
