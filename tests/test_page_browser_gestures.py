"""Products made on the page alone: the same value as the file a person would write, and how many gestures it takes."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

import pytest
from browser import Visit, visiting
from playwright.sync_api import Page, expect


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    with visiting(tmp_path_factory.mktemp("gestures")) as made:
        yield made
        assert not made.said, made.said


class Hand:
    """What a person does on the product bench, counted: a press, or a field that is filled in, is one gesture."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    @property
    def text(self) -> str:
        """The project's text as it stands."""
        return self.page.input_value("#product-text")

    def press(self, selector: str, gives: str = "") -> None:
        """Press a button; wait until the text has what it gives."""
        self.page.locator(selector).first.click()
        self._done(gives)

    def toggle(self, words: str, gives: str = "", within: str = "#product-form") -> None:
        """Press a button by its words."""
        self.page.locator(within).get_by_role("button", name=words, exact=True).first.click()
        self._done(gives)

    def fill(self, label: str, value: str, gives: str = "", within: str = "#product-form") -> None:
        """Fill in a field by its label."""
        box = self.page.locator(within).get_by_label(label, exact=True).first
        box.fill(value)
        box.press("Enter")
        self._done(gives or value)

    def choose(self, label: str, value: str, gives: str) -> None:
        """Choose from a list."""
        self.page.locator("#product-form").get_by_label(label, exact=True).first.select_option(value)
        self._done(gives)

    def piece(self, kind: str, name: str) -> None:
        """A new piece with its name: its shape's button, then the name is typed at once."""
        pieces = self.text.count("[[piece]]")
        self.press(f"[data-shape-kind={kind}]", "[[piece]]")
        expect(self.page.locator("#product-strip .piece-card")).to_have_count(pieces + 2)
        expect(self.page.locator("#piece-name")).to_be_focused()
        self.page.keyboard.type(name)
        self.page.keyboard.press("Enter")
        self._done(f'name = "{name}"')

    def edge(self, times: int, name: str) -> None:
        """Choose an edge by its key."""
        self.page.locator("#product-surface svg.surface").focus()
        for _ in range(times):
            self.page.keyboard.press("e")
        expect(self.page.locator("#product-hint")).to_contain_text(f"“{name}”")
        self.count += times

    def _done(self, gives: str) -> None:
        self.count += 1
        if gives:
            expect(self.page.locator("#product-text")).to_have_value(re.compile(re.escape(gives)))


def _begun(page: Page, units: str, name: str) -> Hand:
    hand = Hand(page)
    hand.press("#tab-product")
    hand.press(f"#product-new-{units}")
    hand.fill("Product", name, within="#product-bench")
    return hand


TAG = """
format = "hideplan-project-1"
name = "Luggage tag"
units = "in"
[[piece]]
name = "tag"
count = 2
grade = "B"
shape = { rectangle = ["2 1/2 in", "4 1/4 in"], corner = "3/8 in" }
holes = [{ at = ["1 1/4 in", "3 5/8 in"], diameter = "1/4 in" }]
rows = [{ edge = "all", inset = "5/32 in", pitch = "3/16 in", diameter = "1/32 in" }]
"""


def test_a_luggage_tag(visit: Visit) -> None:
    with visit.tab() as page:
        hand = _begun(page, "in", "Luggage tag")
        hand.piece("rectangle", "tag")
        hand.fill("width", "2 1/2")
        hand.fill("length", "4 1/4")
        hand.fill("all corners rounded by", "3/8")
        hand.fill("in one product", "2", "count = 2")
        hand.toggle("B", 'grade = "B"')
        hand.press("[data-feature-kind=holes]", "holes")
        hand.fill("x", "1 1/4")
        hand.fill("y", "3 5/8")
        hand.fill("diameter", "1/4")
        hand.press("[data-feature-kind=rows]", "rows")
        hand.toggle("all", 'edge = "all"')
        hand.fill("inset", "5/32")
        hand.fill("pitch", "3/16")
        hand.fill("diameter", "1/32", within='[data-feature="rows-0"]')
        assert tomllib.loads(hand.text) == tomllib.loads(TAG)
        assert hand.count == 19


