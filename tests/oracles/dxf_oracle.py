"""Reads templates back with ezdxf and holds them against what the dossiers say.

The one argument is a JSON file: for each template its file, its unit (`in` or `mm`), its holes (`[x, y, diameter]`), the
corners of its edge (`[x, y, radius]`), all in that unit, and what its words say (`said`).
"""

import json
import math
import sys

import ezdxf
from ezdxf.audit import AuditError
from ezdxf.math import bulge_to_arc

NEAR = 1e-9
SLIGHT = {AuditError.INVALID_TABLE_HANDLE}


def near(a, b):
    return abs(a - b) <= NEAR


def unit(a, b):
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length)


def edge(layer, corners):
    """The vertices and bulges of an edge against its corners, worked out from the corners alone."""
    if not corners:
        assert not layer, "an edge that the dossier does not give"
        return
    (path,) = layer
    assert path.closed
    drawn = [tuple(vertex) for vertex in path.get_points("xyb")]
    at = 0
    for index, (x, y, radius) in enumerate(corners):
        if not radius:
            assert near(drawn[at][0], x) and near(drawn[at][1], y) and drawn[at][2] == 0, (drawn[at], x, y)
            at += 1
            continue
        before, behind = corners[index - 1], corners[(index + 1) % len(corners)]
        start, end = drawn[at], drawn[at + 1]
        bulge = start[2]
        for tangent, other in ((start, before), (end, behind)):
            way = unit((x, y), other)
            takes = math.hypot(tangent[0] - x, tangent[1] - y)
            assert near(x + takes * way[0], tangent[0]) and near(y + takes * way[1], tangent[1]), "off the side"
        centre, _, _, drawn_radius = bulge_to_arc(start[:2], end[:2], bulge)
        assert near(drawn_radius, radius), (drawn_radius, radius)
        for tangent, other in ((start, before), (end, behind)):
            way = unit((x, y), other)
            spoke = (centre[0] - tangent[0], centre[1] - tangent[1])
            assert near(way[0] * spoke[0] + way[1] * spoke[1], 0), "the arc does not run into the side"
        at += 2
    assert at == len(drawn), "more vertices than corners"


def beside(template, square, texts):
    """The square and the table stand beside the plate: no farther from it than the plate is long, or a table is wide."""
    xs = [hole[0] for hole in template["holes"]] + [corner[0] for corner in template["corners"]]
    ys = [hole[1] for hole in template["holes"]] + [corner[1] for corner in template["corners"]]
    longest = max(max(xs) - min(xs), max(ys) - min(ys))
    reach = 1.5 * longest + {"in": 12.0, "mm": 300.0}[template["unit"]]
    far = max(
        max(min(xs) - x, x - max(xs), min(ys) - y, y - max(ys), 0)
        for x, y in square + [tuple(text.dxf.insert)[:2] for text in texts if text.dxftype() == "TEXT" and text.dxf.text in ("Hole", "tolerance dia in", "tolerance dia mm")]
    )
    assert far <= reach, (template["file"], far, reach)


def main():
    templates = json.load(open(sys.argv[1], encoding="utf-8"))
    circles = 0
    for template in templates:
        drawing = ezdxf.readfile(template["file"])
        audit = drawing.audit()
        # The crate that writes leaves the heads of the tables without handles, which readers put right by themselves.
        told = [(fix.code, fix.message) for fix in audit.errors + audit.fixes if fix.code not in SLIGHT]
        assert not audit.errors and not told, told
        assert drawing.units == {"in": ezdxf.units.IN, "mm": ezdxf.units.MM}[template["unit"]], drawing.units
        space = drawing.modelspace()
        layers = {}
        for entity in space:
            layers.setdefault(entity.dxf.layer, []).append(entity)
        assert set(layers) <= {"HOLES", "CENTRES", "OUTLINE", "DATUMS", "TEXT", "CHECK"}, set(layers)
        holes = layers["HOLES"]
        assert len(holes) == len(template["holes"]) and all(hole.dxftype() == "CIRCLE" for hole in holes)
        for hole, (x, y, diameter) in zip(holes, template["holes"]):
            centre = hole.dxf.center
            assert near(centre.x, x) and near(centre.y, y) and centre.z == 0, (tuple(centre), x, y)
            assert near(2 * hole.dxf.radius, diameter), (hole.dxf.radius, diameter)
            circles += 1
        edge(layers.get("OUTLINE", []), template["corners"])
        (square,) = layers["CHECK"]
        side = {"in": (2.0, 4.0), "mm": (50.0, 100.0)}[template["unit"]]
        corners = list(square.get_points("xy"))
        sides = [math.dist(a, b) for a, b in zip(corners, corners[1:] + corners[:1])]
        assert square.closed and len(corners) == 4 and any(all(near(s, each) for s in sides) for each in side), sides
        assert near(math.dist(corners[0], corners[2]), sides[0] * math.sqrt(2))
        assert all(entity.dxftype() in ("TEXT", "LINE") for entity in layers["TEXT"])
        words = " ".join(entity.dxf.text for entity in layers["TEXT"] if entity.dxftype() == "TEXT")
        for said in template["said"]:
            assert said in words, (said, words)
        beside(template, corners, layers["TEXT"])
    print(f"{len(templates)} templates with {circles} holes read back by ezdxf {ezdxf.__version__}: no error, none off")


main()
