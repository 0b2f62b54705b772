"""What was typed, as it came and as it goes into an address."""

from urllib.parse import parse_qs, urlsplit

from service.page.fields import Fields


def test_fields_keep_every_value():
    """A field given twice has both values; a blank one is blank, not the one of a fresh page."""
    fields = Fields.read(b"keep=egg&keep=honey&thickness=")
    assert fields.all("keep") == ("egg", "honey")
    assert fields.one("thickness") == ""
    assert fields.one("measures") == "as_written"


def test_a_shared_address_leaves_out_what_does_not_matter():
    """Other forms' dimensions, unmoved sliders and buttons are not shared; all else is."""
    typed = b"lines=1+egg%0D%0A%C3%A9&form=cone&cone.height_mm=9+in&wave.crests=3&proposal=1"
    typed += b"&hand.flour=5&was.flour=0&hand.thickness=3&was.thickness=3"
    address = Fields.read(typed + b"&do=read&relax=a&example=lantern").shared()
    shared = parse_qs(urlsplit(address).query)
    assert shared == {
        "lines": ["1 egg\né"],
        "form": ["cone"],
        "cone.height_mm": ["9 in"],
        "hand.flour": ["5"],
        "do": ["answer"],
    }
