"""A part of a board that goes on taking messages after one of them went wrong."""

from __future__ import annotations

from textual.message import Message
from textual.message_pump import MessagePump


class Standing(MessagePump):
    """Textual ends whatever a handler of it failed: its messages are no longer taken, and the board is dead. Here the
    application is told, and the next message is taken."""

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except Exception as fault:
            self.app._handle_exception(fault)