BELT = """
format = "hideplan-project-1"
name = "Belt"
units = "mm"
[[piece]]
name = "belt"
shape = { strap = [38, 1080], ends = ["square", "point"] }
along = "backbone"
tolerance = 5
belt_holes = { middle = 930, number = 5, pitch = 25.4, diameter = 5, group = "belt" }
buckle_slots = [{ at = 70, length = 25, width = 5 }]
lines = [{ kind = "crease", edge = "right", inset = 3 }]
[[piece]]
name = "keeper"
grade = "B"
along = "any"
shape = { rectangle = [12, "around_box(38 mm, 2 * t, t) + 2 mm"] }
"""


def test_a_belt_with_its_keeper(visit: Visit) -> None:
    with visit.tab() as page:
        hand = _begun(page, "mm", "Belt")
        hand.piece("strap", "belt")
        hand.fill("width", "38", "[38, ")
        hand.fill("length over all", "1080")
        hand.toggle("along the backbone", "backbone")
        hand.fill("tolerance, °", "5", "tolerance = 5")
        hand.press("[data-feature-kind=belt_holes]", "belt_holes")
        hand.fill("middle hole at", "930")
        hand.press("[data-feature-kind=buckle_slots]", "buckle_slots")
        hand.fill("at", "70")
        hand.edge(2, "right")
        hand.press("[data-line-kind=crease]", "inset = 3")
        hand.piece("rectangle", "keeper")
        expect(page.locator("#product-hint")).to_contain_text("lies as “belt” does")
        hand.toggle("any way", 'along = "any"')
        hand.toggle("B", 'grade = "B"')
        hand.fill("width", "12", "[12, ")
        hand.fill("length", "around_box(38 mm, 2 * t, t) + 2 mm")
        expect(page.locator("#piece-size")).to_contain_text("12 mm × ")
        assert tomllib.loads(hand.text) == tomllib.loads(BELT)
        assert hand.count == 22


CASE = """
format = "hideplan-project-1"
name = "Card case"
units = "mm"
[[piece]]
name = "body"
fold = "y"
along = "backbone"
shape = { rectangle = [50, 200], corners = [0, 0, 6, 0] }
rows = [{ edge = "right", inset = 4, pitch = 4, diameter = 1, group = "side" }]
lines = [{ kind = "fold", points = [[-50, 100], [50, 100]] }]
[[piece]]
name = "pocket"
along = "backbone"
count = 2
shape = { rectangle = [100, 60] }
allowances = [{ edge = "top", kind = "turned", width = 10 }]
[[seam]]
name = "foot"
edges = [{ piece = "body", edge = "bottom" }, { piece = "pocket", edge = "bottom" }]
"""


def test_a_card_case_drawn_by_half(visit: Visit) -> None:
    with visit.tab() as page:
        hand = _begun(page, "mm", "Card case")
        hand.piece("rectangle", "body")
        hand.fill("width", "50", "[50, ")
        hand.fill("length", "200")
        hand.press("#product-surface .handle.corner >> nth=2")
        hand.toggle("Rounded", "corners")
        hand.fill("radius", "6", "6, 0]")
        hand.toggle("along the backbone", "backbone")
        hand.toggle("left over right", 'fold = "y"')
        hand.press("[data-feature-kind=lines]", "[[-50, 100], [50, 100]]")
        hand.edge(2, "right")
        hand.press("[data-feature-kind=rows]", "rows")
        hand.fill("pitch", "4", "pitch = 4")
        hand.fill("group", "side")
        hand.piece("rectangle", "pocket")
        hand.fill("width", "100")
        hand.fill("length", "60")
        hand.fill("in one product", "2", "count = 2")
        hand.edge(3, "top")
        hand.press("[data-feature-kind=allowances]", "turned")
        hand.fill("width", "10", "width = 10", within='[data-feature="allowances-0"]')
        hand.press("#product-view-joints")
        hand.press("#seam-more", "[[seam]]")
        hand.fill("name", "foot", within='section[aria-label="Seams"]')
        expect(page.locator("#product-fault")).to_be_hidden()
        assert tomllib.loads(hand.text) == tomllib.loads(CASE)
        assert hand.count == 31


