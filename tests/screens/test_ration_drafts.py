"""A ration's draft as it is kept: put back over a version, told when that has changed, and safe to read."""

from __future__ import annotations

import pytest

from herdbook.book.opening import reading
from herdbook.reports.catalogue import ground_for_reading
from herdbook.reports.what_if import WhatIf
from herdbook.screens.ration_drafts import RationDrafts


@pytest.fixture
def tried(yard):
    """The yard's ration, made anew by each call."""

    def make():
        with reading(yard.path) as connection:
            ground = ground_for_reading(connection, yard.now_s)
            return WhatIf.of(connection, ground, ground.find("ration", "High 1"))

    return make


def test_amounts_bases_and_what_is_held_come_back(tried):
    first = tried()
    silage, mineral = (row.feed for row in first.rows())
    first.type_amount(silage, "40")
    first.lock(silage)
    first.change(mineral, 0)
    drafts = RationDrafts()
    drafts.keep(7, first, 3)
    again, second = RationDrafts.from_text(drafts.as_text()), tried()
    assert again.put_in(7, second, 3) == ""
    assert second.rows() == first.rows()
    assert second.changes() == first.changes()


def test_a_draft_that_is_as_the_version_in_use_is_not_kept(tried):
    one, drafts = tried(), RationDrafts()
    feed = one.rows()[0].feed
    one.type_amount(feed, "30")
    drafts.keep(7, one, 3)
    assert drafts.by_ration
    one.put_back()
    drafts.keep(7, one, 3)
    assert drafts.as_text() == ""


def test_another_version_in_use_is_told_once(tried):
    one, drafts = tried(), RationDrafts()
    one.type_amount(one.rows()[0].feed, "30")
    drafts.keep(7, one, 3)
    assert "another version came into use" in drafts.put_in(7, tried(), 9)
    assert drafts.put_in(7, tried(), 9) == ""


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "7", '{"kept": 4}', '{"kept": {"x": [1, []]}}', '{"kept": {"1": [1, [[2]]]}, "at": []}'],
)
def test_a_text_that_was_spoilt_gives_nothing_and_no_error(text):
    found = RationDrafts.from_text(text)
    assert found.by_ration == {}
    assert found.at is None
