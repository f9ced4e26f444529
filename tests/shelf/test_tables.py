import subprocess
import sys

import pytest

import packyoke.shelf
from packyoke.core.sources import STATUSES
from packyoke.shelf import tables

TABLES = sorted(path.stem for path in tables.DATA.glob("*.csv") if path.stem != "sources")
HEAD = "item,property,value,unit,source,locator,status,conditions\n"
GOOD = "XT60,current,30,A,practice,where,practice,\n"


def written(tmp_path, text):
    path = tmp_path / "table.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_good_row_is_taken_in_si(tmp_path):
    figure = tables.read_items(written(tmp_path, HEAD + "4 mm2,resistance,4.95,mohm/m,iec-60228,table 3,read,\n"))
    # IEC 60228:2004 table 3: 4.95 ohm/km
    assert figure["4 mm2"]["resistance"].value == pytest.approx(4.95e-3)
    assert figure["4 mm2"]["resistance"].source.key == "iec-60228"


@pytest.mark.parametrize(
    ("row", "complaint"),
    [
        (GOOD.replace(",practice,where", ",hearsay,where"), r"table\.csv, line 3: unknown source 'hearsay'"),
        (GOOD.replace("practice,\n", "certain,\n"), r"table\.csv, line 3: unknown status 'certain'"),
        (GOOD.replace("30,A", "thirty,A"), r"table\.csv, line 3: value 'thirty' is not a number"),
        (GOOD.replace("30,A", ",A"), r"table\.csv, line 3: value '' is not a number"),
        (GOOD.replace("30,A", "nan,A"), r"table\.csv, line 3: value 'nan' is not a number"),
        (GOOD.replace("30,A", "inf,A"), r"table\.csv, line 3: value 'inf' is not a number"),
        (GOOD.replace("30,A", "30,furlong"), r"table\.csv, line 3: unknown unit 'furlong'"),
        (GOOD.replace("where", ""), r"table\.csv, line 3: no locator"),
        (GOOD.replace("30,A", "30,A,A"), r"table\.csv, line 3: 9 cells, the head has 8"),
        ("XT60,current\n", r"table\.csv, line 3: 2 cells, the head has 8"),
        (GOOD, r"table\.csv, line 3: current of XT60 is there twice"),
    ],
)
def test_a_bad_row_is_refused_with_file_and_line(tmp_path, row, complaint):
    with pytest.raises(tables.BadTable, match=complaint):
        tables.read_items(written(tmp_path, HEAD + GOOD + row))


def test_a_table_without_provenance_is_refused(tmp_path):
    with pytest.raises(tables.BadTable, match=r"table\.csv, line 1: no column source, locator"):
        tables.read(written(tmp_path, "item,value,status,conditions\n"))


def test_a_flag_is_yes_or_no(tmp_path):
    (row,) = tables.read(written(tmp_path, HEAD + GOOD))
    with pytest.raises(tables.BadTable, match="neither yes nor no"):
        row.flag("value")


@pytest.mark.parametrize("name", TABLES)
def test_every_table_is_taken(name):
    rows = tables.rows(name)
    assert rows
    if "property" in rows[0].cells:
        assert tables.items(name)


def test_every_source_is_used_and_has_a_title():
    used = {row.source.key for name in TABLES for row in tables.rows(name)}
    named_by_other_rows = {"astm-b258", "iec-60028", "kim-2011"}  # stand behind formulas and medians
    assert set(tables.sources()) - used == named_by_other_rows
    assert all(source.title and source.status in STATUSES for source in tables.sources().values())
    assert packyoke.shelf.SHELF


def test_memory_is_never_passed_off_as_read():
    for name in TABLES:
        for row in tables.rows(name):
            if row.source.status in ("memory", "practice", "assumption"):
                assert row.status != "read", f"{row.file}, line {row.line}"


def test_importing_the_shelf_reads_no_table():
    watch = (
        "import sys; sys.addaudithook(lambda event, args: event == 'open' and '.csv' in str(args[0]) and exit(7));"
        "import packyoke.shelf.wires, packyoke.shelf.connectors, packyoke.shelf.fuses, packyoke.shelf.mounts;"
        "import packyoke.shelf.chemistry, packyoke.shelf.regions, packyoke.shelf.sources"
    )
    assert subprocess.run([sys.executable, "-c", watch], check=False).returncode == 0
    asked = watch + "; packyoke.shelf.wires.standard_fuses_a()"
    assert subprocess.run([sys.executable, "-c", asked], check=False, capture_output=True).returncode != 0
