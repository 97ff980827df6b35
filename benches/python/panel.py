"""The panel of the benches in the best Python that we can write: hexagons of three rhombi with
fifteen layers each, in twelve looks.

    panel.py flat|reused text|tree COLUMNS COURSES FILE

Each orientation is clipped once (shapely); places are reckoned in bulk (numpy); svgwrite makes the
frame and the definitions. The tiles are joined as text, or made as elements of svgwrite's tree, as its
documentation does: that is several times slower. What is drawn is what `plyloom preview --bare` draws: the panel's shape, and every tile
with one path a colour.
"""

import math
import sys

import numpy as np
import svgwrite
from shapely import affinity
from shapely.geometry import Polygon, box

PLIES, PLYWOOD, VENEER = 13, 17.7, 0.6
END, LONG = "#cfb07c", "#dfc08a"


def layers():
    """From, to and colour of each layer, from face to back, in mm."""
    ply = PLYWOOD / PLIES
    found = [(0.0, VENEER, "#008080")]
    at = VENEER
    for i in range(PLIES):
        found.append((at, at + ply, END if i % 2 == 0 else LONG))
        at += ply
    found.append((at, at + VENEER, "#5c4033"))
    return found


def block():
    """The layers of a hexagon of three rhombi about its centre, and the length of its edge."""
    thick = PLYWOOD + 2 * VENEER
    side = thick / math.sin(math.radians(60))
    rhombus = Polygon([(0, 0), (side, 0), (side * 1.5, thick), (side * 0.5, thick)])
    parts = []
    for i in range(3):
        bands = [(box(-99, a, 199, b), colour) for a, b, colour in layers()]
        if i == 2:
            middle = rhombus.centroid
            bands = [(affinity.rotate(band, 180, origin=middle), c) for band, c in bands]
        for band, colour in bands:
            clipped = rhombus.intersection(band)
            parts.append((affinity.rotate(clipped, 120 * i, origin=(0, 0)), colour))
    return parts, side


def rings(polygons):
    """Where the first ring starts, and the rest of the path, relative to that."""
    text, start, last = [], None, None
    for polygon in polygons:
        corners = [(round(x, 3), round(y, 3)) for x, y in polygon.exterior.coords[:-1]]
        if start is None:
            start = corners[0]
        else:
            text.append(f"m{corners[0][0] - last[0]:.3f} {corners[0][1] - last[1]:.3f}")
        last = at = corners[0]
        steps = []
        for x, y in corners[1:]:
            steps.append(f"{x - at[0]:.3f} {y - at[1]:.3f}")
            at = (x, y)
        text.append("l" + " ".join(steps) + "z")
    return start, "".join(text)


def looks(parts):
    """For each of twelve orientations: (colour, start, rest) for each colour."""
    found = []
    for flip in (1, -1):
        for turn in range(0, 360, 60):
            by_colour = {}
            for polygon, colour in parts:
                moved = affinity.rotate(polygon, turn, origin=(0, 0))
                if flip < 0:
                    moved = affinity.scale(moved, -1, 1, origin=(0, 0))
                by_colour.setdefault(colour, []).append(moved)
            found.append([(colour, *rings(some)) for colour, some in by_colour.items()])
    return found


def tiles_of_tree(form, faces, which, xs, ys):
    """The tiles as elements."""
    for w, x, y in zip(which, xs, ys):
        if form == "reused":
            yield svgwrite.container.Use(f"#f{w}", (x, y), debug=False)
            continue
        tile = svgwrite.container.Group(debug=False)
        for colour, (sx, sy), rest in faces[w]:
            data = f"M{x + sx:.3f} {y + sy:.3f}{rest}"
            tile.add(svgwrite.path.Path(d=data, fill=colour, debug=False))
        yield tile


def save_tree(frame, rim, tiles, path):
    clip = frame.defs.add(svgwrite.masking.ClipPath(id="rim", debug=False))
    clip.add(svgwrite.path.Path(d=rim, debug=False))
    panel = frame.add(svgwrite.container.Group(clip_path="url(#rim)", debug=False))
    for tile in tiles:
        panel.add(tile)
    frame.saveas(path)


def main():
    form, way, path = sys.argv[1], sys.argv[2], sys.argv[5]
    columns, courses = int(sys.argv[3]), int(sys.argv[4])
    parts, side = block()
    faces = looks(parts)
    column, course = np.meshgrid(np.arange(columns), np.arange(courses))
    column, course = column.ravel(), course.ravel()
    wide = side * math.sqrt(3)
    xs = np.round(wide * (column + 0.5 + 0.5 * (course % 2)), 3).tolist()
    ys = np.round(side * (1.5 * course + 1), 3).tolist()
    if form == "flat":
        # The rule is called for each tile, as the recipe's is.
        rule = lambda c, r: (c * 5 + r * 3) % 12
        which = [rule(c, r) for c, r in zip(column.tolist(), course.tolist())]
    else:
        which = ((column + course) % 12).tolist()

    width, height = wide * (columns + 0.5), side * (1.5 * courses + 0.5)
    frame = svgwrite.Drawing(size=(f"{width:.3f}mm", f"{height:.3f}mm"), debug=False)
    frame.viewbox(0, 0, round(width, 3), round(height, 3))
    if form == "reused":
        for i, face in enumerate(faces):
            group = svgwrite.container.Group(id=f"f{i}", debug=False)
            for colour, (x, y), rest in face:
                group.add(svgwrite.path.Path(d=f"M{x} {y}{rest}", fill=colour, debug=False))
            frame.defs.add(group)
    angles = [math.radians(60 * i) for i in range(6)]
    corners = [(side * math.sin(a), -side * math.cos(a)) for a in angles]
    (ox, oy), outline = rings([Polygon(corners)])
    rim = "".join([f"M{x + ox:.3f} {y + oy:.3f}{outline}" for x, y in zip(xs, ys)])
    if way == "tree":
        save_tree(frame, rim, tiles_of_tree(form, faces, which, xs, ys), path)
        return
    head = frame.tostring().rsplit("</svg>", 1)[0]
    if form == "flat":
        pieces = [
            [(f'<path fill="{c}" d="M', sx, sy, rest + '"/>') for c, (sx, sy), rest in face]
            for face in faces
        ]
        tiles = [
            "<g>"
            + "".join([f"{h}{x + sx:.3f} {y + sy:.3f}{t}" for h, sx, sy, t in pieces[w]])
            + "</g>\n"
            for w, x, y in zip(which, xs, ys)
        ]
    else:
        tiles = [f'<use xlink:href="#f{w}" x="{x}" y="{y}"/>\n' for w, x, y in zip(which, xs, ys)]
    with open(path, "w", encoding="utf-8") as file:
        file.write(head)
        file.write(f'<clipPath id="rim"><path d="{rim}"/></clipPath>\n')
        file.write('<g clip-path="url(#rim)">\n')
        file.writelines(tiles)
        file.write("</g>\n</svg>\n")


main()