FLAP = """
format = "hideplan-project-1"
name = "Bag flap"
units = "mm"
[choices]
buckles = { default = 2, from = 1, to = 3 }
closing = { default = "snap", of = ["snap", "buckle"] }
[[piece]]
name = "flap"
splice = { over = 300, lap = "60 mm" }
when = { closing = "snap" }
shape = { polygon = [
  [0, 0],
  [120, 0],
  { curve = [120, 120], by = [[150, 60]] },
  { smooth = [[114, 161], [60, 160]] },
  [0, 120],
] }
[[fastener]]
name = "snap"
kind = "snap"
sizes = [{ name = "short", grip = ["1 mm", "3 mm"], price = 0.4 }, { name = "long", grip = ["3 mm", 6] }]
[price]
currency = "EUR"
"""


def test_a_flap_with_curves_choices_a_splice_and_the_sizes_of_its_snaps(visit: Visit) -> None:
    with visit.tab() as page:
        hand = _begun(page, "mm", "Bag flap")
        page.click("#product-text-toggle")
        page.fill(
            "#product-text",
            hand.text
            + '\n[[piece]]\nname = "flap"\nshape = { polygon = [[0, 0], [120, 0], [120, 120], [60, 160], [0, 120]] }\n',
        )
        expect(page.locator("#product-surface .handle.corner")).to_have_count(5)
        hand.press("#product-surface .handle.corner >> nth=2")
        hand.toggle("On a curve", "curve = [120, 120]")
        hand.fill("x of bend 1", "150", "[150, 60]")
        hand.press("#product-surface .handle.corner >> nth=2")
        hand.toggle("Smooth", "smooth = ")
        hand.fill("x of point 1", "114", "[114, ")
        hand.fill("y of point 1", "161", "[114, 161]")
        page.keyboard.press("Control+z")
        expect(page.locator("#product-text")).not_to_have_value(re.compile(r"161"))
        page.keyboard.press("Control+y")
        expect(page.locator("#product-text")).to_have_value(re.compile(r"161"))
        page.get_by_text("Where it may lie, and more").click()
        hand.toggle("It may be spliced where it is long", "splice")
        hand.fill("spliced where longer than", "300", "over = 300")
        hand.press("#product-view-joints")
        hand.fill("A new choice is called", "buckles", "[[piece]]")
        hand.press("[data-key='choice+number']", "[choices]")
        hand.fill("usual", "2", "default = 2")
        hand.fill("to", "3", "to = 3")
        hand.fill("A new choice is called", "closing", "[[piece]]")
        hand.press("[data-key='choice+words']", "closing")
        hand.fill("one of", "snap, buckle", 'default = "snap"')
        hand.press("[data-key='fastener+snap']", "[[fastener]]")
        hand.fill("currency of the prices", "EUR", "[price]")
        hand.fill("price of one", "0.4", "price = 0.4")
        hand.fill("to", "6", "6]", within='[aria-label="long of snap"]')
        hand.press("#seam-more", "[[seam]]")
        hand.press("[data-key='seam[0].edges[0].edge=2']", 'edge = ["1", "2"]')
        expect(page.locator("#product-fault")).to_be_visible()  # no seam joins edges of other lengths
        hand.press("[data-key='seam-out-0']")
        hand.press("#product-view-piece")
        hand.choose("only where closing is", "snap", "when = ")
        assert tomllib.loads(hand.text) == tomllib.loads(FLAP)
        expect(page.locator("#product-fault")).to_be_hidden()


