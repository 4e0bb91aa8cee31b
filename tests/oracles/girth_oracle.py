"""Measures frame paths again: girth_oracle.py PATHS.json

Each path carries what was drawn (`ellipse`, `corners` with radii, or `fair` points), the planes that it lies in, the
`length` that the program gives, and `points`: distance along the path, breadth, height and how far aft it lies there.

The script shares nothing with the program. It makes the outline in the view that it was drawn in, lifts it to three
dimensions point by point, and measures there:

- upright ellipses: `scipy.special.ellipeinc`, the incomplete elliptic integral of the second kind, both ways: the
  distance of each point from its eccentric angle, and the point at each distance by bisection;
- fair curves: `scipy.interpolate.CubicSpline` over chord lengths, natural or periodic;
- everything else: `scipy.integrate.quad` over the speed in three dimensions, stopped at every corner, arc end and
  crossing of the knuckle.

Fails when a length or a point differs by more than 1e-6 mm.
"""

import json
import sys

import numpy as np
from scipy.integrate import quad
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq
from scipy.special import ellipeinc

LIMIT = 1e-6


def ellipse(half_breadth, half_height):
    """An ellipse from its top, clockwise, as one smooth piece over its eccentric angle."""
    at = lambda t: np.array([half_breadth * np.sin(t), half_height * np.cos(t)])
    speed = lambda t: np.array([half_breadth * np.cos(t), -half_height * np.sin(t)])
    return [(at, speed, 0.0, 2 * np.pi)]


def straight(a, b):
    return lambda t: a + t * (b - a), lambda t: b - a, 0.0, 1.0


def rounded(corners, closed):
    """Straight lines and tangent arcs, by turning the direction of travel; from the first corner, which is sharp."""
    points = [np.array(c[:2]) for c in corners]
    pieces, start = [], points[0]
    count = len(corners)
    for i in range(1, count + (1 if closed else 0)):
        here, radius = points[i % count], corners[i % count][2]
        if i % count == 0 or radius == 0.0:
            pieces.append(straight(start, here))
            start = here
            continue
        way_in = (here - points[i - 1]) / np.linalg.norm(here - points[i - 1])
        after = points[(i + 1) % count]
        way_out = (after - here) / np.linalg.norm(after - here)
        turn = np.arctan2(way_in[0] * way_out[1] - way_in[1] * way_out[0], way_in @ way_out)
        back = radius * np.tan(abs(turn) / 2)
        first, last = here - back * way_in, here + back * way_out
        pieces.append(straight(start, first))
        left = np.sign(turn) * np.array([-way_in[1], way_in[0]])

        def at(s, first=first, way_in=way_in, left=left, radius=radius):
            return first + radius * (np.sin(s) * way_in + (1 - np.cos(s)) * left)

        def speed(s, way_in=way_in, left=left, radius=radius):
            return radius * (np.cos(s) * way_in + np.sin(s) * left)

        pieces.append((at, speed, 0.0, abs(turn)))
        start = last
    return pieces


def fair(points, closed):
    points = np.array(points + points[:1] if closed else points)
    chords = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    spline = CubicSpline(chords, points, bc_type="periodic" if closed else "natural")
    slope = spline.derivative()
    return [(spline, slope, a, b) for a, b in zip(chords, chords[1:])]


def outline(drawn):
    if "ellipse" in drawn:
        return ellipse(*drawn["ellipse"])
    if "corners" in drawn:
        return rounded(drawn["corners"], drawn["closed"])
    return fair(drawn["fair"], drawn["closed"])


def cut(pieces, level):
    """The pieces stopped where they cross a level."""
    for at, speed, a, b in pieces:
        grid = np.linspace(a, b, 400)
        over = [at(t)[1] - level for t in grid]
        stops = [a]
        for (t, u), (f, g) in zip(zip(grid, grid[1:]), zip(over, over[1:])):
            if f * g < 0:
                stops.append(brentq(lambda s: at(s)[1] - level, t, u, xtol=1e-14, rtol=1e-14))
        stops.append(b)
        for t, u in zip(stops, stops[1:]):
            yield at, speed, t, u


def lifted(path):
    """The path in three dimensions (breadth, height, aft): pieces as point, speed, start, end."""
    planes, in_plane = path["planes"], path["in_plane"]
    level = planes["level"]
    for at, speed, a, b in cut(outline(path["drawn"]), level):
        lean = np.radians(planes["above"] if at((a + b) / 2)[1] > level else planes["below"])
        rise, aft = (np.cos(lean), np.sin(lean)) if in_plane else (1.0, np.tan(lean))

        def place(t, at=at, rise=rise, aft=aft):
            x, y = at(t)
            return np.array([x, level + (y - level) * rise, (y - level) * aft])

        def rate(t, speed=speed, rise=rise, aft=aft):
            x, y = speed(t)
            return np.sqrt(x * x + (y * rise) ** 2 + (y * aft) ** 2)

        yield place, rate, a, b


def arc(rate, a, b):
    return quad(rate, a, b, epsabs=1e-11, epsrel=1e-13, limit=400)[0]


def by_integrals(path):
    """The largest disagreement of length and points."""
    pieces = [(place, rate, a, b, arc(rate, a, b)) for place, rate, a, b in lifted(path)]
    worst = abs(sum(piece[4] for piece in pieces) - path["length"])
    for distance, *given in path["points"]:
        left = distance
        for place, rate, a, b, length in pieces:
            if left <= length + 1e-9:
                short = lambda t: arc(rate, a, t) - left
                t = b if short(b) <= 0 else brentq(short, a, b, xtol=1e-13, rtol=1e-13)
                worst = max(worst, np.abs(place(t) - given).max())
                break
            left -= length
    return worst


def by_elliptic_integral(path):
    """An upright ellipse: the distance at eccentric angle t from the top is b E(t, 1 - a^2/b^2) with breadth
    a sin t and height b cos t, turned so that the parameter is not negative."""
    a, b = path["drawn"]["ellipse"]
    quarter = lambda m: ellipeinc(np.pi / 2, m)

    def distance(t):
        if b <= a:
            return a * ellipeinc(t, 1 - (b / a) ** 2)
        m = 1 - (a / b) ** 2
        return b * (ellipeinc(t + np.pi / 2, m) - quarter(m))

    worst = abs(distance(2 * np.pi) - path["length"])
    for given, breadth, height, _ in path["points"]:
        angle = np.arctan2(breadth / a, height / b) % (2 * np.pi)
        worst = max(worst, abs(distance(angle) - given))
        t = brentq(lambda s: distance(s) - given, 0.0, 2 * np.pi, xtol=1e-14, rtol=1e-14)
        worst = max(worst, abs(a * np.sin(t) - breadth), abs(b * np.cos(t) - height))
    return worst


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        paths = json.load(file)
    kinds = {}
    for path in paths:
        kind = next(kind for kind in ("ellipse", "corners", "fair") if kind in path["drawn"])
        kind += "" if path["upright"] else ", leaning"
        elliptic = path["upright"] and "ellipse" in path["drawn"]
        worst = by_elliptic_integral(path) if elliptic else by_integrals(path)
        count, so_far = kinds.get(kind, (0, 0.0))
        kinds[kind] = (count + 1, max(so_far, worst))
    for kind, (count, worst) in sorted(kinds.items()):
        print(f"{kind}: {count} paths, largest disagreement {worst:.3g} mm")
    sys.exit(0 if kinds and max(worst for _, worst in kinds.values()) < LIMIT else 1)


main()
