"""One headless Chromium for all tests of pages, spoken to over its own pipe: pages are opened, measured and printed."""

from __future__ import annotations

import base64
import json
import os
import subprocess
from pathlib import Path
from types import TracebackType
from typing import Any

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-dev-shm-usage",
    "--hide-scrollbars",
)
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height [mm]."""
INCH_MM = 25.4


class Browser:
    """A browser with one tab. Use it as a context; every call waits for its answer."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        theirs, self._to = os.pipe()
        self._from, back = os.pipe()
        command = " ".join(("exec", "chromium", *FLAGS, f"--user-data-dir='{folder / 'profile'}'"))
        command += f" --remote-debugging-pipe about:blank 3<&{theirs} 4>&{back}"
        self._process = subprocess.Popen(
            ["bash", "-c", command], pass_fds=(theirs, back), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        os.close(theirs)
        os.close(back)
        self._rest, self._number, self._session = b"", 0, ""
        self._events: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self.call("Page.enable")

    def __enter__(self) -> Browser:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._process.terminate()
        self._process.wait(timeout=20)
        os.close(self._to)
        os.close(self._from)

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """The answer to one command of the DevTools protocol."""
        self._number += 1
        said: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            said["sessionId"] = self._session
        os.write(self._to, json.dumps(said).encode() + b"\0")
        while True:
            found = self._next()
            if found.get("id") == self._number:
                assert "error" not in found, f"{method}: {found['error']}"
                answer: dict[str, Any] = found["result"]
                return answer
            self._events.append(found.get("method", ""))

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._rest:
            read = os.read(self._from, 1 << 16)
            assert read, "the browser has ended"
            self._rest += read
        one, _, self._rest = self._rest.partition(b"\0")
        found: dict[str, Any] = json.loads(one)
        return found

    def show(self, html: str, *, width: int = 1280, media: str = "screen", dark: bool = False) -> None:
        """Opens a page in a window of this width and waits until it is there."""
        file = self.folder / "page.html"
        file.write_text(html, encoding="utf-8")
        self.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=width < 500
        )
        self.call("Emulation.setEmulatedMedia", media=media)
        self.call("Emulation.setAutoDarkModeOverride", **({"enabled": True} if dark else {}))
        self._events = []
        self.call("Page.navigate", url=file.as_uri())
        while "Page.loadEventFired" not in self._events:
            self._events.append(self._next().get("method", ""))

    def ask(self, script: str) -> Any:
        """The value of a script on the page, a promise waited for."""
        found = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in found, found["exceptionDetails"]
        return found["result"].get("value")

    def pdf(self, paper: str) -> bytes:
        """The page that is shown, printed on this paper: whoever prints chooses it, not the page."""
        wide, high = PAPERS[paper]
        sized = {"paperWidth": wide / INCH_MM, "paperHeight": high / INCH_MM}
        self.call("Emulation.setEmulatedMedia", media="print")
        return base64.b64decode(self.call("Page.printToPDF", **sized, printBackground=False)["data"])

    def picture(self, x: float, y: float, side: float = 3.0) -> bytes:
        """A few pixels of the page as a PNG."""
        clip = {"x": x, "y": y, "width": side, "height": side, "scale": 1}
        return base64.b64decode(self.call("Page.captureScreenshot", format="png", clip=clip)["data"])