RACK = """
format = "hideplan-project-1"
name = "Rack"
units = "mm"
[choices]
places = { default = 3, from = 1, to = 6 }
side = { default = "right", of = ["left", "right"] }
[lengths]
wide = "32 mm"
[[leather]]
name = "shell"
thickness = "2-2.4 mm"
[[piece]]
name = "panel"
grade = "B"
along = "backbone"
shape = { polygon = [
  [0, 0],
  { at = ["4 * wide", 0], edge = "foot" },
  { arc = ["4 * wide", 200], rise = 6, edge = "side" },
  { at = [0, 200], round = 8 },
] }
holes = [
  { at = [20, 30], diameter = 5, group = "low" },
  { at = [64, 30], diameter = 5, group = "low" },
  { at = [108, 30], diameter = 5, group = "low" },
  { at = [20, 170], diameter = 5, group = "high" },
]
lines = [{ kind = "fold", points = [[0, 100], [128, 100]] }, { kind = "fold", points = [[0, 150], [128, 150]] }]
rows = [{ edge = "foot", inset = 4, pitch = 6, diameter = 1.5, group = "hem" }]
[[piece]]
name = "strip"
count = 3
grade = "B"
along = "backbone"
shape = { rectangle = ["4 * wide", 20] }
holes = [{ at = [64, 10], diameter = 5, group = "mid" }]
rows = [{ edge = "bottom", inset = 4, pitch = 6, diameter = 1.5, group = "hem" }]
[[fastener]]
name = "screw post"
kind = "post"
sizes = [{ name = "3/16 in", length = "3/16 in" }, { name = "1/4 in", length = "1/4 in" }]
[[fastener]]
name = "thread"
kind = "thread"
sizes = [{ name = "0.8 mm" }]
[[joint]]
name = "wall"
fastener = "screw post"
layers = [{ piece = "panel", holes = "low" }, { piece = "strip", holes = "mid", pieces = 3 }]
[[seam]]
name = "hem"
edges = [
  { piece = "panel", edge = "foot", inset = 4, holes = "hem" },
  { piece = "strip", edge = "bottom", inset = 4, holes = "hem" },
]
fastener = "thread"
pitch = 6
"""


def test_what_is_typed_in_one_line_and_what_begins_like_the_last(visit: Visit) -> None:
    """A line each for choices, lengths, corners with what is done there, places of holes, sizes; rows, seams."""
    with visit.tab() as page:
        hand = _begun(page, "mm", "Rack")
        hand.press("#product-view-joints")
        hand.fill("A new choice is called", "places = 1 to 6, usually 3", "[choices]")
        hand.fill("A new choice is called", "side = left, right, usually right", 'default = "right"')
        hand.fill("A new length", "wide = 32 mm", "[lengths]")
        expect(page.get_by_label("A new length", exact=True)).to_be_focused()  # for the next one
        expect(page.get_by_label("A new length", exact=True)).to_have_value("")
        hand.fill("A new leather, with its thickness", "shell = 2-2.4 mm", "[[leather]]")
        hand.fill("A new length", "nothing", "[lengths]")
        expect(page.locator("#notice")).to_contain_text("Type a name, =, and the length")

        hand.press("[data-shape-kind=polygon]")
        page.fill("[data-key=corner-next]", "9000, -700")
        page.press("[data-key=corner-next]", "Enter")
        expect(page.locator("#product-form ol li")).to_have_count(1)
        dot, sheet = (page.locator(f"#product-surface {each}").first.bounding_box() for each in (".handle", "svg"))
        assert dot
        assert sheet
        assert sheet["x"] < dot["x"] < sheet["x"] + sheet["width"]  # what is typed far away is in sight
        page.get_by_role("button", name="Take back the last").click()
        for typed in ("0, 0", "4 * wide, 0 edge foot", "4 * wide, 200 rise 6 edge side", "0, 200 round 8", ""):
            page.fill("[data-key=corner-next]", typed)
            page.press("[data-key=corner-next]", "Enter")
        expect(page.locator("#piece-name")).to_be_focused()
        page.keyboard.type("panel")
        page.keyboard.press("Enter")
        hand.toggle("B", 'grade = "B"')
        hand.toggle("along the backbone", "along")
        hand.press("[data-feature-kind=holes]", "holes")
        expect(page.locator("[data-key='piece[0].holes[0].at[0]']")).to_be_focused()  # the first field of what is new
        for typed in ("20", "30", "5", "low"):
            page.keyboard.type(typed)
            page.keyboard.press("Tab")
        expect(page.locator("#product-text")).to_have_value(re.compile('group = "low"'))
        hand.fill("next hole, as the last: x, y", "64, 30; 108, 30", "[108, 30]")
        hand.fill("next hole, as the last: x, y", "20, 170, high", "high")
        hand.press("[data-feature-kind=lines]", "lines")
        hand.press("[data-key='piece[0].lines[0].like']", "[[")
        expect(page.locator("[data-feature='lines-1']")).to_be_visible()
        hand.fill("all points: x, y; x, y", "0, 150; 128, 150", "150]", within="[data-feature='lines-1']")
        hand.fill("all points: x, y; x, y", "0, 100; 128, 1, 2", "150]", within="[data-feature='lines-0']")
        expect(page.locator("#notice")).to_contain_text("semicolon between points")
        hand.fill("all points: x, y; x, y", "0, 100; 128", "100]", within="[data-feature='lines-0']")
        hand.edge(1, "foot")
        hand.press("[data-feature-kind=rows]", "rows")
        for label, value in (("pitch", "6"), ("diameter", "1.5"), ("group", "hem")):
            hand.fill(label, value, within="[data-feature='rows-0']")

        hand.piece("rectangle", "strip")
        hand.fill("width", "4 * wide")
        hand.fill("length", "20", ", 20]")
        hand.fill("in one product", "3", "count = 3")
        hand.press("[data-feature-kind=holes]", "holes")
        hand.fill("group", "mid", within="[data-feature='holes-0']")  # as wide as the last one in the product
        hand.edge(1, "bottom")
        hand.press("[data-feature-kind=rows]", "rows")
        hand.fill("group", "hem", within="[data-feature='rows-0']")  # pricked like the last one

        hand.press("#product-view-joints")
        hand.press("[data-key='fastener+post']", "[[fastener]]")
        hand.fill("all sizes: length, and if known its price and weight, g", "3/16 in, 1/4 in", '"3/16 in"')
        hand.press("[data-key='fastener+thread']", "thread")
        hand.press("#joint-more", "[[joint]]")
        hand.fill("name", "wall", within='section[aria-label="Joints"]')
        layers = page.locator("[data-key^='layer-out-0']")
        for left in (1, 0):
            hand.press("[data-key='layer-out-0-0']")
            expect(layers).to_have_count(left)
        for option in ("panel/low", "strip/mid"):  # three strips, so that all have three holes
            hand.press(f"[data-key='layer+0={option}']")
        expect(page.locator("#product-text")).to_have_value(re.compile("pieces = 3"))
        hand.press("#seam-more", "[[seam]]")  # the two rows that have as many holes
        hand.fill("name", "hem", 'name = "hem"', within='section[aria-label="Seams"]')
        expect(page.locator("#product-fault")).to_be_hidden()
        assert tomllib.loads(hand.text) == tomllib.loads(RACK)


