"""Keys one after the other: the next is handed out when the one before was acted on, however fast they come."""

from __future__ import annotations

from typing import Any

from textual import events
from textual.message_pump import MessagePump
from textual.timer import Timer

from herdbook.screens.door import ShutDoor

_KEY_LOST_S = 2.0
"""A key whose widget went away while handling it must not hold up the others for ever."""


class KeysInTurn(ShutDoor):
    """The application with its keys in turn."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._keys: list[events.Key] = []
        self._key_under_way: Timer | None = None

    def key_came(self) -> None:
        """A key was pressed."""

    async def on_event(self, event: events.Event) -> None:
        """Hand out keys one after the other."""
        if isinstance(event, events.Key) and not event.is_forwarded and self._screen_stack:
            self.key_came()
            self._keys.append(event)
            await self.release_keys()
        else:
            await super().on_event(event)

    async def release_keys(self) -> None:
        """Hand out keys that wait, until one of them makes the others wait again."""
        while self._keys and not self._key_under_way and not getattr(self.screen, "holds_keys", False):
            await self._hand_out(self._keys.pop(0))

    def drop_keys(self) -> None:
        """Forget keys typed ahead: what they were meant for did not come about."""
        self._keys.clear()

    async def _hand_out(self, event: events.Key) -> None:
        """Give a key to whoever has the cursor; unless it is text there, the next waits until it was acted on.

        Over a slow line keys come in bunches. `D` and a weight in one packet must not put the weight in the
        field that had the cursor before the slip rose.
        """
        target = self.focused or self.screen
        is_text = target.check_consume_key(event.key, event.character)
        await super().on_event(event)
        if event.is_forwarded and not is_text:
            self._key_under_way = self.set_timer(_KEY_LOST_S, self._key_is_done)
            self._follow(event, target)

    def _follow(self, event: events.Key, node: MessagePump) -> None:
        """Come back once `node` has handled the key, and then its parent, up to where the key stops."""

        def handled() -> None:
            if node is self or event._stop_propagation or node._parent is None:
                self.call_later(self._key_is_done)
            else:
                self._follow(event, node._parent)

        if not node.call_later(handled):
            self.call_later(self._key_is_done)

    async def _key_is_done(self) -> None:
        if self._key_under_way is not None:
            self._key_under_way.stop()
            self._key_under_way = None
        await self.release_keys()
