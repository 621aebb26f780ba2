"""Every reference is used and every table says where it is from."""

import csv
import re

import pytest

from herdbook.science import tables_as_published
from herdbook.science.guidelines import guidelines
from herdbook.science.registry import rules
from herdbook.science.sources import SOURCES
from herdbook.science.sources_feeding import FEEDING
from herdbook.science.sources_milk import MILK
from herdbook.science.tables_as_published import FOLDER, document, rows, source_of

TABLES = sorted(path.name for path in FOLDER.iterdir() if path.suffix in {".csv", ".toml"})
CSV_TABLES = [name for name in TABLES if name.endswith(".csv")]


@pytest.mark.parametrize("name", TABLES)
def test_the_first_line_of_a_table_names_its_source(name):
    keys = source_of(name)
    assert keys
    assert all(key in SOURCES for key in keys), keys


@pytest.mark.parametrize("name", CSV_TABLES)
def test_rows_of_a_table_fit_its_head(name):
    assert rows(name)
    for row in rows(name):
        assert None not in row
        assert None not in row.values()


@pytest.mark.parametrize("name", [name for name in CSV_TABLES if "source" in rows(name)[0]])
def test_sources_named_in_rows_are_known(name):
    if name == "mineral_sources.csv":  # its column names the mineral source, not a reference
        return
    assert {row["source"] for row in rows(name)} <= SOURCES.keys()


def used_sources():
    used = {source for one in rules().values() for source in one.sources}
    for name in TABLES:
        used |= set(source_of(name))
        used |= set(re.findall(r"[A-Z0-9][A-Z0-9.-]+", (FOLDER / name).read_text(encoding="utf-8")))
    return used


@pytest.mark.parametrize("key", FEEDING)
def test_no_reference_is_there_for_show(key):
    assert key in used_sources()


@pytest.mark.parametrize(("key", "source"), SOURCES.items(), ids=list(SOURCES))
def test_every_reference_can_be_cited(key, source):
    assert source.author
    assert source.title
    assert source.read in {"text", "abstract", "through", "memory"}
    assert source.citation().startswith(source.author)
    assert not re.search(r"https?://", source.citation())


def test_no_reference_is_named_twice():
    assert not FEEDING.keys() & MILK.keys()
    cited = [source.citation() for source in FEEDING.values()]
    assert len(cited) == len(set(cited))


def test_a_rule_is_from_memory_when_its_only_source_is():
    for one in rules().values():
        if all(SOURCES[source].read == "memory" for source in one.sources):
            assert one.from_memory, one.key


def test_printed_bands_have_a_low_below_their_high():
    assert guidelines()
    for band in guidelines():
        assert band.low is not None or band.high is not None
        assert band.low is None or band.high is None or band.low < band.high
    assert len(guidelines("starch")) == 3


def test_tables_are_read_with_commas_inside_words(tmp_path, monkeypatch):
    (tmp_path / "t.csv").write_text('# source: ARITHMETIC; made up\na,b\n1,"x, y"\n', encoding="utf-8")
    monkeypatch.setattr(tables_as_published, "FOLDER", tmp_path)
    assert tables_as_published.rows("t.csv") == ({"a": "1", "b": "x, y"},)


def test_no_feed_composition_table_of_a_book_is_shipped():
    composition = {"cp", "ndf", "adf", "lignin", "starch"}
    for name in CSV_TABLES:
        with (FOLDER / name).open(encoding="utf-8") as lines:
            head = next(row for row in csv.reader(lines) if not row[0].startswith("#"))
        assert len(composition & set(head)) < 2, name


def test_toml_tables_can_be_read():
    for name in TABLES:
        if name.endswith(".toml"):
            assert document(name)
