"""Cards of the tests of pictures, from the smallest to the largest, good ones and bad ones."""

from __future__ import annotations

import math

HEAD = 'format = 1\nname = "{name}"\nunits = "{units}"\n'


def step_card(name: str = "Ferry stairs", size: float = 1.0, piece: str = "base") -> str:
    """A step card of 148 by 210 mm times `size` whose gutter is 2 mm times `size` too high."""

    def row(*values: float) -> str:
        return "[" + ", ".join(f'"{value * size:g} mm"' for value in values) + "]"

    return HEAD.format(name=name, units="mm") + (
        f'[[piece]]\nname = "{piece}"\noutline = {{ rectangle = {row(148, 210)} }}\n'
        f"[[piece.slit]]\npoints = [{row(50, 45)}, {row(50, 175)}]\n"
        f'[[piece.band]]\nname = "steps"\nfrom = {row(50, 175)}\nto = {row(148, 175)}\n'
        f'walk = {row(30, 35, 30, 35)}\nsense = "alternate"\nfirst = "valley"\n'
        f'[[piece.fold]]\nname = "gutter"\nsense = "valley"\n'
        f"points = [{row(0, 107)}, {row(50, 107)}]\n"
    )


def centre_steps() -> str:
    """A step between two slits; the plain strips at its sides are folded in different places."""
    return HEAD.format(name="Lock gate", units="mm") + (
        '[[piece]]\nname = "base"\noutline = { rectangle = [140, 200], round = 6 }\n'
        '[[piece.slit]]\nname = "left slit"\npoints = [[40, 70], [40, 130]]\n'
        '[[piece.slit]]\nname = "right slit"\npoints = [[100, 70], [100, 130]]\n'
        '[[piece.fold]]\nname = "top"\nsense = "valley"\npoints = [[40, 130], [100, 130]]\n'
        '[[piece.fold]]\nname = "ridge"\nsense = "mountain"\npoints = [[40, 100], [100, 100]]\n'
        '[[piece.fold]]\nname = "foot"\nsense = "valley"\npoints = [[40, 70], [100, 70]]\n'
        '[[piece.fold]]\nname = "left gutter"\nsense = "valley"\npoints = [[0, 103], [40, 103]]\n'
        '[[piece.fold]]\nname = "right gutter"\nsense = "valley"\n'
        "points = [[100, 98], [140, 98]]\n"
        '[[piece.mark]]\nname = "guide"\npoints = [[10, 20], [130, 20]]\n'
    )


def vertex(angles: tuple[float, ...] = (80, 70, 110, 100), senses: str = "mvvv") -> str:
    """A square whose folds meet in its middle, the sector angles given anticlockwise."""
    text = HEAD.format(name="Kite corner", units="mm") + (
        '[[piece]]\nname = "sheet"\noutline = { rectangle = [120, 120] }\n'
    )
    turned = 90.0
    for index, (angle, letter) in enumerate(zip(angles, senses, strict=True), 1):
        x, y = math.cos(math.radians(turned)), math.sin(math.radians(turned))
        reach = 60.0 / max(abs(x), abs(y))
        sense = "mountain" if letter == "m" else "valley"
        text += (
            f'[[piece.fold]]\nname = "ray {index}"\nsense = "{sense}"\n'
            f'points = [[60, 60], ["{60 + reach * x:.9f}", "{60 + reach * y:.9f}"]]\n'
        )
        turned += angle
    return text


def several() -> str:
    """Three pieces: one that buckles, one that closes, one without a loop."""
    return step_card("Market day") + (
        '[[piece]]\nname = "cover"\noutline = { rectangle = [100, 90] }\n'
        '[[piece.slit]]\npoints = [[30, 20], [30, 70]]\nhow = "tear"\n'
        '[[piece.fold]]\nsense = "valley"\npoints = [[0, 45], [30, 45]]\n'
        '[[piece.fold]]\nsense = "valley"\npoints = [[30, 70], [100, 70]]\n'
        '[[piece.fold]]\nsense = "mountain"\npoints = [[30, 45], [100, 45]]\n'
        '[[piece.fold]]\nsense = "valley"\npoints = [[30, 20], [100, 20]]\n'
        '[[piece]]\nname = "label"\noutline = { circle = [30, 30, 30] }\n'
        '[[piece.opening]]\nname = "eye"\ncircle = [30, 48, 4]\n'
        '[[piece.fold]]\nname = "fan"\nsense = "mountain"\nstill = true\n'
        "points = [[0, 30], [60, 30]]\n"
    )


def long_names() -> str:
    """A step card whose names would run over any page."""
    long = "the long and winding stairway behind the old customs house"
    return (
        step_card(f"Card of {long} at sunset", piece=long)
        .replace('"steps"', f'"{long}"')
        .replace('"gutter"', '"' + "gutter" * 13 + '"')
    )


