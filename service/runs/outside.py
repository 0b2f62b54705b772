"""The outside: which addresses the service may call, and one request to such an address.

Whoever names an address for the service to call could aim it at what only the service can reach.
So an operator lists the hosts, and networks where private ones are meant; a name is resolved here,
every address behind it is judged, and the connection goes to the very one that was judged. Nothing
is ever redirected, and of the answer only the status is looked at.
"""

import asyncio
import ipaddress
import socket
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import SplitResult, urlsplit

import httpx

MOST_SECONDS = 10.0
"""For the whole request, from the name to the answer's status."""

_NAT64 = ipaddress.ip_network("64:ff9b::/96")

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


class NotAllowed(Exception):
    """The operator has not allowed the address; the text says what about it."""


@dataclass(frozen=True)
class Allowed:
    """The hosts and networks that the service may call."""

    names: frozenset[str]
    networks: tuple[ipaddress.IPv4Network | ipaddress.IPv6Network, ...]

    @classmethod
    def read(cls, listed: str) -> "Allowed":
        """Return what is `listed`, with commas between: names, `*.` before them for all under one,
        addresses and networks."""
        names, networks = set(), []
        for entry in (part.strip().lower() for part in listed.split(",")):
            try:
                networks.append(ipaddress.ip_network(entry, strict=False))
            except ValueError:
                names.add(entry)
        return cls(frozenset(names - {""}), tuple(networks))

    @property
    def is_nobody(self) -> bool:
        """Whether nobody may be called."""
        return not self.names and not self.networks

    def check(self, url: str) -> SplitResult:
        """Return the parts of `url`; raise NotAllowed for what cannot be called, whatever its name
        leads to."""
        try:
            parts = urlsplit(url)
            host, _ = (parts.hostname or "").lower(), parts.port
        except ValueError:
            raise NotAllowed("is no address") from None
        if parts.scheme not in {"http", "https"} or not host or not url.isascii():
            raise NotAllowed("must be an address that begins with https:// and names a host")
        if parts.username is not None or parts.fragment:
            raise NotAllowed("must bear no user name and no fragment")
        literal = _as_address(host)
        if literal is not None:
            if not self._lists(literal):
                raise NotAllowed("is on no network that this service's operator allows")
        elif not self._names(host):
            raise NotAllowed("is at no host that this service's operator allows")
        return parts

    def may_reach(self, address: Address, scheme: str) -> bool:
        """Tell whether a connection may go to `address`: a public one with TLS, or a listed one."""
        return self._lists(address) or (scheme == "https" and _is_public(address))

    def _names(self, host: str) -> bool:
        above = host.partition(".")[2]
        return host in self.names or (f"*.{above}" in self.names and bool(above))

    def _lists(self, address: Address) -> bool:
        return any(address in network for network in self.networks)


async def send(url: str, body: bytes, headers: Mapping[str, str], allowed: Allowed) -> int:
    """Post `body` to `url` and return the status of the answer.

    Raises NotAllowed, TimeoutError, OSError or httpx.HTTPError where there is none.
    """
    async with asyncio.timeout(MOST_SECONDS):
        parts = allowed.check(url)
        host = parts.hostname or ""
        address = await _judged(host, parts, allowed)
        pinned = httpx.URL(url).copy_with(host=str(address))
        async with (
            httpx.AsyncClient(trust_env=False, timeout=MOST_SECONDS) as client,
            client.stream(
                "POST",
                pinned,
                content=body,
                headers={**headers, "Host": parts.netloc},
                extensions={"sni_hostname": host},  # whose certificate is asked for and checked
            ) as answer,
        ):
            return answer.status_code


async def _judged(host: str, parts: SplitResult, allowed: Allowed) -> Address:
    """Return an address behind `host`, all of which may be called; raise NotAllowed."""
    port = parts.port or (443 if parts.scheme == "https" else 80)
    loop = asyncio.get_running_loop()
    found = await loop.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    addresses = [_unwrapped(ipaddress.ip_address(entry[4][0])) for entry in found]
    if not all(allowed.may_reach(address, parts.scheme) for address in addresses):
        raise NotAllowed("leads to an address that is not public, or is reached without TLS")
    return addresses[0]


def _as_address(host: str) -> Address | None:
    try:
        return _unwrapped(ipaddress.ip_address(host))
    except ValueError:
        return None


def _unwrapped(address: Address) -> Address:
    """Return the IPv4 address that an IPv6 one stands for, where it stands for one."""
    if isinstance(address, ipaddress.IPv4Address):
        return address
    if address in _NAT64:
        return ipaddress.IPv4Address(int(address) & 0xFFFF_FFFF)
    return address.ipv4_mapped or address.sixtofour or address


def _is_public(address: Address) -> bool:
    return address.is_global and not address.is_multicast
