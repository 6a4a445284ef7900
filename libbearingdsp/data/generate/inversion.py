"""From load ratings to the inside of a rolling bearing.

ISO 76:    C0 = f0 Z d^2 cos a                         radial ball bearings, one row, N and mm
           C0 = 61.6 Z d^2                             thrust ball bearings, a = 90 degrees
           C0 = 44 (1 - d cos a / D) Z l d cos a       radial roller bearings, one row
ISO 281:   C  = 1.3 fc (cos a)^0.7 Z^(2/3) d^1.8       balls up to 25.4 mm; above 3.647 d^1.4 for d^1.8

Formulas and the table of f0 are from memory of the standards; catalogue H prints the insides of bearings whose ratings
catalogue G prints; tests/reference/check_catalogue.py compares them.
"""

import math

# Largest filling angle of a bearing whose balls are slipped in from one side, degrees. Origin: no bearing whose f0 is
# printed, and no printed inside, asks for more (201 in thick rings, 204 in thin ones, which flex when they are closed).
THICK_RING_RATIO = 0.145
MAX_FILLING_THICK = 201.5
MAX_FILLING_THIN = 205.0
MIN_FILLING = 165.0


def ball_sizes():
    """Standard balls, mm: steps of 1/64 in to 5/16 in, 1/32 in to 1 in, 1/16 in to 2 in; the metric balls of small bearings."""
    inches = [n / 64 for n in range(6, 21)] + [n / 32 for n in range(11, 33)] + [n / 16 for n in range(17, 33)]
    return sorted({round(25.4 * inch, 3) for inch in inches})


def fc_ball(ratio):
    """Factor fc of ISO 281 for radial and angular contact ball bearings; ratio = d cos a / D. The table of the standard is
    0.75 % above the closed form."""
    grooves = 0.52  # radius of both grooves by the ball diameter
    rings = (2 * grooves / (2 * grooves - 1)) ** 0.41
    sharing = 1 + (1.04 * ((1 - ratio) / (1 + ratio)) ** 1.72) ** (10 / 3)
    return (
        1.0075 * 39.9 * 0.95 * sharing ** -0.3
        * ratio**0.3 * (1 - ratio) ** 1.39 * (1 + ratio) ** (-1 / 3) * rings
    )


def dynamic_ball(count, ball, ratio, cosine=1.0):
    """Basic dynamic load rating of one row, N."""
    size = ball**1.8 if ball <= 25.4 else 3.647 * ball**1.4
    return 1.3 * fc_ball(ratio) * cosine**0.7 * count ** (2 / 3) * size


def interpolated(table, x):
    """table: sorted (x, y) pairs; held constant beyond its ends."""
    if x <= table[0][0]:
        return table[0][1]
    for (x0, y0), (x1, y1) in zip(table, table[1:]):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return table[-1][1]


def filling_angle(count, ratio):
    """Angle of the circle that the balls take when they lie side by side, degrees."""
    return math.degrees(2 * (count - 1) * math.asin(ratio))


def ball_set_fits(count, ratio):
    limit = MAX_FILLING_THICK if ratio > THICK_RING_RATIO else MAX_FILLING_THIN
    return MIN_FILLING <= filling_angle(count, ratio) <= limit


def deep_groove(bore, outside, dynamic, static, f0_table, f0=None):
    """(weight, Z, d, pitch) of the ball sets that reproduce the ratings (N), best first; weights sum to 1.

    A set counts if its balls can be filled in. Its misfit: C0 to 0.6 % (ratings are printed to three figures, f0 to two
    decimals), C to 1 %, f0 to 0.15; the deviations of the bearings whose inside is printed are smaller."""
    pitch = 0.5 * (bore + outside)
    found = []
    for ball in ball_sizes():
        ratio = ball / pitch
        if not 0.05 < ratio < 0.40:
            continue
        factor = f0 if f0 else interpolated(f0_table, ratio)
        exact = static / (factor * ball**2)
        for count in {math.floor(exact), math.ceil(exact)}:
            if count < 5 or not ball_set_fits(count, ratio):
                continue
            misfit = ((count / exact - 1) / 0.006) ** 2
            misfit += ((dynamic_ball(count, ball, ratio) / dynamic - 1) / 0.01) ** 2
            if f0:
                misfit += ((interpolated(f0_table, ratio) - f0) / 0.15) ** 2
            found.append((misfit, count, ball, pitch))
    found.sort()
    # Three deviations in each of the figures: nothing fits.
    if not found or found[0][0] > 27:
        return []
    weights = [math.exp(-0.5 * (f[0] - found[0][0])) for f in found]
    kept = [(w, *f[1:]) for w, f in zip(weights, found) if w > 0.1]
    return [(w / sum(k[0] for k in kept), z, ball, p) for w, z, ball, p in kept]


def angular_contact(bore, outside, dynamic, static, angle, f0_table):
    """As deep_groove(), for a single row at an angle (degrees). f0 is not printed and the fill is free (0.77 to 0.95 of the
    pitch circle), so several counts stay."""
    pitch = 0.5 * (bore + outside)
    cosine = math.cos(math.radians(angle))
    found = []
    for ball in ball_sizes():
        ratio = ball * cosine / pitch
        exact = static / (interpolated(f0_table, ratio) * ball**2 * cosine)
        for count in {math.floor(exact), math.ceil(exact)}:
            fill = count * ball / (math.pi * pitch)
            if count < 6 or not 0.77 <= fill <= 0.95:
                continue
            misfit = ((count / exact - 1) / 0.015) ** 2
            misfit += ((dynamic_ball(count, ball, ratio, cosine) / dynamic - 1) / 0.04) ** 2
            found.append((misfit, count, ball, pitch))
    found.sort()
    if not found:
        return []
    weights = [math.exp(-0.5 * (f[0] - found[0][0])) for f in found]
    kept = [(w, *f[1:]) for w, f in zip(weights, found) if w > 0.15]
    return [(w / sum(k[0] for k in kept), z, ball, p) for w, z, ball, p in kept]


def thrust_ball(bore, outside, static):
    """(Z, d, pitch) whose count comes nearest a whole number with 0.80 to 0.97 of the pitch circle filled, nearest 0.905."""
    pitch = 0.5 * (bore + outside)
    best = None
    for ball in ball_sizes():
        exact = static / (61.6 * ball**2)
        count = round(exact)
        fill = count * ball / (math.pi * pitch)
        if count < 6 or not 0.80 <= fill <= 0.97 or abs(count / exact - 1) > 0.01:
            continue
        misfit = (abs(fill - 0.905), count, ball, pitch)
        if best is None or misfit < best:
            best = misfit
    return best[1:] if best else None


# Share of the pitch circle that the rollers of cylindrical roller bearings fill, and how far it varies. Origin: 13 rollers
# of 9 on 46.5 (NU206, reinforced, printed: 0.801), 14 of 10 on 65 (the older 209, textbook example: 0.686).
ROLLER_FILL = {"reinforced": (0.80, 0.045), "standard": (0.685, 0.035)}


def roller_counts(roller, pitch, design):
    """(weight, Z): the count is not printed, so the neighbours of the likeliest count stay, weights sum to 1."""
    mean, spread = ROLLER_FILL[design]
    counts = range(6, 60)
    weights = {z: math.exp(-0.5 * ((z * roller / (math.pi * pitch) - mean) / spread) ** 2) for z in counts}
    top = max(weights.values())
    kept = sorted(((w, z) for z, w in weights.items() if w > 0.08 * top), reverse=True)
    total = sum(w for w, _ in kept)
    return [(w / total, z) for w, z in kept]
