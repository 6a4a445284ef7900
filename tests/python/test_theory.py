"""docs/theory/series.md programmed again in NumPy, from the page: strengths of the components as the library gives them."""

import math
import unittest

import numpy as np

import bearingdsp as b

WIDTHS = (0.0, 0.01, 0.02, 0.04)


def nearest(x):
    return int(x + 0.5)


class Spectrum:
    def __init__(self, P, spacing, enbw, share):
        self.P, self.spacing, self.B, self.share = np.asarray(P), spacing, enbw, share
        self.sums = np.concatenate([[0.0], np.cumsum(self.P)])
        self.N = len(self.P)

    def smooth(self, first, last, h):
        i = np.arange(first, last + 1)
        a, e = np.clip(i - h, 0, self.N), np.clip(i + h + 1, 0, self.N)
        return np.where(e > a, (self.sums[e] - self.sums[a]) / np.maximum(e - a, 1), 0.0)


class Place:
    """One harmonic at one width: value, rank and excess of every place within the play."""

    def __init__(self, s, n0, k, f, tau, m, avoid):
        self.h = h = nearest(0.5 * m * k * f)
        w = 2 * h + 1
        c, q, R = nearest(k * f), math.ceil(tau * k * f) + 2, math.floor(0.45 * n0)
        room = max(R, 6 * h)
        a0 = max(2, min(int(0.25 * n0), int(0.5 * c)))
        self.first_a, last_a = max(a0, c - room - q), min(s.N - 1, c + room + q)
        self.S = S = s.smooth(self.first_a, last_a, h)
        n = len(S)
        ordered = np.sort(S)
        M = ordered[n // 2] if n else 0.0
        mu = M / math.log(2) if h == 0 else M
        n_w = max(1.0, n / w)
        self.R, self.first, self.spots = R, c - q, []
        for i in range(c - q, c + q + 1):
            if not self.first_a < i < last_a:
                self.spots.append((0.0, 0.0, 0.0, -1))
                continue
            own = S[i - self.first_a]
            v = own
            if h == 0 and max(S[i - 1 - self.first_a], S[i + 1 - self.first_a]) > own:
                v = min(own, M)
            shaft = nearest(i / n0) * n0
            if avoid and abs(i - shaft) < 0.2 * n0:
                image = nearest(2 * shaft) - i
                v = max(v - (max(s.smooth(image - 1, image + 1, 0)) if h == 0 else s.smooth(image, image, h)[0]), min(v, M))
            above = (n - np.searchsorted(ordered, v, side="right")) / n
            nats = min(7.0, -math.log(min(1.0, (above * n_w + 1) / (n_w + 1))))
            excess = max(0.0, v - (1 + 2 / math.sqrt(w)) * mu) * w / (1.0 if h == 0 else s.B)
            self.spots.append((v, nats, excess, i))

    def at(self, position):
        i = nearest(position) - self.first
        if i < 1 or i + 1 >= len(self.spots):
            return None
        if self.h == 0:
            i = max((i, i - 1, i + 1), key=lambda j: self.spots[j][0])
        return self.spots[i]

    def dominance(self, spot):
        v, _, _, i = spot
        if i < 0:
            return -15.0
        j = np.arange(self.first_a, self.first_a + len(self.S))
        beside = (np.abs(j - i) > self.h + 2) & (np.abs(j - i) <= self.R)
        rival = self.S[beside].max() if beside.any() else 0.0
        return float(np.clip(10 * math.log10((v + 1e-300) / (rival + 1e-300)), -15, 15))


def shared(position, n0, spacing, avoid, mains):
    if avoid and abs(position - round(position / n0) * n0) < 2:
        return True
    for g in mains:
        step = 2 * g / spacing
        for a in range(1, int(position / step) + 3):
            if (a * step - 2) / 1.0005 < position < (a * step + 2) / 0.9995:
                return True
    return False


def series(s, shaft, order, H, tau, *, avoid=True, mains=(), smeared=True, D0=0.0, wanted=0.0):
    """q of one series in one spectrum."""
    n0 = shaft / s.spacing
    f = order * n0
    K = max((k for k in range(1, H + 1) if k * f * (1 + tau) + 3 < s.N), default=0)
    if K == 0 or 0.45 * n0 < 6:
        return 0.0
    best = None
    for m in WIDTHS:
        if m > 0 and (m * f < 2 or not smeared):
            break
        places, reachable = [], 0.0
        for k in range(1, K + 1):
            h, c, q = nearest(0.5 * m * k * f), nearest(k * f), math.ceil(tau * k * f) + 2
            reachable += s.smooth(c - q, c + q, h).max() * (1.0 if h == 0 else (2 * h + 1) / s.B)
        if not math.sqrt(reachable) >= wanted:
            continue
        places = [Place(s, n0, k, f, tau, m, avoid) for k in range(1, K + 1)]
        J = math.ceil(tau / (max(0.5, 0.25 * m * f) / (f * K)))
        for j in range(-J, J + 1):
            slip = tau * j / J
            counted = []
            for k, place in enumerate(places, 1):
                position = k * f * (1 + slip)
                spot = None if shared(position, n0, s.spacing, avoid, mains) else place.at(position)
                if spot is not None:
                    counted.append((k, place, spot))
            if not counted:
                continue
            E = sum(spot[1] - 1 for _, _, spot in counted) - math.log(4 * (2 * J + 1))
            d2 = sum(spot[2] for _, _, spot in counted if spot[1] >= 3 and spot[2] > 0)
            if best is None or (E, d2) > best[:2]:
                best = (E, d2, counted)
    if best is None or best[0] < 2:
        return 0.0
    E, d2, counted = best
    power = {k: (spot[2] if spot[1] >= 3 and spot[2] > 0 else 0.0) for k, _, spot in counted}
    even = [p for k, p in power.items() if k % 2 == 0 and p > 0]
    odd = [p for k, p in power.items() if k % 2 == 1]
    if len(even) > 1 and odd and sum(odd) / len(odd) < 0.05 * sum(even) / len(even):
        return 0.0
    D = np.mean([place.dominance(spot) for _, place, spot in counted])
    return math.sqrt(d2) * 10 ** (min(D - D0, 0.0) / 20)


def strengths(flat, shaft, orders, tau, whole, mains=(50, 60)):
    """Of outer ring, inner ring, rolling element and cage."""
    tree = b.band_tree(flat.rate_hz, max(300.0, 3.2 * orders.bpfi * shaft))
    up_to = max(5.2 * orders.bpfi, 8.5) * shaft
    kinds = [[(orders.bpfo, 5)], [(orders.bpfi, 5)], [(2 * orders.bsf, 4)], [(orders.ftf, 4), (2 * orders.ftf, 2)]]
    known = [0.0] * 4
    for i, band in enumerate(tree):
        e = whole if i == 0 else b.squared_envelope_spectrum(flat, band, up_to)
        share = (band.high_hz - band.low_hz) / (tree[0].high_hz - tree[0].low_hz)
        s = Spectrum(e.depth2, e.line_spacing_hz, e.enbw_bins, share)
        q_shaft = series(s, shaft, 1.0, 8, 0.0005, avoid=False, smeared=False)
        for part, templates in enumerate(kinds):
            for order, H in templates:
                wanted = 0.0 if i == 0 else known[part] / math.sqrt(share)
                q = series(s, shaft, order, H, tau, mains=mains, smeared=share >= 0.33, D0=3.0 if part < 2 else 0.0, wanted=wanted)
                strength = q * math.sqrt(share)
                if q_shaft > 0:
                    strength *= min(1.0, q / (0.6 * q_shaft))
                known[part] = max(known[part], strength)
    return known


class Page(unittest.TestCase):
    def test_strengths_from_the_page_are_those_of_the_library(self):
        largest, compared = 0.0, 0
        for seed, part in enumerate(("outer ring", "inner ring", "rolling element", "cage", None)):
            defects = [{"part": part, "severity_m_s2": 10, "slip": 0.01}] if part else []
            made = b.simulate({"seed": 40 + seed, "duration_s": 2.5, "speed_rpm": 1490, "bearing": {"rolling_elements": 9,
                               "element_diameter_mm": 12, "pitch_diameter_mm": 60}, "shaft_harmonics_m_s2": [1.0, 0.4],
                               "shaft_modulation": 0.3, "defects": defects})
            x, rate = made.capture.channels[0].samples, made.capture.rate_hz
            shaft = 1490 / 60
            orders = b.defect_orders(b.BearingGeometry(9, 12, 60))
            flat = b.flattened(b.record_spectrum(x, rate), max(50, 3 * shaft))
            tau = 0.02
            evidence = b.bearing_evidence([flat], shaft, orders, tolerance=tau)
            got = [f.strength for f in evidence.families]
            want = strengths(flat, shaft, orders, tau + orders.relative_uncertainty, evidence.whole)
            print(f"{part}: " + ", ".join(f"{g:.6f} ({w:.6f})" for g, w in zip(got, want)))
            for g, w in zip(got, want):
                largest = max(largest, abs(g - w) / max(g, w, 0.01))
                compared += g > 0.05
            if part:
                self.assertGreater(max(got), 0.15, part)
        print(f"largest difference {largest:.1e} of 1e-06 ({compared} strengths above 0.05)")
        self.assertGreater(compared, 5)
        self.assertLess(largest, 1e-6)


if __name__ == "__main__":
    import support

    support.main()
