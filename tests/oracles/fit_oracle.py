"""Holds rigid fits against scipy.spatial.transform.Rotation.align_vectors: fit_oracle.py FITS.json

Each fit carries `from`, `to`, `rotation` (rows), `shift`, `residuals`, `rms` and `angle` (millimetres, radians).
Fails when a number differs by more than 1e-9 (lengths: relative to the size of the pattern in metres).
"""

import json
import sys

import numpy as np
from scipy.spatial.transform import Rotation


def worst(fit):
    """The largest disagreement over one fit."""
    a, b = np.array(fit["from"]), np.array(fit["to"])
    middle_a, middle_b = a.mean(axis=0), b.mean(axis=0)
    rotation, _ = Rotation.align_vectors(b - middle_b, a - middle_a)
    shift = middle_b - rotation.apply(middle_a)
    residuals = b - rotation.apply(a) - shift
    rms = np.sqrt((residuals**2).sum() / len(a))
    return max(
        np.abs(rotation.as_matrix() - fit["rotation"]).max(),
        np.abs(shift - fit["shift"]).max() / 1000,
        np.abs(residuals - fit["residuals"]).max() / 1000,
        abs(rms - fit["rms"]) / 1000,
        abs(rotation.magnitude() - fit["angle"]),
    )


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        fits = json.load(file)
    errors = [worst(fit) for fit in fits]
    print(f"{len(fits)} fits, largest disagreement {max(errors):.3g}")
    sys.exit(0 if fits and max(errors) < 1e-9 else 1)


main()
