"""The solver at the ration desk: asked in a thread, its answer shown in the feeds' table and taken line by line."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from herdbook.errors import HerdbookError
from herdbook.screens.ration_binding import RationBinding

if TYPE_CHECKING:
    from herdbook.chores.ground import Ground
    from herdbook.reports.suggested import Suggested
    from herdbook.reports.suggestion_question import Question
    from herdbook.screens.desk import Look
    from herdbook.screens.ration_offer import Offer

LEAST_COST, SMALLEST_CHANGE = "least-cost", "smallest-change"
_NO_BETTER = "Already at the {0} within the targets: nothing to change."


class RationSuggestion(RationBinding):
    """Asks the solver for the draft in view; nothing of the draft changes before Enter."""

    def warm_up(self) -> None:
        """Bring in the solver in a thread of its own, so that the first suggestion comes at once."""
        if not self._is_warm and self.may_draft:
            self._is_warm = True
            threading.Thread(target=_bring_in_solver, name="solver", daemon=True).start()

    def action_suggest(self, aim: str) -> None:
        """Ask the solver; the desk stays alive meanwhile."""
        tried, version = self.tried, self.version
        if tried is None or version is None:
            self.say("No ration is in use yet. E writes one.")
            return
        if not self.may_set():
            return
        if self.offer is not None:
            self.leave_offer("")
        from herdbook.screens.ration_offer import asked_for, items_of

        if self.binds:
            self.leave_bounds()
        items, entry, ration = items_of(tried), version.entry, version.ration
        asked = self.limits.laid_on(asked_for(tried, aim), [row.feed for row in tried.rows()])
        token = self.waits_for = object()
        self.say(
            f"Asking for the {aim.replace('-', ' ')}{self.home.signs.more}  Esc stops waiting.", "writing"
        )

        def job(data: Look) -> Question:
            from herdbook.reports.suggestion_question import state

            with data.at_once() as (connection, ground):
                day = ground.clock.farm_day(ground.now_s)
                return state(connection, ground, ration, items, asked, day, entry=entry)

        self.home.reading.ask(
            "suggestion",
            job,
            done=lambda question: self._solve(question, token),
            failed=lambda error: self._no_offer(error, token),
        )

    def _solve(self, question: Question, token: object) -> None:
        """Solve in a thread; what comes after nobody waits any more is dropped."""

        def run() -> None:
            from herdbook.reports.suggested import solve

            try:
                found = solve(question)
            except Exception as error:  # whatever it is, the program's own thread decides about it
                self.home.call_later(self._no_offer, error, token)
            else:
                self.home.call_later(self._offered, found, token)

        if self.waits_for is token:
            threading.Thread(target=run, name="solving", daemon=True).start()

    def _no_offer(self, error: Exception, token: object) -> None:
        if self.waits_for is not token:
            return
        self.waits_for = None
        if isinstance(error, HerdbookError):
            self.wrong(error)
        else:
            self.home.crash(error)

    def _offered(self, suggested: Suggested, token: object) -> None:
        tried, ground = self.tried, self.ground
        if self.waits_for is not token or tried is None or ground is None:
            return
        self.waits_for = None
        from herdbook.screens.ration_offer import Offer, items_of

        asked_of = [(one.feed, one.item_mg, one.basis) for one in suggested.question.offered if one.item_mg]
        if asked_of != items_of(tried):
            self.say("The draft has changed meanwhile; S asks again.")
            return
        offer = Offer.of(suggested, tried, ground)
        if not offer.lines:
            if suggested.is_answer:
                self.say(_NO_BETTER.format(suggested.question.asked.aim.replace("-", " ")))
            else:
                self._tell_quarrel(offer, ground)
            return
        self._show_offer(offer)

    def _show_offer(self, offer: Offer) -> None:
        self.undo_typing()
        self.offer = offer
        self.amount.put("")
        self._show_entry(offer=True)
        self.feeds.choose(str(offer.lines[0].feed))
        self.say("" if offer.suggested.is_answer else self._nearest_said(offer))
        self.draw()
        self.feeds.choose(str(offer.lines[0].feed))
        self.ask_amount()
        self.show_keys()

    def _nearest_said(self, offer: Offer) -> str:
        """How near the nearest ration comes; nothing of it is taken by itself."""
        from herdbook.reports.suggestion_words import misses_said

        near, ground = offer.suggested.nearest, self.ground
        missed = misses_said(near, ground) if near is not None and ground is not None else ""
        return f"Nearest: {missed}." if missed else "No mix keeps to all limits; this comes nearest."

    def _tell_quarrel(self, offer: Offer, ground: Ground) -> None:
        """Where nothing comes nearer than the draft itself there are no lines to take, only why."""
        from herdbook.screens.ration_drawing import HOME, RationDrawing
        from herdbook.screens.ration_said import said_of_offer

        title, *lines = said_of_offer(
            offer, RationDrawing(ground, self.home.signs, HOME), self.size.width - 1
        )
        self.say("No mix keeps to all limits, and none comes nearer than the draft.")
        self.open_sheet(title.plain.strip(f" {self.home.signs.rule}"), "Esc closes", lines)

    def _show_entry(self, *, offer: bool) -> None:
        """Row 22: the amount's field, or how lines are taken; the cursor goes with it."""
        self.amount.display, self.offer_line.display = not offer, offer
        self.set_focus(None if offer else self.amount, scroll_visible=False)

    def take_all_lines(self) -> None:
        """Take every line of the suggestion; leave all where all were taken."""
        if self.offer is not None:
            self.offer.take_all()
            self.draw()

    def accept_offer(self) -> None:
        """Put the lines taken into the draft."""
        tried, offer = self.tried, self.offer
        if tried is None or offer is None:
            return
        count = offer.accept(tried)
        self.leave_offer("")
        said = f"{count} of {len(offer.lines)} lines are in the draft. U uses it, Esc throws it away."
        self.draft_is(said if count else "No line was taken; nothing was changed.")

    def leave_offer(self, words: str) -> None:
        """Go back to the draft as it is."""
        self.offer = None
        self._show_entry(offer=False)
        self.say(words)
        self.draw()
        if self.chosen_feed is None and self.feeds.rows:
            self.feeds.choose(self.feeds.rows[0].key)
        self.ask_amount()
        self.show_keys()


def _bring_in_solver() -> None:
    from herdbook.reports import suggested, suggestion_question  # noqa: F401
    from herdbook.solving import least_cost  # noqa: F401
    from herdbook.solving.highs import load

    load()