ROUND = "or one by one, from the lower left round; or two: lower, upper"


def test_corners_of_a_rectangle_are_typed_in_one_line_and_edges_fall_into_their_order(visit: Visit) -> None:
    with visit.tab() as page:
        hand = _begun(page, "mm", "Bag")
        hand.piece("rectangle", "front")
        hand.fill(ROUND, "12, 12, 0", "[[piece]]")
        expect(page.locator("#notice")).to_contain_text("four corners")
        hand.fill(ROUND, "12, 12, 0, cut 5", "corners = [12, 12, 0, { cut = 5 }]")
        hand.edge(1, "bottom")
        hand.press("[data-feature-kind=rows]", "rows")
        hand.press("[data-key='piece[0].rows[0].edge=right']", '["bottom", "right"]')
        hand.press("[data-key='piece[0].rows[0].edge=left']", '["left", "bottom", "right"]')
        hand.press("[data-key='piece[0].rows[0].edge=bottom']", '["left", "right"]')
        expect(page.locator("#product-fault")).to_contain_text("do not follow one another")
        hand.press("[data-key='piece[0].rows[0].edge=top']", '["right", "top", "left"]')
        expect(page.locator("#product-fault")).to_be_hidden()
        hand.edge(1, "right")  # the one after that which was chosen before
        hand.press("[data-feature-kind=allowances]", 'edge = "right"')
        hand.fill("width", "9", "width = 9", within="[data-feature='allowances-0']")
        hand.press("[data-key='piece[0].allowances[0].like']", '{ edge = "left", kind = "turned", width = 9 }')
        hand.press("[data-key='piece[0].allowances[0].like']", '{ edge = "top", kind = "turned", width = 9 }')
        hand.fill(ROUND, " ", "[[piece]]")
        expect(page.locator("#product-text")).not_to_have_value(re.compile(r"corners = \["))


