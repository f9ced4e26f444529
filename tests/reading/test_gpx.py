"""Tracks as they are written, what is wrong with them and where, and files that mean harm."""

from __future__ import annotations

import random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from packyoke.answers.check.mistakes import mistakes_text
from packyoke.buildfile.reading import gpx
from packyoke.buildfile.reading.gpx import load_track
from packyoke.core.findings import Finding, Severity
from packyoke.model.track import Track, TrackPoint
from packyoke.page.caret import caret_lines
from tests.support import EXAMPLES

POINTS = """\
<trkpt lat="52.0" lon="-35.0"><ele>10.5</ele><time>2026-05-01T08:00:00Z</time></trkpt>
<trkpt lat="52.001" lon="-35.001"><ele>12</ele><time>2026-05-01T08:00:30Z</time></trkpt>
"""
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1">\n'


def gpx_text(points: str = POINTS, head: str = HEAD) -> str:
    return f"{head}<trk><name>Round</name><trkseg>\n{points}</trkseg></trk>\n</gpx>\n"


def track(text: str | bytes) -> Track:
    found = load_track(text, "a.gpx")
    assert isinstance(found, Track), [(finding.span, finding.message) for finding in found]
    return found


def told(text: str | bytes) -> list[tuple[int, int, str]]:
    found = load_track(text, "a.gpx")
    assert isinstance(found, list)
    assert found
    assert all(finding.severity is Severity.STOP and finding.rule == "unreadable" for finding in found)
    assert all(finding.do for finding in found)
    for finding in found:
        caret_lines(finding)
    return [(finding.span.line, finding.span.column, finding.message) for finding in found if finding.span]


class TestReads:
    def test_points_of_1_1(self) -> None:
        # 1777622400 s: 2026-05-01T08:00:00Z, as `date -u -d @1777622400` has it.
        assert track(gpx_text()) == Track(
            (
                (
                    TrackPoint(52.0, -35.0, 10.5, 1777622400.0, 4),
                    TrackPoint(52.001, -35.001, 12.0, 1777622430.0, 5),
                ),
            ),
            "Round",
            "a.gpx",
        )

    @pytest.mark.parametrize(
        "head",
        [
            pytest.param('<gpx xmlns="http://www.topografix.com/GPX/1/0" version="1.0">\n', id="1.0"),
            pytest.param("<gpx>\n", id="no namespace"),
            pytest.param('\ufeff<?xml version="1.0"?><gpx version="2.7" xmlns="urn:later">', id="byte-order mark"),
        ],
    )
    def test_other_versions(self, head: str) -> None:
        assert [point[:4] for point in track(gpx_text(head=head)).segments[0]] == [
            point[:4] for point in track(gpx_text()).segments[0]
        ]

    def test_with_a_prefix(self) -> None:
        text = gpx_text()
        for name in ("gpx", "trkseg", "trkpt", "ele", "time", "name"):
            text = text.replace(f"<{name}", f"<g:{name}").replace(f"</{name}", f"</g:{name}")
        text = text.replace("<trk>", "<g:trk>").replace("</trk>", "</g:trk>").replace("xmlns=", "xmlns:g=")
        assert track(text) == track(gpx_text())

    @pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1"])
    def test_encodings(self, encoding: str) -> None:
        head = HEAD.replace("UTF-8", encoding.removesuffix("-sig"))
        assert track(gpx_text(head=head).replace("Round", "Rønd").encode(encoding)).name == "Rønd"

    def test_a_text_is_read_whatever_it_says_of_its_encoding(self) -> None:
        assert track(gpx_text(head=HEAD.replace("UTF-8", "UTF-16"))) == track(gpx_text())

    def test_segments_and_tracks_stay_apart_and_empty_ones_are_left_out(self) -> None:
        far = POINTS.replace("52.", "53.")
        other = f"</trk><trk><name>Other</name><trkseg>{POINTS}"
        text = gpx_text(f"{POINTS}</trkseg><trkseg/><trkseg>{far}</trkseg>{other}")
        assert [len(segment) for segment in track(text).segments] == [2, 2, 2]
        assert track(text).name == "Round"

    def test_points_of_somebody_else_are_none(self) -> None:
        alien = '<trkpt lat="0" lon="0"/>'
        more = f'<trkpt lat="52.002" lon="-35.0"><extensions><ele>9000</ele>{alien}</extensions></trkpt>'
        text = gpx_text(f"{POINTS}{more}<x:place lat='0' lon='0'/>")
        points = track(text.replace("<trk>", f"<extensions>{alien}</extensions><trk>")).segments[0]
        assert len(points) == 3
        assert points[2].elevation_m is None

    def test_without_heights_and_times(self) -> None:
        bare = '<trkpt lat="52" lon="-35"/><trkpt lat="52.001" lon="-35"><ele/><time>yesterday</time></trkpt>'
        assert [point[2:4] for point in track(gpx_text(bare)).segments[0]] == [(None, None), (None, None)]

    def test_times_are_utc_whether_they_say_so_or_not(self) -> None:
        local = POINTS.replace("08:00:30Z", "10:00:30+02:00").replace("08:00:00Z", "08:00:00")
        assert track(gpx_text(local)) == track(gpx_text())

    def test_numbers_as_xml_schema_writes_them(self) -> None:
        points = '<trkpt lat=" +5.2E1 " lon="-.35e2"/><trkpt lat="52." lon="-35"/>'
        assert [point[:2] for point in track(gpx_text(points)).segments[0]] == [(52.0, -35.0)] * 2

    def test_the_example(self) -> None:
        found = track((EXAMPLES / "skerry-round.gpx").read_bytes())
        assert found.name == "Skerry round (invented)"
        assert [len(segment) for segment in found.segments] == [401]


