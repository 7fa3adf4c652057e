"""A table of phones on plain asyncio sockets, as browsers keep them: one connection a phone, kept open, sent again until acknowledged."""

from __future__ import annotations

import asyncio
import json
import time
from dataclasses import dataclass, field


@dataclass
class Phone:
    """One taster's phone: its words and a connection that is opened when needed."""

    port: int
    token: str
    broken_off: int = 0  # requests that went out and never had their answer
    asking: bool = False
    line: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = field(default=None, repr=False)

    async def say(self, method: str, path: str, body: bytes = b"") -> tuple[int, bytes]:
        """One request and its answer.

        Raises: OSError, EOFError when the server is away.
        """
        if self.line is None:
            self.line = await asyncio.open_connection("127.0.0.1", self.port)
        reader, writer = self.line
        head = f"{method} {path} HTTP/1.1\r\nhost: kitchen.test\r\ncontent-type: application/json\r\ncontent-length: {len(body)}\r\n\r\n"
        self.asking = True
        try:
            writer.write(head.encode() + body)
            await writer.drain()
            lines = (await reader.readuntil(b"\r\n\r\n")).decode().lower().split("\r\n")
            status = int(lines[0].split(" ")[1])
            long = next(int(x.split(":")[1]) for x in lines if x.startswith("content-length:"))
            said = await reader.readexactly(long)
        except (OSError, EOFError, ValueError, StopIteration):
            self.broken_off += 1
            self.hang_up()
            raise OSError("the server is away") from None
        finally:
            self.asking = False
        if "connection: close" in lines:
            self.hang_up()
        return status, said

    def hang_up(self) -> None:
        """Let go of the connection."""
        if self.line is not None:
            self.line[1].close()
            self.line = None

    async def mark(self, code: str, until: float, value: int = 6) -> bool:
        """Send one plate's marks until they are acknowledged, as a phone does."""
        body = json.dumps({"code": code, "m0": value, "m1": "5", "m2": "7", "m3": "4", "at": "2026-11-25T12:00"}).encode()
        while time.monotonic() < until:
            kept_open = self.line is not None
            try:
                status, said = await asyncio.wait_for(self.say("POST", f"/t/{self.token}/marks", body), 8)
                if status == 200 and json.loads(said)["answer"] == "kept":
                    return True
            except (OSError, TimeoutError, ValueError):
                self.hang_up()
                if kept_open:
                    continue  # the server had let go of an idle connection: a browser asks again at once on a new one
            await asyncio.sleep(0.1)
        return False
