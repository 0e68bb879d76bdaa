"""The server of the page: one endpoint a task, JSON in and out, files only inside one folder."""

import asyncio
import base64
import contextlib
import functools
import json
import socket
from collections.abc import AsyncIterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from templategen.app.folder import PICTURES, WorkFolder
from templategen.errors import InputError
from templategen.messages import Text, Wording, languages, tr
from templategen.page import keeping
from templategen.page.faults import GONE, WRONG, Answer, fault
from templategen.page.guard import HOST, Guard
from templategen.page.tasks import MOST_TASKS, Tasks
from templategen.page.work import ROOT
from templategen.page.worker import EndedError, Worker, answered

if TYPE_CHECKING:
    from starlette.types import ASGIApp

STATIC = Path(__file__).resolve().parent / "static"
KINDS = {  # what is served, by ending
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".pdf": "application/pdf",
    ".dxf": "application/octet-stream",
    ".csv": "text/csv; charset=utf-8",
    ".toml": "text/plain; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
}
SHOWN = (".pdf", ".png", ".txt")  # of the folder; all others are offered as downloads
PLAN_WAIT, ADVICE_WAIT, QUICK_WAIT = 20.0, 60.0, 30.0  # s
LIVE = ("plan", "move", "unpin")
LONG = ("chart", "log", "thumbs", "preview", "save", "verify", "scale_sheet", "scan")
MOST_WINDOWS = 200
OLD_ADVICE = 1.0  # s after which the making of one that nobody wants is ended
MOST_AT_ONCE = 40  # requests
SCANS = "scans"  # folder of pictures that the page puts in
BACKLOG = 64  # connections that wait


@dataclass(slots=True)
class Turns:
    """The newest request of each window, so that older ones are dropped."""

    newest: dict[str, float] = field(default_factory=dict)

    def begin(self, window: str, serial: float) -> None:
        """Takes note of a request."""
        if len(self.newest) >= MOST_WINDOWS and window not in self.newest:
            del self.newest[next(iter(self.newest))]
        self.newest[window] = max(serial, self.newest.get(window, serial))

    def is_stale(self, window: str, serial: float) -> bool:
        """Whether a newer request of that window has come."""
        return self.newest.get(window, serial) > serial


class PageServer:
    """What answers; `app` is the application behind the guard.

    Args:
        folder: where all files are.
        language: of windows that ask for none.
    """

    def __init__(self, folder: WorkFolder, *, language: str) -> None:
        self.folder, self.static = folder, WorkFolder(STATIC)
        self.language = language
        self.live = Worker("templategen.page.planning")
        self.adviser = Worker("templategen.page.planning")
        self.long = Worker("templategen.page.work")
        self.tasks = Tasks(self.long)
        self.turns, self.advice_turns = Turns(), Turns()
        self.app: ASGIApp = Starlette(
            routes=[
                Route("/", self._index),
                Route("/static/{path:path}", self._static),
                Route("/file/{path:path}", self._file),
                Route("/api/page/{preview}/{page:int}.png", self._picture),
                Route("/upload/{name}", self._upload, methods=["POST"]),
                Route("/api/{name}", self._api, methods=["POST"]),
            ],
            lifespan=self._lifespan,
        )

    @asynccontextmanager
    async def _lifespan(self, _: Starlette) -> AsyncIterator[None]:
        # Each request that waits for its turn holds a thread.
        threads = ThreadPoolExecutor(MOST_AT_ONCE + MOST_TASKS + 4)
        asyncio.get_running_loop().set_default_executor(threads)
        warm = [asyncio.create_task(asyncio.to_thread(w.warm)) for w in (self.live, self.adviser)]
        for task in warm:  # one that ends with its worker is nothing to report
            task.add_done_callback(lambda done: done.cancelled() or done.exception())
        watch = asyncio.create_task(self.tasks.watch())
        try:
            yield
        finally:
            watch.cancel()
            for worker in (self.live, self.adviser, self.long):
                worker.close()
            await asyncio.wait(warm)

    async def _index(self, _: Request) -> Response:
        return _served(STATIC / "index.html")

    async def _static(self, request: Request) -> Response:
        path = _held(self.static, request.path_params["path"])
        return self._gone() if path is None else _served(path)

    async def _file(self, request: Request) -> Response:
        path = _held(self.folder, request.path_params["path"])
        if path is None:
            return self._gone()
        shown = path.suffix.lower() in SHOWN and "download" not in request.query_params
        return _served(path, download=not shown)

    async def _picture(self, request: Request) -> Response:
        wanted = {
            "id": request.path_params["preview"],
            "page": request.path_params["page"],
            "language": self.language,
        }
        status, held = await self._asked(self.long, "picture", wanted, most=QUICK_WAIT)
        if status != 200 or not held["png"]:
            return self._gone()
        return Response(base64.b64decode(held["png"]), media_type=KINDS[".png"])

    async def _upload(self, request: Request) -> Response:
        """Puts a picture of a scan into the folder."""
        file, data = f"{SCANS}/{request.path_params['name']}", await request.body()

        def put() -> dict[str, Any]:
            return {"file": self.folder.put(file, data, *PICTURES)}

        language = request.query_params.get("language", self.language)
        return _answer(await asyncio.to_thread(answered, put, {"language": language}))

    async def _api(self, request: Request) -> Response:
        name = request.path_params["name"]
        asked = self._request(await request.body())
        if asked is None:
            wording = Wording(self.language)
            return _answer((WRONG, {"faults": [fault(tr("is not JSON"), wording)]}))
        if name in LIVE:
            return _answer(await self._live(name, asked))
        if name == "advice":
            return _answer(await self._advice(asked))
        if name in LONG:
            begin = functools.partial(self.tasks.begin, name, asked)
            return _answer(answered(lambda: {"task": begin()}, asked))
        if name in ("task", "cancel"):
            return _answer(self._task(name, asked))
        if name in keeping.ANSWERS:
            make = functools.partial(keeping.ANSWERS[name], asked, self.folder)
            return _answer(await asyncio.to_thread(answered, make, asked))
        return self._gone()

    def _request(self, body: bytes) -> dict[str, Any] | None:
        """The object of a body with its language and our folder put in; None where it is none."""
        try:
            asked = json.loads(body or b"{}")
        except (ValueError, RecursionError):
            return None
        if not isinstance(asked, dict):
            return None
        if asked.get("language") not in languages():
            asked["language"] = self.language
        asked[ROOT] = str(self.folder.root)
        return asked

    async def _live(self, name: str, asked: dict[str, Any]) -> Answer:
        window, serial = _turn_of(asked)
        self.turns.begin(window, serial)
        stale = functools.partial(self.turns.is_stale, window, serial)
        return await self._asked(self.live, name, asked, most=PLAN_WAIT, is_stale=stale)

    async def _advice(self, asked: dict[str, Any]) -> Answer:
        window, serial = _turn_of(asked)
        self.advice_turns.begin(window, serial)
        if self.adviser.busy_for() > OLD_ADVICE:
            self.adviser.end()
        stale = functools.partial(self.advice_turns.is_stale, window, serial)
        return await self._asked(self.adviser, "advice", asked, most=ADVICE_WAIT, is_stale=stale)

    async def _asked(
        self,
        worker: Worker,
        name: str,
        asked: Mapping[str, Any],
        **options: Any,  # noqa: ANN401 - those of `Worker.ask`
    ) -> Answer:
        try:
            return await asyncio.to_thread(worker.ask, name, asked, **options)
        except EndedError:
            return 200, {"stale": True, "serial": asked.get("serial")}

    def _task(self, name: str, asked: dict[str, Any]) -> Answer:
        wanted = str(asked.get("task"))
        if name == "cancel":
            self.tasks.cancel(wanted)
        found = self.tasks.progress_of(wanted)
        if found is None:
            return self._missing(tr("no such task"), asked)
        return 200, found

    def _missing(self, what: Text, asked: Mapping[str, Any]) -> Answer:
        return GONE, {"faults": [fault(what, Wording(str(asked["language"])))]}

    def _gone(self) -> Response:
        return _answer(self._missing(tr("no such file"), {"language": self.language}))


