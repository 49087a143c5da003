"""A builder's own look: colours that can be read, a logo that is nothing but a picture."""

import re
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.build.building import publish
from builder.build.report import Target
from builder.craft.colours import READABLE, contrast, ink_on, least_contrast, near_readable
from builder.craft.logos import published_logo
from builder.craft.pictures import PictureError
from builder.home.palette import LETTERS, OURS, tones_of
from builder.model.people import Look, Shade

PROJECT = Path(__file__).parent.parent
STYLE = PROJECT / "site_templates" / "theme" / "assets" / "handover.css"
DAY = date(2026, 11, 28)
COLOURS = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
SVG = '<svg xmlns="http://www.w3.org/2000/svg" {} viewBox="0 0 48 24">{}</svg>'


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#ffffff", "#ffffff", 1.0),
        ("#767676", "#ffffff", 4.54),  # The lightest grey that passes: common knowledge of WCAG 2.
        ("#777777", "#ffffff", 4.48),
        ("#ff0000", "#ffffff", 3.998),
        ("#0000ff", "#ffffff", 8.59),
    ],
)
def test_contrast_is_that_of_published_examples(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


@given(COLOURS, st.sampled_from([each for tones in OURS.values() for each in (tones.ground, tones.card)]))  # fmt: skip
def test_every_colour_has_a_near_one_that_can_be_read(colour: str, ground: str) -> None:
    near = near_readable(colour, (ground,))
    assert near is not None
    assert contrast(near, ground) >= READABLE
    assert near == colour or contrast(colour, ground) < READABLE, "a colour that passes is kept"


@given(COLOURS)
def test_letters_on_any_colour_can_be_read(colour: str) -> None:
    assert contrast(ink_on(colour), colour) >= READABLE


def test_a_builder_that_says_nothing_of_the_dark_can_be_read_there() -> None:
    dark = tones_of(Look(light=Shade(colour="#17483F")), "dark")
    assert least_contrast(dark.colour, (dark.ground, dark.card))[0] >= READABLE
    assert dark.ground == OURS["dark"].ground


def test_the_colours_that_rules_know_are_those_of_the_style_sheet() -> None:
    roots = re.findall(r":root \{(.*?)\}", STYLE.read_text(encoding="utf-8"), re.DOTALL)
    names = {"words": "ink", "small words": "soft", "what turns off": "urgent", "cautions": "caution"}  # fmt: skip
    for root, (mode, tones) in zip(roots, OURS.items(), strict=False):
        said = dict(re.findall(r"--([\w-]+): (#\w{6});", root))
        assert {names[each]: ink for each, ink in LETTERS[mode].items()}.items() <= said.items()
        ours = {"brand": tones.colour, "brand-ink": tones.ink, "paper": tones.ground, "card": tones.card}  # fmt: skip
        assert ours.items() <= said.items()


def test_a_logo_is_published_as_shapes_alone(tmp_path: Path) -> None:
    file = tmp_path / "logo.svg"
    inner = "<!-- a note --><title>Our sign</title><g fill='#123456'><path d='M0 0h9'/></g><x:y xmlns:x='urn:x'/>"
    file.write_text(SVG.format('xmlns:i="urn:i" i:tool="7" version="1.1"', inner), encoding="utf-8")
    assert published_logo(file).decode() == (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 24">'
        '<g fill="#123456"><path d="M0 0h9"/></g></svg>\n'
    )


@pytest.mark.parametrize(
    ("attributes", "inner"),
    [
        ("", "<script>x()</script>"),
        ('onload="x()"', "<path d='M0 0h9'/>"),
        ("", "<image href='https://elsewhere.example/a.png'/>"),
        ("", "<a href='https://elsewhere.example'><path d='M0 0h9'/></a>"),
        ("", "<foreignObject><p xmlns='http://www.w3.org/1999/xhtml'>x</p></foreignObject>"),
        ("", "<path d='M0 0h9' style='fill:url(https://elsewhere.example)'/>"),
        ("", "<path d='M0 0h9' fill='url(https://elsewhere.example#a)'/>"),
        ("", "<text>Fennimarsh</text>"),
        ("", "<style>path{fill:red}</style>"),
        ("", "<animate attributeName='d'/>"),
    ],
)
def test_a_logo_that_is_more_than_a_picture_is_refused(
    tmp_path: Path, attributes: str, inner: str
) -> None:
    file = tmp_path / "logo.svg"
    file.write_text(SVG.format(attributes, inner), encoding="utf-8")
    with pytest.raises(PictureError, match="shapes alone"):
        published_logo(file)


def test_no_entity_of_a_logo_is_read(tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("CANARY", encoding="utf-8")
    file = tmp_path / "logo.svg"
    head = f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{secret.as_uri()}">]>'
    file.write_text(head + SVG.format("", "<title>&x;</title><path d='M0 0h9'/>"), encoding="utf-8")
    assert b"CANARY" not in published_logo(file)


def test_a_logo_is_small(tmp_path: Path) -> None:
    file = tmp_path / "logo.svg"
    file.write_text(SVG.format("", f"<path d='M0 0{'h9' * 40_000}'/>"), encoding="utf-8")
    with pytest.raises(PictureError, match=r"has 80,\d+ bytes; a logo has at most 60,000"):
        published_logo(file)


def test_guides_show_the_look_of_their_builder(cottage: Path, tmp_path: Path) -> None:
    (cottage / "housetypes" / "logo.svg").write_text(SVG.format("", "<path d='M0 0h9'/>"))
    standard = cottage / "housetypes" / "standard.yaml"
    look = "{light: {colour: '#23446B', ground: '#f5f7fa'}, logo: {file: housetypes/logo.svg, shows: Two towers}}"
    standard.write_text(standard.read_text().replace("builder:\n", f"builder:\n  look: {look}\n"))
    report = publish(Target(cottage, ("riverside/01",), tmp_path / "public", DAY))
    guide = report.published[0].folder
    style = (guide / "look.css").read_text()
    light, dark = (dict(re.findall(r"--([\w-]+):(#\w{6})", each)) for each in style.split("@media"))
    assert light["brand"] == "#23446b"
    assert light["paper"] == "#f5f7fa"
    assert contrast(dark["brand"], dark["paper"]) >= READABLE
    page = (guide / "rooms" / "kitchen" / "index.html").read_text()
    assert '<link rel="stylesheet" href="../../look.css">' in page
    assert '<img src="../../logo.svg" alt="Two towers"' in page
    worker = (guide / "worker.js").read_text()
    assert '"look.css"' in worker
    assert '"logo.svg"' in worker


def test_a_guide_without_a_look_is_ours(cottage: Path, tmp_path: Path) -> None:
    guide = publish(Target(cottage, ("riverside/01",), tmp_path / "public", DAY)).published[0].folder  # fmt: skip
    assert not (guide / "look.css").exists()
    page = (guide / "index.html").read_text()
    assert "look.css" not in page
    assert '<p class="builder">Fennimarsh Homes</p>' in page
