#!/usr/bin/env python3
"""Writes rotation_values.json: what SciPy says of turns as vectors and of a chain of them.

Run with Debian 12's own Python (SciPy 1.10):

    /usr/bin/python3 tests/oracle/rotation_values.py
"""
import json
import pathlib

import numpy
import scipy
from scipy.spatial.transform import Rotation


def main():
    random = numpy.random.default_rng(20260401)
    vectors = random.normal(size=(12, 3)) * numpy.array([[10.0 ** -k] for k in range(-0, 12)])
    vectors[0] *= 2.5 / numpy.linalg.norm(vectors[0])  # below pi: beyond, the vector is another
    turns = Rotation.from_rotvec(vectors)
    chain = Rotation.identity()
    for _ in range(200):  # a gyroscope read 200 times at an even rate, in the body's frame
        chain = chain * Rotation.from_rotvec(numpy.array([0.012, -0.021, 0.017]))
    out = {
        "scipy": scipy.__version__,
        "vectors": vectors.tolist(),
        "quaternions_xyzw": turns.as_quat().tolist(),
        "chain_step": [0.012, -0.021, 0.017],
        "chain_count": 200,
        "chain_xyzw": chain.as_quat().tolist(),
    }
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text(json.dumps(out, indent=1) + "\n")


if __name__ == "__main__":
    main()
