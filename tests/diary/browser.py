"""Drives a Chromium without a window over its own pipe (DevTools protocol); standard library only."""

from __future__ import annotations

import fcntl
import json
import os
import select
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
#: Seconds for one answer: a cold start on a busy machine is slow.
PATIENCE = 40.0


def found() -> str | None:
    return next((path for name in NAMES if (path := shutil.which(name))), None)


class Browser:
    """One page. Every request it makes is in ``requests``."""

    def __init__(self, program: str, profile: Path) -> None:
        down, self._say = (fcntl.fcntl(fd, fcntl.F_DUPFD, 20) for fd in os.pipe())
        self._hear, up = (fcntl.fcntl(fd, fcntl.F_DUPFD, 20) for fd in os.pipe())
        command = (
            f'exec "$0" --headless --no-sandbox --disable-gpu --disable-dev-shm-usage --no-first-run '
            f"--disable-background-networking --disable-component-update --remote-debugging-pipe "
            f'--user-data-dir="$1" about:blank 3<&{down} 4>&{up}'
        )
        self._process = subprocess.Popen(
            ["bash", "-c", command, program, str(profile)], pass_fds=(down, up),
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(down)
        os.close(up)
        self._rest = b""
        self._count = 0
        self._session: str | None = None
        self.requests: list[str] = []
        self.errors: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        self._count += 1
        message: dict[str, Any] = {"id": self._count, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._say, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self._count:
                assert "error" not in answer, answer["error"]
                return dict(answer["result"])

    def open(self, file: Path) -> None:
        self.requests.clear()
        self._loaded = False
        self.call("Page.navigate", url=file.as_uri())
        while not self._loaded:
            self._next()

    def value(self, script: str) -> Any:
        return self.call("Runtime.evaluate", expression=script, returnByValue=True)["result"].get("value")

    def size(self, wide: int, high: int) -> None:
        self.call("Emulation.setDeviceMetricsOverride", width=wide, height=high, deviceScaleFactor=1, mobile=False)

    def close(self) -> None:
        self._process.terminate()
        try:
            self._process.wait(10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        os.close(self._say)
        os.close(self._hear)

    def _next(self) -> dict[str, Any]:
        end = time.monotonic() + PATIENCE
        while b"\0" not in self._rest:
            ready, _, _ = select.select([self._hear], [], [], max(0.0, end - time.monotonic()))
            data = os.read(self._hear, 1 << 20) if ready else b""
            if not data:
                raise TimeoutError("the browser does not answer")
            self._rest += data
        raw, self._rest = self._rest.split(b"\0", 1)
        event: dict[str, Any] = json.loads(raw)
        if event.get("method") == "Network.requestWillBeSent":
            self.requests.append(event["params"]["request"]["url"])
        elif event.get("method") == "Page.loadEventFired":
            self._loaded = True
        elif event.get("method") == "Log.entryAdded":
            self.errors.append(event["params"]["entry"]["text"])
        elif event.get("method") == "Runtime.exceptionThrown":
            self.errors.append(str(event["params"]))
        return event