BAG = """
format = "hideplan-project-1"
name = "Bag"
units = "mm"
[choices]
wide = { default = "200 mm", from = "120 mm", to = "300 mm" }
[[leather]]
name = "shell"
thickness = "2-2.4 mm"
[[leather]]
name = "lining"
thickness = "0.8-1 mm"
leather = "calf"
[[fastener]]
name = "thread"
kind = "thread"
sizes = [{ name = "0.8 mm" }]
[[piece]]
name = "front"
grade = "B"
shape = { rectangle = ["wide", 150], corners = [30, 30, 0, 0] }
rows = [{ edge = ["left", "bottom", "right"], inset = 4, pitch = 5, diameter = 1, corners = "round", group = "rim" }]
lines = [{ kind = "fold", points = [[0, "wide / 4"], ["wide", "wide / 4"]] }]
[[piece]]
name = "gusset"
grade = "B"
shape = { strap = [60, "as seam front and gusset"], ends = ["square", "square"] }
rows = [{ edge = "left", inset = 4, pitch = 5, diameter = 1, group = "front" }]
[[piece]]
name = "lining"
leather = "lining"
grade = "B"
shape = { rectangle = [120, 160] }
[[seam]]
name = "front and gusset"
edges = [
  { piece = "front", edge = ["left", "bottom", "right"], inset = 4, holes = "rim" },
  { piece = "gusset", edge = "left", inset = 4, holes = "front" },
]
fastener = "thread"
pitch = 5
"""


def test_a_piece_is_sewn_to_another_with_its_row_its_seam_and_its_length(visit: Visit) -> None:
    """What a product begins with is typed before its first piece; edges are chosen one by one; a line right across."""
    with visit.tab() as page:
        hand = _begun(page, "mm", "Bag")
        hand.fill("A new choice is called", "wide = 200 mm, 120-300", "[choices]")
        hand.fill("A new leather, with its thickness", "shell = 2-2.4 mm", "[[leather]]")
        hand.fill("A new leather, with its thickness", "lining = 0.8-1 mm, calf", "calf")
        hand.press("[data-key='fastener+thread']", "thread")
        hand.piece("rectangle", "front")
        hand.fill("width", "wide")
        hand.fill("length", "150")
        hand.fill(ROUND, "30, 0", "corners = [30, 30, 0, 0]")
        hand.toggle("B", 'grade = "B"')
        hand.edge(4, "left")
        for _ in range(2):
            page.keyboard.press("Shift+E")
        expect(page.locator("#product-hint")).to_contain_text("“left”, “bottom”, “right” are chosen")
        hand.press("[data-feature-kind=rows]", 'edge = ["left", "bottom", "right"], inset = 4, pitch = 5')
        expect(page.locator("[data-key='piece[0].rows[0].group']")).to_be_focused()
        page.keyboard.type("rim")
        page.keyboard.press("Enter")
        expect(page.locator("#product-text")).to_have_value(re.compile('corners = "round", group = "rim"'))
        hand.press("[data-line-kind=fold]", "points")  # several edges have no fold in one: it goes across
        hand.fill("right across, at y", "wide / 4", '["wide", "wide / 4"]')
        hand.piece("strap", "gusset")
        hand.fill("width", "60")
        hand.choose("other end", "square", '"square", "square"')
        page.select_option("#product-sew", value="front\nrim")
        expect(page.locator("#product-hint")).to_contain_text("its length now follows from")
        expect(page.locator("#product-sew")).to_be_disabled()  # no row is left to be sewn to
        hand.piece("rectangle", "lining")
        expect(page.locator("#product-text")).to_have_value(re.compile('leather = "lining"'))  # by its name
        expect(page.locator("#product-fault")).to_be_hidden()
        assert tomllib.loads(hand.text) == tomllib.loads(BAG)
        # a group that is called otherwise is so in the seam; a seam's name follows its pieces until one is given
        page.click("[data-key=card-0]")
        hand.fill("group", "round", 'holes = "round"')
        page.click("#product-view-joints")
        expect(page.locator("[data-key='seam[0].name']")).to_have_value("front and gusset")
        page.keyboard.press("Control+z")
        expect(page.locator("#product-text")).not_to_have_value(re.compile('holes = "round"'))


