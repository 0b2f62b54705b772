"""Pages: one sheet wherever a piece fits on it, several where it does not."""

import pytest

from service.drawings.pages import GAP, MARGIN, PAPERS, RULERS, PageSize, lay_out

CAPTION = PageSize(125, 50)
HOLLOW = PageSize(0, 0)


def laid(width, height, inside=HOLLOW, paper="a4"):
    return lay_out(PageSize(width, height), inside, CAPTION, paper)


def within_margins(layout, width, height):
    left, top = layout.piece_at
    page = layout.page
    return (
        left >= MARGIN
        and top >= MARGIN
        and left + width <= page.width - MARGIN
        and top + height <= page.height - MARGIN
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_a_small_piece_lies_under_its_caption(paper):
    """It takes one upright page with room for its rulers, and nothing lies on anything else."""
    layout = laid(100, 80, paper=paper)
    assert tuple(layout.page) == PAPERS[paper]
    assert (layout.sheets, layout.ruled) == ((1, 1), True)
    assert within_margins(layout, 100, 80)
    assert layout.piece_at[1] >= layout.lettering_at[1] + CAPTION.height + GAP


def test_a_broad_piece_turns_the_page():
    """What is too wide for an upright page but fits a level one gets that."""
    layout = laid(250, 100)
    assert layout.page == PageSize(297, 210)
    assert within_margins(layout, 250, 100)


def test_the_largest_piece_with_rulers_fits_to_the_millimetre():
    """The last millimetre of an upright page is used before the page is turned or left."""
    width, height = 190 - RULERS, 277 - RULERS - GAP - CAPTION.height
    layout = laid(width, height)
    assert within_margins(layout, width, height)
    assert laid(width, height + 0.1).sheets != (1, 1)


def test_a_piece_that_fills_the_page_holds_its_caption():
    """Where there is no room above it, the caption goes inside, without rulers."""
    layout = laid(185, 270, inside=PageSize(175, 260))
    assert (layout.sheets, layout.ruled) == ((1, 1), False)
    assert within_margins(layout, 185, 270)
    left, top = layout.lettering_at
    assert layout.piece_at[0] < left
    assert layout.piece_at[1] < top


def test_a_large_piece_takes_as_few_sheets_as_it_can():
    """400 by 350 mm with its caption inside is two by two level sheets; hollow, it is six."""
    assert laid(400, 350, inside=PageSize(390, 340)).sheets == (2, 2)
    assert laid(400, 350).sheets in {(3, 2), (2, 3)}


@pytest.mark.parametrize("inside", [HOLLOW, PageSize(900, 900)])
def test_several_sheets_hold_the_whole_piece(inside):
    """The tiles together are the page, and the piece with its rulers lies within."""
    layout = laid(1000, 1000, inside=inside)
    across, down = layout.sheets
    assert layout.page == PageSize(across * layout.tile.width, down * layout.tile.height)
    assert layout.piece_at[0] + 1000 <= layout.page.width
    assert layout.piece_at[1] + 1000 + RULERS <= layout.page.height
