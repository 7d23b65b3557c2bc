"""For the JupyterLab that the course starts: what the kernel says is sent on at once.

As it comes, the server gathers small messages (Nagle's algorithm), and the browser answers late. While a
slider is dragged, each picture then waits up to 40 ms for nothing.
"""

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class NoDelayConnection(ZMQChannelsWebsocketConnection):
    """The server's own connection between page and kernel, with gathering switched off."""

    def connect(self) -> Any:
        """Switch gathering off before the first message."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
