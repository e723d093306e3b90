#!/usr/bin/env python3
"""Writes the small logs beside it: one invented set of two reps, in layouts as loggers write them.

Seeded; run it again and the files are the same. All numbers are made up.
"""
import datetime
import math
import os
import random

HERE = os.path.dirname(os.path.abspath(__file__))
G = 9.80665


def set_of_two(rate_hz, seconds=8.0, tilt=(0.35, 0.2), noise=0.004, seed=1):
    """Rows (t, accel in g, rate in deg/s) of a still bar that rises twice by 0.5 m."""
    rng = random.Random(seed)
    up = (math.sin(tilt[0]), math.sin(tilt[1]) * math.cos(tilt[0]),
          math.cos(tilt[1]) * math.cos(tilt[0]))
    rows = []
    for i in range(int(seconds * rate_hz)):
        t = i / rate_hz
        a = 0.0
        for start in (2.0, 5.0):
            s = t - start
            if 0.0 <= s < 1.6:  # down and up again
                w = 2 * math.pi / 1.6
                a = -0.25 * w * w * math.cos(w * s) / G
        accel = [(1.0 + a) * u + rng.gauss(0, noise) for u in up]
        rate = [rng.gauss(0, 0.3) + b for b in (0.8, -1.1, 0.4)]
        rows.append((t, accel, rate))
    return rows


def write(name, text, encoding="utf-8", newline="\n"):
    data = text.replace("\n", newline).encode(encoding)
    with open(os.path.join(HERE, name), "wb") as file:
        file.write(data)


def comma(text):
    return text.replace(".", ",")


def main():
    rows = set_of_two(50)
    write("epoch_ms_g.csv", "epoch (ms),x-axis (g),y-axis (g),z-axis (g)\n" + "".join(
        f"{1789200000000 + round(1000 * t)},{a[0]:.3f},{a[1]:.3f},{a[2]:.3f}\n"
        for t, a, _ in rows))
    write("semicolon_decimal_comma.csv",
          "Zeitstempel [s];Acc_X [m/s²];Acc_Y [m/s²];Acc_Z [m/s²];\n" + "".join(
              comma(f"{t:.3f};{G * a[0]:.4f};{G * a[1]:.4f};{G * a[2]:.4f};\n") for t, a, _ in rows),
          encoding="latin-1", newline="\r\n")
    write("tab_utf16.txt", "time (s)\taccel x\taccel y\taccel z\n" + "".join(
        f"{t:.2f}\t{G * a[0]:.3f}\t{G * a[1]:.3f}\t{G * a[2]:.3f}\n" for t, a, _ in rows),
        encoding="utf-16", newline="\r\n")
    start = datetime.datetime(2026, 9, 12, 8, 0, 0)
    write("iso_quoted_mg.csv",
          '"Date time","Label","Acceleration X (mg)","Acceleration Y (mg)","Acceleration Z (mg)"\n' +
          "".join('"{}Z","set 1","{:.0f}","{:.0f}","{:.0f}"\n'.format(
              (start + datetime.timedelta(seconds=t)).isoformat(timespec="milliseconds"),
              1000 * a[0], 1000 * a[1], 1000 * a[2]) for t, a, _ in rows))
    six = set_of_two(100, seconds=7.0, seed=2)
    write("preamble_six_axes.csv",
          "# logger of the club's workshop, unit 3\n# range: 16 g\n# sample rate: 100 Hz\n\n"
          "t_us,ax,ay,az,gx,gy,gz,temp_c\n" + "".join(
              f"{round(1e6 * t) + 418000000},{a[0]:.4f},{a[1]:.4f},{a[2]:.4f},"
              f"{w[0]:.2f},{w[1]:.2f},{w[2]:.2f},22.5\n" for t, a, w in six))
    write("raw_counts_no_header.txt", "".join(
        f"{round(1000 * t)} {2048 * a[0]:.0f} {2048 * a[1]:.0f} {2048 * a[2]:.0f}\n"
        for t, a, _ in rows))
    write("packets.csv", "received,ax_g,ay_g,az_g\n" + "".join(
        f"{0.01 * (i // 10 * 10 + 9) + 0.003 * (i // 10 % 3):.3f},{a[0]:.4f},{a[1]:.4f},{a[2]:.4f}\n"
        for i, (t, a, _) in enumerate(six)))
    write("whole_seconds.csv", "clock|acc x (g)|acc y (g)|acc z (g)\n" + "".join(
        f"18:59:{52 + int(t):02d}|{a[0]:.3f}|{a[1]:.3f}|{a[2]:.3f}\n" if t < 8 else ""
        for t, a, _ in set_of_two(25)))
    write("labelled_rows.csv", "time_ms,sensor,x,y,z\n" + "".join(
        f"{1000 * t:.0f},accel,{a[0]:.4f},{a[1]:.4f},{a[2]:.4f}\n"
        f"{1000 * t + 4:.0f},gyro,{w[0]:.3f},{w[1]:.3f},{w[2]:.3f}\n" for t, a, w in rows))
    write("own_columns_own_rows.csv", "t,acc_x,acc_y,acc_z,gyr_x,gyr_y,gyr_z\n" + "".join(
        f"{t:.3f},{a[0]:.4f},{a[1]:.4f},{a[2]:.4f},,,\n"
        f"{t + 0.006:.3f},,,,{w[0]:.3f},{w[1]:.3f},{w[2]:.3f}\n" for t, a, w in rows))
    rng = random.Random(3)
    lines = [f"{1000 * t + rng.uniform(-3, 3):.1f},{a[0]:.4f},{a[1]:.4f},{a[2]:.4f}"
             for t, a, _ in rows]
    lines[40:60] = []                              # a hole
    lines[70] = lines[70].rsplit(",", 1)[0] + ","  # an empty cell
    lines[80] = "80,garb"
    lines[90], lines[91] = lines[91], lines[90]
    lines.insert(100, lines[100])
    lines.insert(150, "time (ms),ax (g),ay (g),az (g)")
    write("troubled.csv", "time (ms),ax (g),ay (g),az (g)\n" + "\n".join(lines) + "\n12,0.1")
    write("cable_mm.csv", "time;position;velocity\n" + "".join(
        comma(f"{i / 50:.2f};{round(500 * (0.5 - 0.5 * math.cos(2 * math.pi * i / 120)))};0.0\n")
        for i in range(300)))
    write("accel_alone.csv", "Time,X,Y,Z\n" + "".join(
        f"{t:.4f},{G * a[0]:.4f},{G * a[1]:.4f},{G * a[2]:.4f}\n" for t, a, _ in six))
    write("gyro_alone.csv", "Time,X,Y,Z\n" + "".join(
        f"{t + 0.0031:.4f},{math.radians(w[0]):.5f},{math.radians(w[1]):.5f},"
        f"{math.radians(w[2]):.5f}\n" for t, _, w in six[::2]))


if __name__ == "__main__":
    main()
