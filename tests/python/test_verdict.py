"""The verdict of an array is the tool's verdict of the file, to the last digit."""

import json
import os
import tempfile
import unittest

import numpy as np

import bearingdsp as b
import support

# file, bearing, rpm, reading options as the tool and as the module take them
RECORDINGS = (
    ("planer-feed/2026-05-11_DE_horizontal.wav", "6205", 1432, {"unit": "m/s2", "full_scale": 128}),
    ("planer-feed/2026-03-02_DE_horizontal.wav", "6205", 1432, {"unit": "m/s2", "full_scale": 128}),
    ("planer-feed/2026-05-11_DE_axial.txt", "6205", 1432, {}),
    ("hydraulic-power-pack/2026-03-02_DE_horizontal.csv", "6206", 2925, {}),
    ("hydraulic-power-pack/2026-03-02_DE_vertical.wav", "6206", 2925, {"unit": "m/s2", "full_scale": 128}),
    ("dust-extraction-fan/2026-03-02_DE_horizontal.wav", None, 1478, {"unit": "m/s2", "full_scale": 128}),
)


def command_line(file, bearing, rpm, reading):
    words = ["diagnose", file, "--json", "--rpm", str(rpm)]
    if bearing:
        words += ["--bearing", bearing]
    if "unit" in reading:
        words += ["--unit", reading["unit"]]
    if "full_scale" in reading:
        words += ["--full-scale", str(reading["full_scale"])]
    return json.loads(support.tool(*words, codes=(0, 1, 3)))


class SameVerdict(unittest.TestCase):
    maxDiff = None

    def test_of_a_file(self):
        for name, bearing, rpm, reading in RECORDINGS:
            with self.subTest(name):
                file = support.testdata(name)
                capture = b.read_capture(file, **reading)
                got = b.diagnose(capture, bearing=bearing, speed_rpm=rpm).to_dict()
                self.assertEqual(got, command_line(file, bearing, rpm, reading))

    def test_of_an_array(self):
        for name, bearing, rpm, reading in RECORDINGS:
            with self.subTest(name):
                file = support.testdata(name)
                capture = b.read_capture(file, **reading)
                want = command_line(file, bearing, rpm, reading)
                channel = capture.channels[0]
                array = np.array(channel.samples)  # a copy of the user's own
                got = b.diagnose(
                    array,
                    rate_hz=capture.rate_hz,
                    unit=channel.unit.symbol if channel.unit != b.SampleUnit.uncalibrated else "",
                    full_scale=channel.full_scale,
                    bearing=bearing,
                    speed_rpm=rpm,
                ).to_dict()
                # What an array cannot know: where it came from, what its channel is called, and
                # what the reader did and noticed on the way.
                for document in (got, want):
                    document["source"] = document["trail"] = None
                    document["channels"] = len(document["channels"])
                    for row in document["figures"] + document["families"] + document["bands"]:
                        row["channel"] = None
                reader = {f.kind for f in capture.findings}
                want["findings"] = [f for f in want["findings"] if f["kind"] not in reader]
                for f in want["findings"] + got["findings"]:
                    f["where"] = None
                self.assertEqual(got, want)

    def test_prints_the_same_words(self):
        name, bearing, rpm, reading = RECORDINGS[0]
        file = support.testdata(name)
        want = support.tool(
            "diagnose", file, "--bearing", bearing, "--rpm", str(rpm), "--unit", "m/s2",
            "--full-scale", "128", codes=(1,),
        )
        got = b.diagnose(
            b.read_capture(file, **reading), bearing=bearing, speed_rpm=rpm, curves="envelope"
        ).to_text()
        # The tool draws its chart in plain characters where the locale is not UTF-8.
        self.assertEqual(got.split("envelope spectrum")[0], want.split("envelope spectrum")[0])

    def test_draws_the_same_pictures(self):
        name, bearing, rpm, reading = RECORDINGS[0]
        file = support.testdata(name)
        with tempfile.TemporaryDirectory() as folder:
            page, picture = (os.path.join(folder, n) for n in ("a.html", "a.svg"))
            support.tool(
                "diagnose", file, "--bearing", bearing, "--rpm", str(rpm), "--unit", "m/s2",
                "--full-scale", "128", "--report", page, "--picture", picture, codes=(1,),
            )
            with open(page, encoding="utf-8") as f:
                page = f.read()
            with open(picture, encoding="utf-8") as f:
                picture = f.read()
        got = b.diagnose(
            b.read_capture(file, **reading), bearing=bearing, speed_rpm=rpm, curves="all"
        )
        self.assertEqual(got.to_svg(), picture)
        self.assertEqual(got.to_html(), page)

    def test_steps_lead_to_the_verdict_of_the_whole(self):
        made = b.simulate(
            {"seed": 5, "speed_rpm": 1470, "bearing": {"bpfo": 3.6, "bpfi": 5.4, "bsf": 2.4,
             "ftf": 0.4}, "defects": [{"part": "outer ring", "severity_m_s2": 15}]}
        )
        x = made.capture.channels[0].samples
        rate = made.capture.rate_hz
        orders = b.DefectOrders(3.6, 5.4, 2.4, 0.4)
        whole = b.diagnose(made.capture, bearing=orders, speed_rpm=1470)
        self.assertEqual(whole.place, b.Place.outer_ring)
        speed = b.estimate_speed(x, rate, speed_rpm=1470, orders=orders)
        flat = b.flattened(b.record_spectrum(x, rate), max(50.0, 3 * speed.rate_hz))
        evidence = b.bearing_evidence([flat], speed.rate_hz, orders)
        judged = b.judge(evidence, 1 / (len(x) / rate * speed.rate_hz))
        self.assertEqual(judged.verdict, whole.verdict)
        self.assertEqual(judged.place, whole.place)
        self.assertGreater(judged.part[0], 0.9)