def _turn_of(asked: Mapping[str, Any]) -> tuple[str, float]:
    serial = asked.get("serial")
    if isinstance(serial, bool) or not isinstance(serial, int | float) or abs(serial) > 1e15:
        serial = 0
    return str(asked.get("window"))[:64], float(serial)


def _answer(answer: Answer) -> Response:
    status, held = answer
    return JSONResponse(held, status_code=status)


def _held(folder: WorkFolder, file: str) -> Path | None:
    """A file of a folder that may be served, or None."""
    try:
        path = folder.path_of(file, *KINDS)
    except InputError:
        return None
    return path if path.is_file() else None


def _served(path: Path, *, download: bool = False) -> Response:
    kind = KINDS.get(path.suffix.lower(), "application/octet-stream")
    return FileResponse(path, media_type=kind, filename=path.name if download else None)


def listening(port: int) -> socket.socket:
    """A socket on this machine alone; a port of 0 takes a free one.

    Raises:
        InputError: the port is taken, or none that a user may take.
    """
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        found.bind((HOST, port))
        found.listen(BACKLOG)  # a browser that comes before the server answers waits
    except (OSError, OverflowError) as error:
        found.close()
        raise InputError(
            tr("port {port} cannot be used", port=str(port)),
            where="--port",
            mend=tr("leave it out, or give another from 1024 to 65535"),
        ) from error
    return found


def serve(server: PageServer, line: socket.socket, *, key: str) -> None:
    """Serves until it is interrupted.

    Args:
        server: what answers.
        line: from `listening`.
        key: that every address begins with.
    """
    guard = Guard(server.app, key=key, port=line.getsockname()[1])
    config = uvicorn.Config(
        guard,
        log_level="critical",
        access_log=False,
        limit_concurrency=MOST_AT_ONCE,
        timeout_keep_alive=30,
        timeout_graceful_shutdown=2,
        server_header=False,
        date_header=False,
        proxy_headers=False,
        ws="none",
        h11_max_incomplete_event_size=32_768,
    )
    with contextlib.suppress(KeyboardInterrupt):  # the usual way to end it
        uvicorn.Server(config).run(sockets=[line])


def address_of(line: socket.socket, key: str) -> str:
    """What a browser opens."""
    return f"http://{HOST}:{line.getsockname()[1]}/{key}/"