def accordion(count: int = 12) -> str:
    """A strip with many upright folds and names that are longer than the panels are wide."""
    text = HEAD.format(name="Washing line", units="in") + (
        f'[[piece]]\nname = "strip"\noutline = {{ rectangle = [{count + 1}, 4] }}\n'
    )
    for index in range(1, count + 1):
        sense = "mountain" if index % 2 else "valley"
        text += (
            f'[[piece.fold]]\nname = "between shirt {index} and {index + 1}"\n'
            f'sense = "{sense}"\npoints = [[{index}, 0], [{index}, 4]]\n'
        )
    return text


def crossing() -> str:
    """A fold that runs across a slit: nothing can be proved."""
    return step_card("Broken bridge") + (
        '[[piece.fold]]\nname = "stray"\nsense = "valley"\npoints = [[20, 60], [90, 60]]\n'
    )


def short_step() -> str:
    """A step card whose steps fall short."""
    return (
        step_card("Low tide")
        .replace('"0 mm", "107 mm"', '"0 mm", "102 mm"')
        .replace('"50 mm", "107 mm"', '"50 mm", "102 mm"')
    )


def box_at_an_angle(second: str = "angle = 90\n") -> str:
    """A box in a gutter; one of its folds is turned by 90 degrees, or left out."""
    text = HEAD.format(name="Tide gauge", units="mm") + (
        '[[piece]]\nname = "base"\noutline = { rectangle = [120, 160] }\n'
        "[[piece.slit]]\npoints = [[40, 55], [40, 100]]\n"
        '[[piece.fold]]\nname = "top"\nsense = "valley"\npoints = [[40, 100], [120, 100]]\n'
        '[[piece.fold]]\nname = "foot"\nsense = "valley"\npoints = [[40, 55], [120, 55]]\n'
        '[[piece.fold]]\nname = "gutter"\nsense = "valley"\npoints = [[0, 80], [40, 80]]\n'
    )
    if second:
        text += (
            f'[[piece.fold]]\nname = "edge"\nsense = "mountain"\n{second}'
            "points = [[40, 75], [120, 75]]\n"
        )
    return text


def two_stretches() -> str:
    """A straight gutter that a window parts in two stretches."""
    return HEAD.format(name="Two halves", units="mm") + (
        '[[piece]]\nname = "base"\noutline = { rectangle = [120, 160] }\n'
        '[[piece.fold]]\nname = "left"\nsense = "valley"\npoints = [[0, 80], [50, 80]]\n'
        '[[piece.fold]]\nname = "right"\nsense = "valley"\npoints = [[70, 80], [120, 80]]\n'
        '[[piece.opening]]\nname = "window"\nrectangle = [50, 70, 20, 20]\n'
    )


def glued_strap(depth: int = 24) -> str:
    """A strap glued by its two feet across the gutter of a half fold, `depth` 25 to fit."""
    top = 35 + depth
    return HEAD.format(name="Gangway", units="mm") + (
        f"[measures]\ndepth = {depth}\n"
        '[[piece]]\nname = "base"\noutline = { rectangle = [120, 160] }\n'
        '[[piece.fold]]\nname = "gutter"\nsense = "valley"\npoints = [[0, 80], [120, 80]]\n'
        '[[piece.panel]]\nname = "front page"\nat = [5, 5]\n'
        '[[piece.panel]]\nname = "back page"\nat = [5, 155]\n'
        '[[piece]]\nname = "strap"\noutline = { rectangle = [30, "45 + depth"] }\n'
        '[[piece.band]]\nname = "strap"\nfrom = [30, 10]\nto = [0, 10]\n'
        'walk = [25, "depth"]\nsense = ["valley", "mountain", "valley"]\n'
        '[[piece.panel]]\nname = "lower foot"\nat = [15, 5]\n'
        f'[[piece.panel]]\nname = "upper foot"\nat = [15, {top + 5}]\n'
        '[[joint]]\nname = "lower foot"\n'
        'glue = { panel = "strap/lower foot", face = "back", line = [[30, 10], [0, 10]] }\n'
        'to = { panel = "base/front page", face = "front", line = [[75, 55], [45, 55]] }\n'
        "[[joint]]\n"
        'glue = { panel = "strap/upper foot", face = "back", '
        'line = [[30, "35 + depth"], [0, "35 + depth"]] }\n'
        'to = { panel = "base/back page", face = "front", line = [[75, 105], [45, 105]] }\n'
    )


CARDS = {
    "buckles": step_card(),
    "gapes": short_step(),
    "two-open-loops": centre_steps(),
    "vertex-fails": vertex(),
    "vertex-closes": vertex((80, 70, 100, 110)),
    "three-pieces": several(),
    "long-names": long_names(),
    "tiny": step_card("Pin box", 40 / 210),
    "large": step_card("Garden gate", 600 / 210),
    "accordion": accordion(),
    "unproven": crossing(),
    "glued-strap": glued_strap(),
    "glued-strap-fits": glued_strap(25),
    "in-space": box_at_an_angle(),
    "turned": box_at_an_angle(""),
    "two-stretches": two_stretches(),
}