class Validation(unittest.TestCase):
    def test_the_table_is_the_tools(self):
        with tempfile.TemporaryDirectory() as folder:
            rows = []
            for i, part in enumerate((None, "outer ring", "inner ring", None)):
                plan = {
                    "seed": 10 + i,
                    "duration_s": 3,
                    "bearing": {"designation": "6208"},
                    "defects": [{"part": part, "severity_m_s2": 12}] if part else [],
                }
                b.simulate(plan).save(os.path.join(folder, f"{i}.csv"))
                rows.append(f"made,{i}.csv,,,25600,1480,b,{part or 'none'}")
            with open(os.path.join(folder, "manifest.csv"), "w", encoding="utf-8") as f:
                f.write("dataset,file,signal,unit,rate_hz,rpm,bearing,fault\n")
                f.write("\n".join(rows) + "\n")
            with open(os.path.join(folder, "bearings.csv"), "w", encoding="utf-8") as f:
                f.write("name,rolling_elements,element_diameter,pitch_diameter\nb,9,12,60\n")
            manifest = b.read_manifest(os.path.join(folder, "manifest.csv"))
            self.assertEqual(len(manifest), 4)
            seen = []
            one = b.validate(manifest, jobs=1, progress=lambda done, n: seen.append((done, n)))
            self.assertEqual(seen, [(k, 4) for k in range(1, 5)])
            two = b.validate(manifest, jobs=2)
            files = [os.path.join(folder, n) for n in ("1.json", "2.json", "1.html", "2.html")]
            for jobs, document, page in (("1", files[0], files[2]), ("2", files[1], files[3])):
                printed = support.tool(
                    "validate", os.path.join(folder, "manifest.csv"), "--without-times", "--jobs",
                    jobs, "--json", "--report", page,
                    "--out", os.path.join(folder, "r.csv"), "--force",
                )
                with open(document, "w", encoding="utf-8") as f:
                    f.write(printed)
            with open(os.path.join(folder, "r.csv"), encoding="utf-8") as f:
                table = f.read()
            read = [open(f, "rb").read() for f in files]
        self.assertEqual(read[0], read[1])  # to the last bit for any number of jobs
        self.assertEqual(read[2], read[3])

        def but_times(csv):
            return [
                (o.file, o.named, o.probability_damage, o.probability_place, o.reason)
                for o in b.parse_results(csv)
            ]

        self.assertEqual(but_times(b.results_csv(one)), but_times(table))
        self.assertEqual(but_times(b.results_csv(two)), but_times(table))
        document = json.loads(read[0])
        self.assertEqual(document["schema"], "bearingdsp.validation/1")
        self.assertEqual(sum(map(sum, document["confusion"]["count"])), 4)
        self.assertEqual(document["detection"][-1]["called_damaged"], 2)

    def test_a_callback_that_raises_ends_it(self):
        with tempfile.TemporaryDirectory() as folder:
            b.simulate({"duration_s": 1}).save(os.path.join(folder, "a.csv"))
            with open(os.path.join(folder, "manifest.csv"), "w", encoding="utf-8") as f:
                f.write("dataset,file,signal,bearing,fault\nm,a.csv,,,none\n")
            with open(os.path.join(folder, "bearings.csv"), "w", encoding="utf-8") as f:
                f.write("name,rolling_elements,element_diameter,pitch_diameter\n")
            manifest = b.read_manifest(os.path.join(folder, "manifest.csv"))

            def stop(done, n):
                raise InterruptedError("enough")

            with self.assertRaises(InterruptedError):
                b.validate(manifest, progress=stop)


if __name__ == "__main__":
    support.main()
