"""Two hosts with a cable between them: network namespaces of this Linux, a veth pair.

Whatever a thread does while it has entered a host is done there: a process that it starts stays
there, a socket that it opens belongs to it. Each host has a loopback of its own, and no other way
to anywhere than the cable.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

NEEDS_TWO_HOSTS = pytest.mark.skipif(
    sys.platform != "linux" or os.geteuid() != 0 or shutil.which("ip") is None,
    reason="needs Linux, root and ip (iproute2) to make a second host",
)

# Kept for documentation (RFC 5737): no real network that this machine might reach has them.
FIRST, SECOND, THIRD = "192.0.2.1", "192.0.2.2", "192.0.2.66"
CABLE = "cable"
# No network card has it: locally administered, and nobody's.
NOBODY = "02:00:00:00:00:99"

_NAMESPACES = Path("/run/netns")
_HERE = Path("/proc/thread-self/ns/net")


@dataclass(frozen=True)
class Host:
    """One end of the cable; `addresses` are all that it has there."""

    namespace: str
    addresses: tuple[str, ...]

    @contextmanager
    def entered(self) -> Iterator[None]:
        """This thread is there for the block."""
        before = os.open(_HERE, os.O_RDONLY)
        try:
            _enter(_NAMESPACES / self.namespace)
            yield
        finally:
            _enter(Path(f"/proc/self/fd/{before}"))
            os.close(before)

    def ip(self, *arguments: str) -> None:
        ip("-n", self.namespace, *arguments)


@dataclass(frozen=True)
class TwoHosts:
    """The first and the second, and the two ways in which they can be parted."""

    first: Host
    second: Host

    @contextmanager
    def link_down(self, host: Host) -> Iterator[None]:
        """The host's own end of the cable is down: it cannot send at all, and knows at once."""
        host.ip("link", "set", CABLE, "down")
        try:
            yield
        finally:
            host.ip("link", "set", CABLE, "up")

    @contextmanager
    def silence(self) -> Iterator[None]:
        """Both send to a card that is nobody's: nothing is refused, and nothing comes."""
        ways = [(self.first, self.second), (self.second, self.first)]
        entries = [(here, address) for here, there in ways for address in there.addresses]
        for here, address in entries:
            here.ip("neigh", "replace", address, "lladdr", NOBODY, "dev", CABLE, "nud", "permanent")
        try:
            yield
        finally:
            for here, address in entries:
                here.ip("neigh", "del", address, "dev", CABLE)


@contextmanager
def two_hosts(
    first: Sequence[str] = (FIRST,), second: Sequence[str] = (SECOND,)
) -> Iterator[TwoHosts]:
    """Two hosts that reach each other. Skips the test where this machine may not make them."""
    hosts = TwoHosts(_host("first", first), _host("second", second))
    try:
        _make(hosts)
        yield hosts
    finally:
        # With the last process in it a host is gone, and the cable with it.
        for host in (hosts.first, hosts.second):
            _run("netns", "del", host.namespace)


def ip(*arguments: str) -> None:
    done = _run(*arguments)
    assert done.returncode == 0, f"ip {' '.join(arguments)}: {done.stderr}"


def _host(name: str, addresses: Sequence[str]) -> Host:
    # Several runs on one machine: each has its own.
    return Host(f"tablebook-{os.getpid()}-{name}", tuple(addresses))


def _make(hosts: TwoHosts) -> None:
    both = (hosts.first, hosts.second)
    for host in both:
        made = _run("netns", "add", host.namespace)
        if made.returncode:
            pytest.skip(f"a second host cannot be made here: {made.stderr.strip()}")
    ends = [("name", CABLE, "netns", host.namespace) for host in both]
    laid = _run("link", "add", *ends[0], "type", "veth", "peer", *ends[1])
    if laid.returncode:
        pytest.skip(f"no cable can be laid here: {laid.stderr.strip()}")
    for host in both:
        for address in host.addresses:
            host.ip("address", "add", f"{address}/24", "dev", CABLE)
        for link in ("lo", CABLE):
            host.ip("link", "set", link, "up")


def _run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["ip", *arguments], capture_output=True, text=True)


def _enter(namespace: Path) -> None:
    """Python has a function for it from 3.12 on."""
    descriptor = os.open(namespace, os.O_RDONLY)
    try:
        if ctypes.CDLL(None, use_errno=True).setns(descriptor, 0):
            raise OSError(ctypes.get_errno(), f"cannot enter {namespace}")
    finally:
        os.close(descriptor)
