"""A program watched by strace: every address it turns to, and which of them lie outside.

Watched are the calls that name an address: opening a connection, and sending without one. What is
sent through a connection needs no watching, since the connection was opened before. An io_uring
could open connections that strace does not see, so making one is reported as well.
"""

from __future__ import annotations

import ipaddress
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterable
from functools import cache
from pathlib import Path

# The start of a program is watched as well: a trace without one has watched nothing.
_CALLS = "connect,sendto,sendmsg,sendmmsg,io_uring_setup,execve"

# One address as strace prints it. Braces inside quotes belong to a path.
_ADDRESS = re.compile(r'\{sa_family=(\w+)((?:[^{}"]|"(?:[^"\\]|\\.)*")*)\}')
_INTERNET = re.compile(r'htons\((\d+)\).*?"([^"]+)"', re.DOTALL)
# The name servers' own ports (RFC 1035, RFC 7858), and names asked of the neighbours (RFC 6762,
# RFC 4795): a look-up even where the server is on this machine, since it asks others.
_NAME_PORTS = {53, 853, 5353, 5355}
# Sockets of programs that look names up for others. The one of nscd is also asked for users and
# groups; the calls look the same, so they count, too: takeproof needs neither. They count where
# nobody answers as well, since on another machine somebody does.
_NAME_SOCKETS = ("/nscd/", "/systemd/resolve/", "/avahi-daemon/")
# The kernel itself (AF_NETLINK), and ending a connection (AF_UNSPEC).
_INSIDE = {"AF_NETLINK", "AF_UNSPEC"}


def contacts_outside(trace: Iterable[str]) -> list[str]:
    """Lines of a trace that turn to another machine or look up a name, each with the reason.

    What cannot be read counts. So do attempts that failed.
    """
    judged = ((line, _reason_of_line(line)) for line in trace)
    return [f"{reason}: {line.strip()}" for line, reason in judged if reason]


def _reason_of_line(line: str) -> str | None:
    if "io_uring_setup(" in line:
        return "calls that cannot be watched"
    addresses = _ADDRESS.findall(line)
    connects = re.search(r"\bconnect\(", line) is not None
    if line.count("sa_family=") != len(addresses) or (connects and not addresses):
        return "an address that cannot be read"
    reasons = (_reason(family, rest) for family, rest in addresses)
    return next((reason for reason in reasons if reason), None)


def _reason(family: str, rest: str) -> str | None:
    """Why an address lies outside; None where it does not."""
    if family in _INSIDE:
        return None
    if family == "AF_UNIX":
        return "a name look-up" if any(s in rest for s in _NAME_SOCKETS) else None
    place = _INTERNET.search(rest)
    if family not in ("AF_INET", "AF_INET6") or place is None:
        return f"an address of the kind {family}"
    if int(place[1]) in _NAME_PORTS:
        return "a name look-up"
    return None if _is_loopback(place[2]) else "another machine"


def _is_loopback(address: str) -> bool:
    place = ipaddress.ip_address(address)
    inner = getattr(place, "ipv4_mapped", None)
    return bool((inner or place).is_loopback)


def strace(trace: Path) -> list[str]:
    """What to put before a command so that its calls are written to `trace`.

    The tracer runs beside the program (-D), so that the program is our own child. What is sent is
    not written down (-s 0).
    """
    return [
        *("strace", "-D", "-f", "--seccomp-bpf", "-qq", "-s", "0"),
        *("-e", "signal=none", "-e", f"trace={_CALLS}", "-o", str(trace), "--"),
    ]


@cache
def why_not() -> str | None:
    """Why nothing can be traced here; None where it can."""
    if shutil.which("strace") is None:
        return "strace is not installed"
    with tempfile.TemporaryDirectory() as folder:
        trace = Path(folder) / "trace"
        # The program runs whether the tracer may watch it or not; only the trace tells.
        tried = subprocess.run(
            [*strace(trace), "true"], capture_output=True, text=True, check=False
        )
        if trace.exists() and "execve(" in trace.read_text():
            return None
    said = tried.stderr.strip().splitlines() or ["it wrote nothing"]
    return f"strace may not watch programs here: {said[-1]}"