def point(attributes: str = 'lat="52.0005" lon="-35"', inside: str = "") -> str:
    return f"{POINTS}  <trkpt {attributes}>{inside}</trkpt>\n"


@pytest.mark.parametrize(
    ("points", "line", "column", "message"),
    [
        (point('lat="90.5" lon="-35"'), 6, 3, '"90.5" is not on the Earth'),
        (point('lat="52" lon="-180.1"'), 6, 3, '"-180.1" is not on the Earth'),
        (point('lat="NaN" lon="-35"'), 6, 3, '"NaN" is not a number'),
        (point('lat="52" lon="inf"'), 6, 3, '"inf" is not a number'),
        (point('lat="1e999" lon="-35"'), 6, 3, '"1e999" is not a number'),
        (point('lat="52,5" lon="-35"'), 6, 3, '"52,5" is not a number'),
        (point('lat="5_2" lon="-35"'), 6, 3, '"5_2" is not a number'),
        (point('lat="٥٢" lon="-35"'), 6, 3, '"٥٢" is not a number'),
        (point('lat="" lon="-35"'), 6, 3, '"" is not a number'),
        (point('lon="-35"'), 6, 3, "a point without lat"),
        (f'{POINTS}  <g:trkpt lat="52" lon="-35"/>\n', 6, 3, "<g:trkpt> is not of the same kind as <gpx>"),
        (point('lat="52"'), 6, 3, "a point without lon"),
        (point(inside="<ele>NaN</ele>"), 6, 34, '"NaN" is not a number'),
        (point(inside="<ele>33 ft</ele>"), 6, 34, '"33 ft" is not a number'),
        (point(inside="<ele>32768</ele>"), 6, 34, "a height of 32768 m"),
        (point('lat="55" lon="-35"'), 6, 3, "333 km from the point before"),
    ],
)
def test_what_is_wrong_with_a_point(points: str, line: int, column: int, message: str) -> None:
    assert told(gpx_text(points)) == [(line, column, message)]


