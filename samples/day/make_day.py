#!/usr/bin/env python3
"""Makes up a speed day at Northgate Barbell, an invented club: the scene that render_clip turns
into one long recording, the sheet and the roster that the coach would have, and what is true.

  make_day.py FOLDER [--minutes 20] [--lifters 7] [--seed 1]

Writes scene.json, sheet.csv, roster.toml and truth.json. Times are seconds since the recording
began. Everybody squats in turn. One turn is skipped, two neighbours swap theirs once, discs are
changed (other sizes and colours), people pass by and stand about, another lifts at a rack behind,
lamps are switched, and once somebody bumps the tripod, which stays moved."""
import argparse
import json
import os
import random

# name, height of the bar at lockout, range (m), load (kg), shirt, trousers, skin
PEOPLE = [
    ("Odalys Brandt", 1.36, 0.55, 90.0, [90, 40, 45], [45, 48, 60], [190, 150, 125]),
    ("Imre Castellan", 1.52, 0.66, 140.0, [60, 90, 120], [30, 30, 34], [200, 160, 135]),
    ("Wenna Duarte", 1.29, 0.50, 80.0, [200, 200, 205], [70, 72, 80], [120, 85, 65]),
    ("Mirek Tolland", 1.45, 0.60, 120.0, [40, 40, 42], [110, 100, 85], [170, 125, 100]),
    ("Sunniva Okafor", 1.33, 0.58, 85.0, [150, 120, 40], [40, 45, 70], [95, 68, 55]),
    ("Tadhg Vasile", 1.57, 0.63, 150.0, [70, 120, 80], [35, 35, 40], [205, 165, 140]),
    ("Brisa Halloran", 1.41, 0.53, 100.0, [180, 60, 90], [60, 62, 70], [150, 110, 85]),
    ("Yared Lindqvist", 1.48, 0.69, 130.0, [110, 110, 160], [50, 50, 54], [110, 80, 62]),
]
FIRST_TURN_S = 6.0
BEFORE_S = 1.5
TRIPOD_SHIFT_PX = (9.0, -7.0)


def turn_length_s(reps):
    """A little more than a set of squats takes, with walk-out and re-rack."""
    return BEFORE_S + 3.8 + 3.45 * reps + 3.0 + 2.0


def disc_of(load_kg, round_number):
    """Large bumpers, and from some lifters on smaller steel discs: size and colour change."""
    if load_kg < 86.0:
        return {"diameter_m": 0.35, "look": "steel", "colour": [120, 122, 128], "thickness_m": 0.03}
    colours = [[40, 42, 46], [150, 45, 40], [40, 60, 120], [170, 140, 50]]
    return {"diameter_m": 0.45, "look": "bumper", "colour": colours[round_number % 4]}


