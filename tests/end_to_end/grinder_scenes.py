#!/usr/bin/env python3
"""Writes scenes of slow reps that stick half-way, 12 reps each, for depth_accuracy.

  tests/end_to_end/grinder_scenes.py FOLDER
  build/bin/accuracy --scenes FOLDER --cache CLIPS --render-only
  build/bin/depth_accuracy --scenes FOLDER --cache CLIPS

The matrix holds few sticking regions; these 28 scenes hold 336.
"""
import json
import pathlib
import random
import sys

LIFTS = ["squat", "bench", "box_squat", "deadlift"]
SCENES = 28


def camera(dice, middle_m):
    out = {
        "width_px": 1280,
        "height_px": 720,
        "focal_px": 1120,
        "distance_m": round(dice.uniform(3.1, 4.2), 2),
        "height_m": round(middle_m + dice.uniform(-0.2, 0.2), 2),
        "aim_height_m": middle_m,
        "aim_x_m": round(dice.uniform(-0.2, 0.2), 2),
    }
    if dice.random() < 0.5:
        out["yaw_deg"] = dice.choice([-15, -8, 8, 15])
    return out


def lifted(dice, lift):
    out = {
        "lift": lift,
        "reps": 12,
        "rest_s": round(dice.uniform(0.4, 0.9), 2),
        "eccentric_s": round(dice.uniform(0.8, 1.5), 2),
        "shape": "grinder",
        "concentric_s": round(dice.uniform(1.5, 3.0), 2),
        "slowing": round(dice.uniform(0, 0.03), 3),
    }
    if lift == "box_squat":
        out["pause_s"] = round(dice.uniform(0.3, 1.0), 2)
    elif lift in ("squat", "bench"):
        out["pause_s"] = round(dice.uniform(0, 0.4), 2)
    return out


def scene(dice, number):
    lift = LIFTS[number % len(LIFTS)]
    view = camera(dice, 1.05 if "squat" in lift else 0.8)
    motion = {"sets": [lifted(dice, lift)]}
    capture = {
        "preset": "ultrafast",
        "crf": dice.choice([20, 23, 26]),
        "frame_rate_hz": 30,
        "exposure_s": dice.choice([0.004, 0.008, 0.012]),
    }
    return {
        "about": "Grinders.",
        "seed": 9000 + number,
        "camera": view,
        "capture": capture,
        "motion": motion,
    }


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: grinder_scenes.py FOLDER")
    folder = pathlib.Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    dice = random.Random(4242)
    for number in range(SCENES):
        text = json.dumps(scene(dice, number), indent=1)
        (folder / f"grind_{number:02d}.json").write_text(text)


main()