def test_edges_are_taken_in_by_shift_and_a_tap_or_by_two_taps(visit: Visit) -> None:
    with visit.tab() as page:
        hand = _begun(page, "mm", "Panel")
        hand.piece("rectangle", "panel")
        box = page.locator("#product-surface .cut-piece").bounding_box()
        assert box
        left, right = ((box["x"] + part * box["width"], box["y"] + 0.3 * box["height"]) for part in (0, 1))
        page.mouse.click(*left)
        page.keyboard.down("Shift")
        page.mouse.click(*right)
        page.keyboard.up("Shift")
        expect(page.locator("#product-hint")).to_contain_text("“left”, “bottom”, “right” are chosen")
        page.keyboard.press("Escape")
        expect(page.locator(".chosen-edge")).to_have_count(0)
        page.mouse.click(*left)
        page.mouse.dblclick(*right)
        expect(page.locator("#product-hint")).to_contain_text("“left”, “bottom”, “right” are chosen")


def test_what_joints_say_of_themselves_follows_their_layers(visit: Visit) -> None:
    """How many lie side by side, how many joints there are, and what each is called; what is typed stays."""
    with visit.tab() as page:
        hand = _begun(page, "mm", "Hook")
        hand.piece("rectangle", "loop")
        hand.fill("in one product", "6", "count = 6")
        hand.press("[data-feature-kind=holes]", "holes")
        hand.fill("group", "end", 'group = "end"')
        hand.piece("strap", "strap")
        hand.fill("in one product", "3", "count = 3")
        hand.press("[data-feature-kind=holes]", "holes")
        hand.fill("y", "100", "100]")
        hand.fill("group", "low", 'group = "low"')
        hand.fill("next hole, as the last: x, y", ", 140", "140]")
        hand.fill("next hole, as the last: x, y", ", 200, high", "200]")
        hand.fill("next hole, as the last: x, y", ", 240", "240]")
        hand.press("#product-view-joints")
        hand.press("[data-key='fastener+post']", "[[fastener]]")
        hand.press("#joint-more", "[[joint]]")
        page.select_option("[data-key='layer-0-1']", "strap\nlow")
        expect(page.locator("#product-text")).to_have_value(re.compile(r'name = "end"(.|\n)*count = 3'))
        joint = tomllib.loads(hand.text)["joint"][0]
        assert joint["layers"] == [{"piece": "loop", "holes": "end", "pieces": 2}, {"piece": "strap", "holes": "low"}]
        hand.press("[data-key=joint-like-0]", 'name = "end 2"')
        joints = tomllib.loads(hand.text)["joint"]
        assert joints[1] == {
            **joint,
            "name": "end 2",
            "layers": [joint["layers"][0], {"piece": "strap", "holes": "high"}],
        }


def test_holes_are_mirrored_to_the_other_end_or_side(visit: Visit) -> None:
    """Numbers become numbers, a sum what is left of the length to it."""
    with visit.tab() as page:
        hand = _begun(page, "mm", "Panel")
        hand.piece("rectangle", "panel")
        hand.press("[data-feature-kind=holes]", "holes")
        hand.fill("x", "26", "[26, ")
        hand.fill("y", "38", "38]")
        hand.fill("group", "low", 'group = "low"')
        hand.fill("next hole, as the last: x, y", "70", "[70, 38]")
        hand.fill("mirrored to the other end, as group", "high", "[70, 122]")
        hand.fill("length", "100 mm + 20 * t", "20 * t")
        hand.fill("or to the other side, as group", "right", "[94, 122]")
        hand.fill("mirrored to the other end, as group", "foot", "(100 mm + 20 * t) - 122")
        holes = tomllib.loads(hand.text)["piece"][0]["holes"]
        assert [(hole["at"], hole["group"]) for hole in holes[2:6]] == [
            ([26, 122], "high"),
            ([70, 122], "high"),
            ([94, 122], "right"),
            ([50, 122], "right"),
        ]
        page.keyboard.press("Control+z")
        expect(page.locator("#product-text")).not_to_have_value(re.compile("foot"))
