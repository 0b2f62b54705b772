"""The socket that is served on."""

import socket

from service.serving import _listen
from service.settings import Settings


def test_answers_leave_at_once():
    """An accepted connection sends its packets without waiting, as its protocol is named TCP."""
    with (
        _listen(Settings(port=0)) as listener,
        socket.create_connection(listener.getsockname()),
        listener.accept()[0] as accepted,
    ):
        assert accepted.proto == socket.IPPROTO_TCP
        assert accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