def make(folder, minutes, lifters, seed):
    dice = random.Random(seed)
    people = PEOPLE[:lifters]
    length_s = 60.0 * minutes
    turns, rows, truth = [], [], []
    plan = []  # (lifter, set number, reps)
    at_s = FIRST_TURN_S
    number = 1
    while True:
        for k in range(len(people)):
            plan.append((k, number, dice.choice([2, 3, 3, 4]) if minutes > 5 else 2))
        number += 1
        if len(plan) * (turn_length_s(2.6 if minutes > 5 else 2) + 9.0) > length_s + 60.0:
            break
    # What the coach planned, in order; what happened differs once each way.
    skipped = len(plan) // 3 if minutes > 5 else 1
    swapped = 2 * len(plan) // 3 if minutes > 5 else 3
    order = [i for i in range(len(plan)) if i != skipped]
    here = order.index(swapped)
    if here + 1 < len(order):
        order[here], order[here + 1] = order[here + 1], order[here]
    done = []
    for i in order:
        k, number, reps = plan[i]
        if at_s + turn_length_s(reps) > length_s - 3.0:
            break
        name, top, rom, load, shirt, trousers, skin = people[k]
        spec = {
            "lift": "squat",
            "reps": reps,
            "top_height_m": round(top + dice.gauss(0, 0.004), 4),
            "rom_m": round(rom + dice.gauss(0, 0.008), 4),
            "concentric_s": round(dice.uniform(0.75, 1.1), 3),
            "before_s": BEFORE_S,
        }
        turns.append({"at_s": round(at_s, 2), "set": spec, "disc": disc_of(load, number),
                      "lifter": {"shirt": shirt, "trousers": trousers, "skin": skin}})
        truth.append({"row": i + 2, "lifter": name, "at_s": at_s, "reps": reps})
        done.append(i)
        at_s += turn_length_s(reps) + dice.uniform(6.5, 11.0)
    last = max(done)
    # Rows are written down to the minute, as a coach plans them: one turn after another.
    planned_s = FIRST_TURN_S
    step_s = (turns[-1]["at_s"] - FIRST_TURN_S) / max(1, last)
    began_s = 17 * 3600 + 2 * 60
    for i in range(last + 1):
        k, number, reps = plan[i]
        clock = int(began_s + planned_s + i * step_s) // 60
        rows.append(f"{people[k][0]},squat,{people[k][3]:g},{number},"
                    f"{clock // 60:02d}:{clock % 60:02d},{reps},")
    walkers = []
    t = 15.0
    while t < length_s - 10.0:
        walkers.append({"at_s": round(t, 1), "speed_mps": round(dice.choice([-1, 1]) * dice.uniform(0.9, 1.4), 2),
                        "z_m": round(dice.choice([2.2, 2.6, 3.0, -0.6]), 2), "carries_disc": dice.random() < 0.25})
        t += dice.uniform(18.0, 45.0)
    # At the rack behind somebody lifts now and then, at other times than in front.
    second = [{"x_m": -1.9, "z_m": 3.4, "at_s": round(0.3 * length_s, 1),
               "set": {"lift": "squat", "reps": 3, "top_height_m": 1.4}}]
    bump_s = turns[len(turns) // 2]["at_s"] - 4.0
    scene = {
        "about": "A speed day at Northgate Barbell: one recording, many lifters in turn.",
        "seed": seed,
        "camera": {"width_px": 1280, "height_px": 720, "focal_px": 1120, "distance_m": 4.2,
                   "height_m": 1.1, "aim_height_m": 1.0, "aim_x_m": 0.1},
        "capture": {"frame_rate_hz": 30, "exposure_s": 0.006, "preset": "ultrafast", "crf": 23,
                    "key_every_s": 1.0,  # as phones do
                    "light_steps": [{"at_s": round(0.4 * length_s, 1), "share": -0.25},
                                    {"at_s": round(0.8 * length_s, 1), "share": 0.4}]},
        "motion": {"sets": [{"lift": "squat", "top_height_m": 1.42}], "sway_m": 0.004, "disc_turn_deg_per_s": 0.0},
        "gym": {"stored_discs": 2, "clock": True},
        "knocks": [{"at_s": round(bump_s, 1), "swing_px": 6.0, "shift_x_px": TRIPOD_SHIFT_PX[0],
                    "shift_y_px": TRIPOD_SHIFT_PX[1], "turn_deg": 0.3}],
        "walkers": walkers,
        "spotters": [{"x_m": 1.75, "z_m": 1.6, "sway_m": 0.0}],
        "second_rigs": second,
        "turns": turns,
        "length_s": length_s,
    }
    write(folder, "scene.json", json.dumps(scene, indent=1) + "\n")
    write(folder, "sheet.csv", "lifter,lift,load (kg),set,time,reps,notes\n" + "\n".join(rows) + "\n")
    write(folder, "roster.toml", roster(people))
    missed = sorted(set(range(last + 1)) - set(done))
    write(folder, "truth.json", json.dumps(
        {"sets": truth, "missed_rows": [i + 2 for i in missed], "bump_s": bump_s,
         "length_s": length_s}, indent=1) + "\n")


def roster(people):
    out = ['# Invented, as is the club.', 'club = "Northgate Barbell"', 'unit = "kg"', '',
           '[[bar]]', 'name = "straight bar"', 'mass_kg = 20', '']
    for name, top, rom, load, *_ in people:
        out += ['[[lifter]]', f'name = "{name}"', '[[lifter.lift]]', 'lift = "squat"',
                f'lockout_height_cm = {100 * top:g}', f'bottom_height_cm = {100 * (top - rom):g}', '']
    return "\n".join(out)


def write(folder, name, text):
    path = os.path.join(folder, name)
    with open(path + ".part", "w", encoding="utf-8") as file:
        file.write(text)
    os.replace(path + ".part", path)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder")
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--lifters", type=int, default=7)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    os.makedirs(given.folder, exist_ok=True)
    make(given.folder, given.minutes, given.lifters, given.seed)


if __name__ == "__main__":
    main()
