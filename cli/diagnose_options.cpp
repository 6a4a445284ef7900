#include "diagnose_options.hpp"

#include "commands.hpp"

namespace cli {
using namespace bearingdsp;

Result<DiagnoseOptions> diagnose_options(const DiagnoseCommand& o) {
  DiagnoseOptions d;
  if (o.rpm) d.speed = Rpm{*o.rpm};
  d.speed_tolerance = o.tolerance_percent / 100;
  if (!o.rpm_range.empty()) {
    const auto range = numbers(o.rpm_range, "--rpm-range", 2, 2);
    if (!range) return range.error();
    if (!((*range)[0] > 0 && (*range)[0] < (*range)[1]))
      return Error{Errc::bad_argument, "--rpm-range", "the first is not the lower one",
                   "write it like 1400,1500"};
    d.speed_low = Rpm{(*range)[0]};
    d.speed_high = Rpm{(*range)[1]};
  }
  if (o.line_hz) d.line_frequency = Hz{*o.line_hz};
  d.tacho_channel = o.tacho;
  d.pulses_per_revolution = o.pulses;
  // The text shows the envelope only.
  if (!o.picture.empty())
    d.keep_curves = CurvesKept::all;
  else if (!o.quiet && !o.json)
    d.keep_curves = CurvesKept::envelope;
  return d;
}

void add_diagnose_options(CLI::App& c, DiagnoseCommand& o) {
  c.add_option("files", o.files, "recordings of one measuring point each")
      ->type_name("FILE")
      ->required();
  add_bearing_options(c, o.bearing);
  add_reading_options(c, o.reading);
  const std::string speed = "The speed (found from the recording if it can be)";
  c.add_option("-n,--rpm", o.rpm, "shaft speed, as on the nameplate or better")
      ->type_name("RPM")
      ->check(CLI::Range(1.0, 1e6))
      ->group(speed);
  c.add_option("--rpm-tolerance", o.tolerance_percent, "how far off that may be (5)")
      ->type_name("PERCENT")
      ->check(CLI::Range(0.0, 50.0))
      ->group(speed);
  c.add_option("--rpm-range", o.rpm_range, "look for the speed in here")
      ->type_name("LOW,HIGH")
      ->group(speed);
  c.add_option("--tacho", o.tacho, "channel with the shaft marker")
      ->type_name("NAME")
      ->group(speed);
  c.add_option("--pulses", o.pulses, "of the tacho, per revolution (1)")
      ->type_name("N")
      ->check(CLI::Range(0.001, 1e5))
      ->group(speed);
  c.add_option("--line-frequency", o.line_hz, "of the mains, 50 or 60")
      ->type_name("HZ")
      ->check(CLI::Range(10.0, 500.0))
      ->group(speed);
  const std::string output = "What to print";
  c.add_flag("--json", o.json, "JSON (a line a file for several files)")->group(output);
  c.add_option("--picture", o.picture, "also draw the spectra")
      ->type_name("FILE.svg")
      ->group(output);
  c.add_flag("-q,--quiet", o.quiet, "one line a file")->group(output);
  c.add_flag("-v,--verbose", o.verbose, "every line and step")->group(output);
  add_colour_option(c, o.colour);
}

}  // namespace cli