@pytest.mark.parametrize(
    ("points", "head"),
    [
        (point('lat="90.5" lon="-35"'), 'lat: "90.5" is not on the Earth'),
        (point('lat="52" lon="x"'), 'lon: "x" is not a number'),
        (point(f'lat="52" lon="{"1" * 41}"'), "lon: a number of more than 40 digits"),
        (point('lon="-35"'), "trkpt: a point without lat"),
        (point(inside="<ele>NaN</ele>"), 'ele: "NaN" is not a number'),
        (point(inside="<ele>32768</ele>"), "ele: a height of 32768 m"),
    ],
)
def test_what_is_wrong_is_printed_with_its_name_once(points: str, head: str) -> None:
    found = load_track(gpx_text(points), "a.gpx")
    assert isinstance(found, list)
    assert mistakes_text("a.gpx", found).splitlines()[0].endswith(f": {head}")


def test_carets_stand_under_the_tag() -> None:
    found = load_track(gpx_text(point(inside="<ele>32768</ele>")), "a.gpx")
    assert isinstance(found, list)
    line, carets = caret_lines(found[0])
    assert line[carets.index("^") : carets.rindex("^") + 1] == "<ele>"


def test_a_decimal_comma_is_mended() -> None:
    found = load_track(gpx_text(point('lat="52,5" lon="-35"')), "a.gpx")
    assert isinstance(found, list)
    assert "52.5" in found[0].do


def test_a_jump_is_told_with_both_lines_and_not_across_segments() -> None:
    glitch = point('lat="52.02" lon="-35"', "<time>2026-05-01T08:00:40Z</time>")
    # 0.019 degrees of latitude and 0.001 of longitude: 2113 m and 68 m on a ball of 6371 km.
    ((line, _, message),) = told(gpx_text(glitch))
    assert (line, message) == (6, "2114 m from the point before in 10 s")
    found = load_track(gpx_text(glitch), "a.gpx")
    assert isinstance(found, list)
    assert "line 5" in found[0].do
    again = POINTS.replace("52.0", "52.02")
    assert track(gpx_text(f"{POINTS}</trkseg><trkseg>{again}"))


def test_a_clock_that_stands_or_runs_back_is_no_jump() -> None:
    later = POINTS.replace("08:00:30", "07:00:00")
    assert track(gpx_text(later))
    assert track(gpx_text(POINTS.replace("08:00:30", "08:00:00")))


def test_across_the_date_line_is_no_jump() -> None:
    assert track(gpx_text('<trkpt lat="0" lon="179.9"/><trkpt lat="0" lon="-179.9"/>'))


def test_many_mistakes_stop_at_twenty_and_keep_their_order() -> None:
    lines = told(gpx_text('<trkpt lat="x" lon="1"/>\n' * 1000))
    assert [line for line, _, _ in lines] == list(range(4, 24))


@pytest.mark.parametrize(
    ("text", "message", "do"),
    [
        ("", "the file is empty", "Export"),
        ("   \n", "the file is empty", "Export"),
        ("not a track", "not XML", "Export"),
        (b"PK\x03\x04rest", "a packed file (zip)", "Unpack"),
        (b"\x1f\x8b\x08rest", "a packed file (zip)", "Unpack"),
        (b"\x0e\x10\xd9\x07\x00\x00\x00\x00.FIT", "a FIT file", "GPX"),
        ("<kml/>", "the outermost element is <kml>, not <gpx>", "KML"),
        ("<TrainingCenterDatabase/>", "the outermost element is <TrainingCenterDatabase>, not <gpx>", "TCX"),
        ("<html/>", "the outermost element is <html>, not <gpx>", "web page"),
        ("<gpx/>", "no track points", "trkseg"),
        ("<gpx><trk><trkseg/></trk></gpx>", "no track points", "trkseg"),
        ('<gpx><wpt lat="1" lon="1"/></gpx>', "waypoints without a track", "Export a track"),
        ('<gpx><rte><rtept lat="1" lon="1"/></rte></gpx>', "a planned route without a track", "planner"),
        (gpx_text('<trkpt lat="1" lon="1"/>'), "no two points belong together", "two points"),
    ],
)
def test_files_that_hold_no_track(text: str | bytes, message: str, do: str) -> None:
    found = load_track(text, "a.gpx")
    assert isinstance(found, list)
    assert [finding.message for finding in found] == [message]
    assert do in found[0].do


