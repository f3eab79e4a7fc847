"""Draws docs/images/growth.svg from the CSV that the example `growth` prints on standard input."""

import csv
import math
import sys

rows = [{k: float(v) for k, v in row.items()} for row in csv.DictReader(sys.stdin)]
stages = {"planner": "0", "proof": "6 3", "graph": "2 3"}
WIDTH, HEIGHT, LEFT, BOTTOM = 640, 400, 70, 50
x0, x1 = 2, 5.2
values = [r[s] for r in rows for s in stages]
y0, y1 = math.floor(math.log10(min(values))), math.ceil(math.log10(max(values)))


def x(walls):
    return LEFT + (math.log10(walls) - x0) / (x1 - x0) * (WIDTH - LEFT - 90)


def y(seconds):
    return HEIGHT - BOTTOM - (math.log10(seconds) - y0) / (y1 - y0) * (HEIGHT - BOTTOM - 20)


out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" font-size="13">',
       f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>']
for e in range(math.ceil(x0), math.floor(x1) + 1):
    out.append(f'<path d="M{x(10**e):.1f} 20V{HEIGHT - BOTTOM}" stroke="#ccc"/>')
    out.append(f'<text x="{x(10**e):.1f}" y="{HEIGHT - BOTTOM + 18}" text-anchor="middle">{10**e:,}</text>')
for e in range(y0, y1 + 1):
    out.append(f'<path d="M{LEFT} {y(10**e):.1f}H{WIDTH - 90}" stroke="#ccc"/>')
    out.append(f'<text x="{LEFT - 6}" y="{y(10**e) + 4:.1f}" text-anchor="end">{10.0**e:g} s</text>')
# What work in proportion to the walls would look like, from the planner's first point.
first, last = rows[0], rows[-1]
even = first["planner"] * last["walls"] / first["walls"]
out.append(f'<path d="M{x(first["walls"]):.1f} {y(first["planner"]):.1f}L{x(last["walls"]):.1f} {y(even):.1f}" stroke="#999"/>')
labels = {}
for stage in sorted(stages, key=lambda s: -last[s]):
    labels[stage] = max([y(last[stage]) + 4] + [v + 16 for v in labels.values()])
for stage, dash in stages.items():
    points = " ".join(f'{x(r["walls"]):.1f},{y(r[stage]):.1f}' for r in rows)
    out.append(f'<polyline points="{points}" fill="none" stroke="#000" stroke-width="2" stroke-dasharray="{dash}"/>')
    out.append(f'<text x="{x(last["walls"]) + 8:.1f}" y="{labels[stage]:.1f}">{stage}</text>')
out.append(f'<text x="{(LEFT + WIDTH - 90) / 2}" y="{HEIGHT - 10}" text-anchor="middle">walls (grey: in proportion to the walls)</text></svg>')
print("\n".join(out))
