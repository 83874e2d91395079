"""Fifty screens that show one painting while it is edited five times a second for two minutes, over loopback.

Each screen listens to the painting's events and fetches its state at every change, as the easel page does. Told: how long after
an edit was sent the screens had its state (median, 99th percentile, most), whether all ended on the same state, and how the
server's memory grew. Needs the release build; Linux (memory is read from /proc).
"""

import asyncio
import json
import os
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests/outside"))

from running import Running  # noqa: E402

SCREENS = int(os.environ.get("SCREENS", "50"))
SECONDS = float(os.environ.get("SECONDS", "120"))
EDITS_A_SECOND = 5
PROGRAM = Path(os.environ.get("MAHLSTICK_TARGET", "target")) / "release/mahlstick"


class Line:
    """A connection that is kept open."""

    def __init__(self, port):
        self.port = port

    async def open(self):
        self.reader, self.writer = await asyncio.open_connection("127.0.0.1", self.port)
        return self

    async def head(self, method, path, body=b""):
        self.writer.write(
            f"{method} {path} HTTP/1.1\r\nhost: 127.0.0.1:{self.port}\r\ncontent-type: application/json\r\n"
            f"content-length: {len(body)}\r\n\r\n".encode() + body
        )
        head = (await self.reader.readuntil(b"\r\n\r\n")).decode().lower()
        return int(head.split()[1]), head

    async def ask(self, method, path, body=b""):
        status, head = await self.head(method, path, body)
        length = int(head.split("content-length: ")[1].split("\r\n")[0])
        return status, await self.reader.readexactly(length)


class Screen:
    """One easel screen."""

    def __init__(self, port, path, sent, waits):
        self.port, self.path, self.sent, self.waits = port, path, sent, waits
        self.state = None

    async def run(self, ready):
        events, line = await Line(self.port).open(), await Line(self.port).open()
        await events.head("GET", self.path + "/events")
        _, self.state = await line.ask("GET", self.path)
        seen = json.loads(self.state)["revision"]
        ready.release()
        while True:
            text = await events.reader.readline()
            if not text:
                return
            if not text.startswith(b"data:") or b"revision" not in text:
                continue
            if json.loads(text[5:])["revision"] <= seen:
                continue
            _, self.state = await line.ask("GET", self.path)
            now, revision = time.perf_counter(), json.loads(self.state)["revision"]
            for number in range(seen + 1, revision + 1):
                if number in self.sent:
                    self.waits.append(now - self.sent[number])
            seen = revision


def memory(process):
    for text in Path(f"/proc/{process.pid}/status").read_text().splitlines():
        if text.startswith("VmRSS:"):
            return int(text.split()[1]) / 1024
    return 0.0


async def main():
    with tempfile.TemporaryDirectory() as folder:
        studio = Running(PROGRAM, f"{folder}/Paintings")
        process = studio.process
        try:
            port = int(studio.address.rsplit(":", 1)[1])
            hand = await Line(port).open()
            shelf = json.loads((await hand.ask("GET", "/api/shelf"))[1])
            path = f"/api/paintings/{shelf['paintings'][0]['id']}"
            sent, waits, ready = {}, [], asyncio.Semaphore(0)
            screens = [Screen(port, path, sent, waits) for _ in range(SCREENS)]
            tasks = [asyncio.create_task(screen.run(ready)) for screen in screens]
            for _ in screens:
                await ready.acquire()
            revision = json.loads((await hand.ask("GET", path))[1])["revision"]
            at_first, peaks = memory(process), []
            begun = time.perf_counter()
            for number in range(int(SECONDS * EDITS_A_SECOND)):
                await asyncio.sleep(max(0.0, begun + number / EDITS_A_SECOND - time.perf_counter()))
                columns = 2 + number % 7
                edit = {"revision": revision, "edit": {"grid": {"do": "parts", "columns": columns, "rows": columns}}}
                start = time.perf_counter()
                # Known before the answer comes, for screens may be quicker than it.
                sent[revision + 1] = start
                status, answer = await hand.ask("POST", path + "/edits", json.dumps(edit).encode())
                assert status == 200, answer
                revision = json.loads(answer)["revision"]
                sent.setdefault(revision, start)
                if number % EDITS_A_SECOND == 0:
                    peaks.append(memory(process))
            await asyncio.sleep(1)
            for task in tasks:
                task.cancel()
            _, last = await hand.ask("GET", path)
            same = sum(screen.state == last for screen in screens)
            waits.sort()
            pick = lambda share: 1000 * waits[min(len(waits) - 1, int(share * len(waits)))]
            quarter = len(peaks) // 4
            print(f"{SCREENS} screens, {len(sent)} edits in {SECONDS:.0f} s, {len(waits)} states fetched")
            print(f"edit to screen: median {pick(0.5):.1f} ms, 99 % {pick(0.99):.1f} ms, most {1000 * waits[-1]:.1f} ms")
            print(f"on the same state at the end: {same} of {SCREENS}")
            print(
                f"server's memory: {at_first:.0f} MiB at first, {sum(peaks[quarter:2 * quarter]) / quarter:.1f} MiB in the second "
                f"quarter, {sum(peaks[-quarter:]) / quarter:.1f} MiB in the last"
            )
        finally:
            studio.stop()


asyncio.run(main())
