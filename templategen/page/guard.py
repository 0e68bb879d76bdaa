"""Lets through only what our own page on this machine asks: address, key, origin, size and time.

A page of another site in the same browser can send requests here, but it knows no key, it cannot
set Host or Origin, and it reads no answer. A name that another site lets point to this machine
(DNS rebinding) fails at Host. Whatever is refused gets a bare answer that tells nothing.
"""

import asyncio
import json
import secrets

from starlette.types import ASGIApp, Message, Receive, Scope, Send

HOST = "127.0.0.1"
MOST_BYTES = 1_000_000  # of a body
MOST_WAIT = 10.0  # s for a body to arrive
UPLOAD = "/upload/"  # pictures of scans, one at a time
MOST_UPLOAD = 80_000_000  # bytes: an A4 sheet at 600 dpi in colours, as PNG
KEY_BYTES = 24  # of randomness
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; font-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; object-src 'none'"
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cache-control", b"no-store"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), geolocation=(), microphone=()"),
)
OWN_SITES = (b"same-origin", b"none")  # Sec-Fetch-Site of our page and of a typed address


def new_key() -> str:
    """A key that nobody guesses, of letters that an address takes."""
    return secrets.token_urlsafe(KEY_BYTES)


class Guard:
    """Stands before the whole server.

    Args:
        app: what is guarded; it sees paths without the key.
        key: that every address begins with.
        port: that the server listens on.
    """

    def __init__(self, app: ASGIApp, *, key: str, port: int) -> None:
        self.app = app
        self.key = key
        self.hosts = (f"{HOST}:{port}".encode(), f"localhost:{port}".encode())
        self._is_uploading = False

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuses, or hands the request on."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":  # a websocket: there are none
            await send({"type": "websocket.close", "code": 1008})
            return
        status = self._refusal(scope)
        if status:
            await _refuse(status, send)
            return
        path = scope["path"][len(self.key) + 1 :]
        if not path.startswith(UPLOAD):
            await self._hand_on(scope, receive, send, path, MOST_BYTES)
        elif self._is_uploading:
            await _refuse(429, send)
        else:
            self._is_uploading = True
            try:
                await self._hand_on(scope, receive, send, path, MOST_UPLOAD)
            finally:
                self._is_uploading = False

    async def _hand_on(
        self, scope: Scope, receive: Receive, send: Send, path: str, most: int
    ) -> None:
        """Reads the body within its bounds and lets the server answer."""
        try:
            body = await asyncio.wait_for(_body(receive, most), MOST_WAIT)
        except TimeoutError:
            await _refuse(408, send)
            return
        if body is None:
            await _refuse(413, send)
            return
        inner = {**scope, "path": path, "raw_path": path.encode(), "root_path": ""}
        await self.app(inner, _given(body, receive), _with_headers(send))

    def _refusal(self, scope: Scope) -> int:
        """The status of a request that is refused; 0 for one that is not."""
        headers: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name, []).append(value)
        host = headers.get(b"host", [])
        if len(host) != 1 or host[0] not in self.hosts:
            return 403
        own = [b"http://" + host[0]]
        if headers.get(b"origin", own) != own:
            return 403
        if any(site not in OWN_SITES for site in headers.get(b"sec-fetch-site", [])):
            return 403
        first, slash, rest = scope["path"][1:].partition("/")
        is_upload = f"/{rest}".startswith(UPLOAD)
        good = secrets.compare_digest(first.encode(), self.key.encode())
        if not good or not slash:
            return 403
        if scope["method"] not in ("GET", "POST"):
            return 405
        if scope["method"] == "POST":
            kind = headers.get(b"content-type", [b""])[0].partition(b";")[0].strip().lower()
            # What a form of another site can send without asking first is neither of these.
            wanted = b"application/octet-stream" if is_upload else b"application/json"
            if kind != wanted:
                return 415
        length = headers.get(b"content-length", [b"0"])[0]
        if not length.isdigit() or int(length[:20]) > (MOST_UPLOAD if is_upload else MOST_BYTES):
            return 413
        return 0


async def _body(receive: Receive, most: int) -> bytes | None:
    """The whole body; None where it is too large."""
    parts: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return b"".join(parts)
        part = message.get("body", b"")
        size += len(part)
        if size > most:
            return None
        parts.append(part)
        if not message.get("more_body"):
            return b"".join(parts)


def _given(body: bytes, receive: Receive) -> Receive:
    """Hands out the body that was read, then what comes after it."""
    is_given = False

    async def give() -> Message:
        nonlocal is_given
        if is_given:
            return await receive()
        is_given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return give


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message.get("headers", []), *HEADERS]}
        await send(message)

    return sent


async def _refuse(status: int, send: Send) -> None:
    what = {"doc": "", "key": "", "what": "refused", "mend": "", "line": "refused"}
    body = json.dumps({"faults": [what]}).encode()
    kind = (b"content-type", b"application/json")
    length = (b"content-length", str(len(body)).encode())
    await send({"type": "http.response.start", "status": status,
                "headers": [kind, length, *HEADERS]})  # fmt: skip
    await send({"type": "http.response.body", "body": body})
