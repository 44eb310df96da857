"""A leak would be seen: lines as strace writes them, and programs that do turn elsewhere."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.traced import contacts_outside, strace, why_not

NETLINK = "{sa_family=AF_NETLINK, nl_pid=0, nl_groups=00000000}"


def ipv4(address: str, port: int = 443) -> str:
    return f'{{sa_family=AF_INET, sin_port=htons({port}), sin_addr=inet_addr("{address}")}}'


def ipv6(address: str, port: int = 443) -> str:
    return (
        f"{{sa_family=AF_INET6, sin6_port=htons({port}), sin6_flowinfo=htonl(0), "
        f'inet_pton(AF_INET6, "{address}", &sin6_addr), sin6_scope_id=0}}'
    )


def unix(path: str) -> str:
    return f"{{sa_family=AF_UNIX, sun_path={path}}}"


def connect(address: str, gave: str = "0") -> str:
    return f"812 connect(3, {address}, 16) = {gave}"


def message(address: str) -> str:
    return f"{{msg_name={address}, msg_namelen=16, msg_iov=[...], msg_iovlen=1, msg_flags=0}}"


OUTSIDE = {
    connect(ipv4("192.0.2.1")): "another machine",
    connect(ipv4("192.0.2.1"), "-1 ENETUNREACH (Network is unreachable)"): "another machine",
    connect(ipv4("10.0.0.7")): "another machine",
    connect(ipv4("0.0.0.0")): "another machine",
    connect(ipv6("2001:db8::1")): "another machine",
    connect(ipv6("fe80::1")): "another machine",
    connect(ipv6("::ffff:192.0.2.1")): "another machine",
    f"812 connect(3, {ipv4('192.0.2.1')}, 16 <unfinished ...>": "another machine",
    f'812 sendto(3, ""..., 5, MSG_NOSIGNAL, {ipv4("192.0.2.1")}, 16) = 5': "another machine",
    f"812 sendmsg(3, {message(ipv6('2001:db8::1'))}, 0) = 1": "another machine",
    f"812 <... sendmsg resumed>{message(ipv4('192.0.2.1'))}, 0) = 1": "another machine",
    f"812 sendmmsg(3, [{{msg_hdr={message(ipv4('127.0.0.1'))}, msg_len=5}}, "
    f"{{msg_hdr={message(ipv4('192.0.2.1'))}, msg_len=5}}], 2, 0) = 2": "another machine",
    connect(ipv4("192.0.2.53", 53)): "a name look-up",
    connect(ipv4("127.0.0.53", 53)): "a name look-up",
    connect(ipv6("::1", 53)): "a name look-up",
    f'812 sendto(3, ""..., 5, 0, {ipv4("224.0.0.251", 5353)}, 16) = 5': "a name look-up",
    connect(unix('"/var/run/nscd/socket"'), "-1 ENOENT (No such file or directory)"): (
        "a name look-up"
    ),
    connect(unix('"/run/systemd/resolve/io.systemd.Resolve"')): "a name look-up",
    connect("{sa_family=AF_VSOCK, svm_cid=0x2, svm_port=0x400, svm_flags=0}"): "the kind AF_VSOCK",
    connect('{sa_family=AF_BLUETOOTH, sa_data=""...}'): "the kind AF_BLUETOOTH",
    connect("{sa_family=AF_INET, sa_data={}}"): "cannot be read",
    '812 sendto(3, ""..., 5, 0, {sa_family=AF_INET, sa_data={}}, 16) = 5': "cannot be read",
    "812 connect(3, 0x7ffd3a1c, 16) = -1 EFAULT (Bad address)": "cannot be read",
    "812 io_uring_setup(8, {flags=0, sq_thread_cpu=0}) = 4": "cannot be watched",
}

INSIDE = [
    connect(ipv4("127.0.0.1", 8000)),
    connect(ipv4("127.8.9.10")),
    connect(ipv6("::1")),
    connect(ipv6("::ffff:127.0.0.1")),
    connect(unix('"/run/dbus/system_bus_socket"')),
    connect(unix('@"/tmp/.X11-unix/X0"')),
    connect(unix('"/tmp/a{b}\\"c"'), "-1 ENOENT (No such file or directory)"),
    connect(NETLINK),
    connect('{sa_family=AF_UNSPEC, sa_data=""...}'),
    f'812 sendto(3, ""..., 20, 0, {NETLINK}, 12) = 20',
    '812 sendto(3, ""..., 5, 0, NULL, 0)   = 5',
    f"812 connect(3, {ipv4('127.0.0.1')}, 16 <unfinished ...>",
    "812 <... connect resumed>)            = -1 EINPROGRESS (Operation now in progress)",
    f"812 sendmsg(3, {message('NULL')}, 0) = 1",
    f"812 sendmsg(3, {message(ipv4('127.0.0.1'))}, 0) = 1",
    "812 +++ exited with 0 +++",
    "",
]


@pytest.mark.parametrize(("line", "reason"), OUTSIDE.items())
def test_whoever_turns_outside_is_reported(line: str, reason: str) -> None:
    (told,) = contacts_outside([line])
    assert reason in told.removesuffix(line) and told.endswith(line)


@pytest.mark.parametrize("line", INSIDE)
def test_whoever_stays_inside_is_not(line: str) -> None:
    assert contacts_outside([line]) == []


def test_every_line_of_a_trace_is_read() -> None:
    assert len(contacts_outside([*INSIDE, *OUTSIDE, *INSIDE])) == len(OUTSIDE)


# A datagram socket that is connected sends nothing. The addresses are kept free for documentation
# (RFC 5737, RFC 3849).
LEAKS = {
    "IPv4": "socket.socket(socket.AF_INET, socket.SOCK_DGRAM).connect(('192.0.2.1', 9))",
    "IPv6": "socket.socket(socket.AF_INET6, socket.SOCK_DGRAM).connect(('2001:db8::1', 9))",
    "name server": "socket.socket(socket.AF_INET, socket.SOCK_DGRAM).connect(('127.0.0.1', 53))",
    "name socket": "socket.socket(socket.AF_UNIX).connect('/var/run/nscd/socket')",
}
WAYS = {
    "itself": "{}",
    "a thread": "t = threading.Thread(target=lambda: {}); t.start(); t.join()",
    "a child": "import multiprocessing as m; p = m.get_context('fork').Process(target=lambda: {});"
    "p.start(); p.join()",
}


@pytest.mark.slow
@pytest.mark.skipif(why_not() is not None, reason=str(why_not()))
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("leak", LEAKS)
def test_a_program_that_turns_outside_is_caught(tmp_path: Path, leak: str, way: str) -> None:
    trace = tmp_path / "trace"
    code = f"import socket, threading; {WAYS[way].format(LEAKS[leak])}"
    # The pipe stays open until the tracer is done as well.
    subprocess.run([*strace(trace), sys.executable, "-c", code], capture_output=True, check=False)
    assert contacts_outside(trace.read_text().splitlines())


@pytest.mark.slow
@pytest.mark.skipif(why_not() is not None, reason=str(why_not()))
def test_a_program_that_stays_inside_is_not(tmp_path: Path) -> None:
    trace = tmp_path / "trace"
    code = (
        "import socket; s = socket.create_server(('127.0.0.1', 0));"
        "c = socket.create_connection(s.getsockname()); c.sendall(b'x'); s.accept()[0].recv(1)"
    )
    subprocess.run([*strace(trace), sys.executable, "-c", code], capture_output=True, check=True)
    lines = trace.read_text().splitlines()
    assert any("127.0.0.1" in line for line in lines)
    assert contacts_outside(lines) == []
