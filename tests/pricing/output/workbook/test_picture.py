"""Pictures of drawings: the right size on paper, lines and letters where they belong."""

from io import BytesIO

from PIL import Image

from nesting.drawings.scene import BOLD, HIDDEN, POINT, Arrow, Circle, Line, Scene, Text, rectangle
from pricing.output.workbook.picture import DOTS, picture


def drawn(*items: object) -> Image.Image:
    scene = Scene(72 * POINT, 36 * POINT, tuple(items))  # type: ignore[arg-type]  # items of a scene
    return Image.open(BytesIO(picture(scene)))


def test_it_knows_its_size_on_paper() -> None:
    image = drawn(rectangle(0, 0, 72 * POINT, 36 * POINT))
    across, up = image.info["dpi"]
    assert round(across) == round(up) == DOTS
    assert abs(image.width / across - 1.0) < 0.02
    assert abs(image.height / up - 0.5) < 0.02


def test_up_is_up() -> None:
    image = drawn(rectangle(0, 0, 72 * POINT, 9 * POINT, fill=0.0)).convert("L")
    assert image.getpixel((image.width // 2, image.height - 8)) == 0
    assert image.getpixel((image.width // 2, 8)) == 255


def test_every_kind_of_item_leaves_ink() -> None:
    centre = (36 * POINT, 18 * POINT)
    for item in (
        Line((0, 18 * POINT), (72 * POINT, 18 * POINT)),
        Line((0, 18 * POINT), (72 * POINT, 18 * POINT), HIDDEN),
        Circle(centre, 6.0),
        Arrow((9 * POINT, 18 * POINT), (60 * POINT, 18 * POINT), BOLD, both=True),
        Text(centre, "K1.back", 8.0, "middle"),
        Text(centre, "K1.back", 8.0, "middle", turned=True),
    ):
        image = drawn(item).convert("L")
        assert image.histogram()[0] > 20, item


def test_a_turned_text_stands_upright_about_its_anchor() -> None:
    image = drawn(Text((36 * POINT, 18 * POINT), "stile", 8.0, "middle", turned=True)).convert("L")
    left, top, right, bottom = image.point(lambda grey: 255 if grey < 128 else 0).getbbox() or (0, 0, 0, 0)
    assert bottom - top > right - left
    assert abs((top + bottom) / 2 - image.height / 2) < 4
    assert right <= image.width / 2 + 8


def test_the_same_scene_gives_the_same_picture() -> None:
    scene = Scene(72 * POINT, 36 * POINT, (Text((0, 0), "30 1/2", 7.0),))
    assert picture(scene) == picture(scene)