def test_a_file_that_was_cut_off() -> None:
    text = gpx_text()[:-20]
    ((line, _, message),) = told(text)
    assert message.startswith("not XML from here on")
    assert line == text.count("\n") + 1


def test_two_roots_or_tags_that_cross() -> None:
    assert told(gpx_text() + "<gpx/>")[0][0] == 8
    assert told("<gpx>\n<trk></gpx>") == [(2, 8, "not XML from here on: mismatched tag")]


class TestHostile:
    BOMB = '<!DOCTYPE gpx [\n<!ENTITY a "lol">\n' + "".join(
        f'<!ENTITY {name} "{f"&{before};" * 10}">\n' for before, name in zip("abcdefghi", "bcdefghij", strict=True)
    )

    @pytest.mark.parametrize(
        "doctype",
        [
            pytest.param(BOMB + "]>", id="billion laughs"),
            pytest.param(f'<!DOCTYPE gpx [<!ENTITY a "{"x" * 50_000}">]>', id="quadratic"),
            pytest.param('<!DOCTYPE gpx [<!ENTITY j SYSTEM "file:///etc/hostname">]>', id="external entity"),
            pytest.param('<!DOCTYPE gpx [<!ENTITY % j SYSTEM "http://localhost:1/x.dtd"> %j;]>', id="parameter entity"),
            pytest.param('<!DOCTYPE gpx SYSTEM "http://localhost:1/x.dtd">', id="external subset"),
            pytest.param("<!DOCTYPE gpx>", id="plain"),
        ],
    )
    def test_document_types_are_refused_where_they_begin(self, doctype: str) -> None:
        text = f'<?xml version="1.0"?>\n{doctype}\n<gpx><trk><name>&j;</name><trkseg>{POINTS}</trkseg></trk></gpx>'
        ((line, _, message),) = told(text)
        assert message == "a document type (DOCTYPE) is not read"
        # The parser says so once the name and what may follow it are read.
        assert line == 2

    def test_entities_that_nobody_declared(self) -> None:
        assert "undefined entity" in told(gpx_text().replace("Round", "&round;"))[0][2]

    def test_characters_by_number_are_harmless(self) -> None:
        assert track(gpx_text().replace("Round", "R&#246;&amp;und&#x202E;")).name == "R\u00f6&und\ufffd"

    def test_nesting(self) -> None:
        deep = "<extensions>" * 100_000
        assert told(f"<gpx>{deep}")[0][2] == "nested deeper than 64 levels"
        assert told(f"<gpx>{'<a>' * 60}<b><c><d><e>")[0][2] == "nested deeper than 64 levels"

    def test_size(self) -> None:
        ((_, _, message),) = told(b"<gpx>" + b" " * 21_000_000)
        assert message == "more than 20 MB"

    def test_number_of_points(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(gpx, "MOST_POINTS", 3)
        assert track(gpx_text(point()))
        assert told(gpx_text(point() + POINTS))[0][2] == "more than 3 points"

    def test_endless_texts_are_cut(self) -> None:
        assert len(track(gpx_text().replace("Round", "R" * 1_000_000)).name) == 60
        assert told(gpx_text(point(inside=f"<ele>{'1' * 1_000_000}</ele>")))

    def test_everything_on_one_line_goes_without_an_excerpt(self) -> None:
        text = gpx_text(point('lat="91" lon="1"') + POINTS * 100).replace("\n", "")
        found = load_track(text, "a.gpx")
        assert isinstance(found, list)
        assert found[0].excerpt == ""
        assert found[0].span
        assert text[found[0].span.column - 1 : found[0].span.end_column - 1] == '<trkpt lat="91" lon="1">'

    @pytest.mark.parametrize("encoding", ["utf-7", "windows-1252", "idna", "zlib", "rot13", "no-such", "x" * 500])
    def test_encodings_that_are_not_read(self, encoding: str) -> None:
        text = gpx_text(head=HEAD.replace("UTF-8", encoding)).encode()
        assert told(text)[0][2].startswith("written in ")

    def test_bytes_that_are_not_what_they_say(self) -> None:
        assert "invalid token" in told(gpx_text().replace("Round", "R\u00f8und").encode("iso-8859-1"))[0][2]

    def test_attributes_by_the_thousand(self) -> None:
        many = " ".join(f'a{n}="{n}"' for n in range(20_000))
        assert track(gpx_text(point(f'{many} lat="52.0005" lon="-35"')))


BITS = st.lists(
    st.sampled_from(
        [
            *("<gpx>", "</gpx>", "<trk>", "</trk>", "<trkseg>", "</trkseg>", "<trkpt ", "</trkpt>", "/>", ">", "<"),
            *('lat="1"', ' lon="2"', ' lat="91"', ' lon="nan"', "<ele>", "</ele>", "5", "-", "e9", "<time>", "</time>"),
            *("<!DOCTYPE gpx [", "]>", '<!ENTITY a "b">', "&", "&a;", "&#0;", "&#x10FFFF;", "<![CDATA[", "]]>", "<!--"),
            *("-->", "<?xml version='1.0' encoding='utf-16'?>", "\n", "\r", "\x00", "\ufeff", "\u2028", "字", "\ud800"),
            *("2026-05-01T08:00:00Z", "0001-01-01T00:00:00+23:59", "<name>", "</name>", "<x:y/>", "<rte>", "<wpt/>"),
        ]
    ),
    max_size=40,
).map("".join)


def assert_told_or_read(text: str | bytes) -> None:
    found = load_track(text, "a.gpx")
    if isinstance(found, Track):
        assert all(len(segment) > 1 for segment in found.segments)
        assert found.segments
        return
    assert found
    for finding in found:
        assert isinstance(finding, Finding)
        assert finding.span is not None
        assert finding.span.line >= 1
        assert finding.span.column >= 1
        assert finding.message.isprintable()
        caret_lines(finding)


@given(st.binary(max_size=300))
@example(b"\xff\xfe<\x00")
@example(b"\xef\xbb\xbf")
@example(b"\x00")
def test_any_bytes_are_read_or_told(data: bytes) -> None:
    assert_told_or_read(data)


@given(BITS)
def test_any_pieces_of_gpx_are_read_or_told(text: str) -> None:
    assert_told_or_read(text)


@given(st.integers(0, 2**32), st.sampled_from(["utf-8", "utf-16", "iso-8859-1"]))
def test_any_damage_is_read_or_told(seed: int, encoding: str) -> None:
    chance = random.Random(seed)
    data = bytearray(gpx_text(POINTS * 3, HEAD.replace("UTF-8", encoding)).encode(encoding))
    for _ in range(chance.randrange(1, 6)):
        start = chance.randrange(len(data))
        cut = slice(start, start + chance.randrange(20))
        data[cut] = chance.choice([b"", chance.randbytes(3), data[cut] * 2])
    assert_told_or_read(bytes(data))


PLACES = st.tuples(st.floats(-90, 90), st.floats(-180, 180), st.none() | st.floats(-500, 9000))


@given(st.lists(PLACES, min_size=2, max_size=2))
def test_what_is_written_is_what_is_read(points: list[tuple[float, float, float | None]]) -> None:
    """Figures come through to the last bit; two places far apart are the only other thing that may be said."""
    text = ""
    for latitude, longitude, elevation in points:
        inside = "" if elevation is None else f"<ele>{elevation!r}</ele>"
        text += f'<trkpt lat="{latitude!r}" lon="{longitude!r}">{inside}</trkpt>\n'
    found = load_track(gpx_text(text), "a.gpx")
    if isinstance(found, list):
        assert "km from the point before" in found[0].message
    else:
        assert [each[:3] for each in found.segments[0]] == points
