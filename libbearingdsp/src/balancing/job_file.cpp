#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "bearingdsp/balancing/job.hpp"
#include "bearingdsp/capture/file_unit.hpp"
#include "machine/toml_reader.hpp"

namespace bearingdsp {
namespace {

using namespace std::string_view_literals;

constexpr std::array angle_senses{std::pair{"against rotation"sv, AngleSense::against_rotation},
                                  std::pair{"with rotation"sv, AngleSense::with_rotation}};

std::string_view without_blanks(std::string_view text) {
  const auto begin = text.find_first_not_of(" \t");
  if (begin == std::string_view::npos) return {};
  return text.substr(begin, text.find_last_not_of(" \t") - begin + 1);
}

std::optional<double> whole_number_text(std::string_view text) {
  text = without_blanks(text);
  double v = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), v);
  if (code != std::errc{} || end != text.data() + text.size() || !std::isfinite(v))
    return std::nullopt;
  return v;
}

std::vector<std::string_view> pieces(std::string_view text, char between) {
  std::vector<std::string_view> out;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t end = std::min(text.find(between, begin), text.size());
    out.push_back(text.substr(begin, end - begin));
    begin = end + 1;
  }
  return out;
}

Result<std::vector<std::complex<double>>> parse_list(std::string_view text) {
  std::vector<std::complex<double>> out;
  for (const std::string_view piece : pieces(text, ',')) {
    auto v = parse_polar(piece);
    if (!v) return v.error();
    out.push_back(*v);
  }
  return out;
}

/// Where the tables of one job file leave their errors.
struct JobSource {
  std::string_view file;
  std::vector<Error>& errors;
};

std::vector<std::complex<double>> read_vectors(TomlReader& r, std::string_view key) {
  std::vector<std::complex<double>> out;
  for (const std::string& text : r.texts(key)) {
    auto list = parse_list(text);
    if (!list) {
      r.fail(key, list.error().what, list.error().advice);
      continue;
    }
    out.insert(out.end(), list->begin(), list->end());
  }
  return out;
}

std::optional<Positions> read_positions(TomlReader& r) {
  const auto count = r.whole("positions", 3, 360);
  const auto first = r.number("first_position_deg", -360, 360);
  Positions p;
  for (const std::string& text : r.texts("blocked"))
    for (const std::string_view piece : pieces(text, ',')) {
      const auto n = whole_number_text(piece);
      if (n && count && *n >= 1 && *n <= *count && *n == std::floor(*n))
        p.blocked.push_back(static_cast<int>(*n));
      else
        r.fail("blocked", fmt::format("'{}' is not one of the positions", piece.substr(0, 20)),
               "give their numbers, such as \"3, 5\"");
    }
  if (!count) {
    if (first || !p.blocked.empty())
      r.fail("first_position_deg", "there are no positions", "give positions = COUNT");
    return std::nullopt;
  }
  p.count = *count;
  p.first = Degrees{first.value_or(0)};
  return p;
}

BalancePlane read_plane(const toml::table& table, JobSource source, std::size_t number) {
  TomlReader r{table, "a plane", source.file, source.errors};
  BalancePlane p;
  p.name = r.text("name");
  if (p.name.empty()) p.name = fmt::format("plane {}", number);
  p.radius = r.quantity<Millimetres>("radius_mm", 0.1, 20000);
  p.positions = read_positions(r);
  r.finish();
  return p;
}

RunAtSpeed read_at(TomlReader& r) {
  RunAtSpeed at;
  at.speed = r.quantity<Rpm>("rpm", 1, 1e6);
  at.recording = r.text("recording");
  at.vibration = read_vectors(r, "vibration");
  if (at.recording.empty() == at.vibration.empty())
    r.fail(at.recording.empty() ? "" : "recording",
           at.recording.empty() ? "the run has no vibration" : "there is a vibration as well",
           "give vibration = \"AMPLITUDE@PHASE\", or recording = \"FILE\"");
  return at;
}

BalanceJobRun read_run(const toml::table& table, JobSource source, std::size_t number) {
  TomlReader r{table, "a run", source.file, source.errors};
  BalanceJobRun run;
  run.name = r.text("name");
  if (run.name.empty()) run.name = fmt::format("run {}", number);
  for (const std::complex<double>& w : read_vectors(r, "weight"))
    run.weights.push_back(weight_of(w));
  if (r.has("at")) {
    for (const toml::table* t : r.tables("at")) {
      TomlReader speed{*t, "a speed of a run", source.file, source.errors};
      run.at.push_back(read_at(speed));
      speed.finish();
    }
  } else {
    run.at.push_back(read_at(r));
  }
  r.finish();
  return run;
}

void read_recording_options(TomlReader& r, BalanceJob& job, JobSource source) {
  const toml::table* t = r.table("recordings");
  if (t == nullptr) return;
  TomlReader o{*t, "the recordings", source.file, source.errors};
  if (const std::string tacho = o.text("tacho"); !tacho.empty()) job.tacho = tacho;
  if (const std::string unit = o.text("unit"); !unit.empty()) {
    if (!find_file_unit(unit))
      o.fail("unit", fmt::format("'{}' is not known", unit), "write g, m/s2, mm/s or V");
    job.reading.units = {unit};
  }
  if (const auto s = o.number("sensitivity_mv_per_g", 1e-3, 1e5))
    job.reading.sensitivity_mv_per_g = {*s};
  job.reading.full_scale = o.number("full_scale", 1e-9, 1e9);
  job.reading.rate = o.quantity<Hz>("rate_hz", 1, 1e8);
  o.finish();
}

void read_rotor(TomlReader& r, BalanceJob& job) {
  job.machine = r.text("machine");
  job.sense = r.choice("angles", angle_senses, AngleSense::against_rotation);
  if (const std::string unit = r.text("vibration_unit"); !unit.empty()) job.unit = unit;
  job.rotor = r.quantity<Kilograms>("rotor_kg", 1e-3, 1e6);
  job.speed = r.quantity<Rpm>("rpm", 1, 1e6);
  job.grade = r.quantity<BalanceGrade>("grade", 0.1, 4000);
  if (const auto step = r.quantity<Grams>("weight_step_g", 1e-3, 1e5)) job.step = *step;
  if (const auto repeats = r.number("repeatability_percent", 0, 100))
    job.options.repeatability = *repeats / 100;
  job.sensors = r.texts("sensors");
}

/// Every run with as many planes, sensors and speeds as the job has.
void check_counts(TomlReader& r, BalanceJob& job) {
  if (job.planes.empty()) job.planes.push_back({"plane 1", {}, {}});
  if (job.planes.size() > 2)
    r.fail("plane", fmt::format("{} planes", job.planes.size()), "describe 1 or 2");
  if (job.runs.empty()) {
    r.fail({}, "there are no runs", "begin each with a line [[run]]");
    return;
  }
  if (job.sensors.empty() && !job.runs.front().at.empty())
    for (std::size_t i = 0; i < job.runs.front().at.front().vibration.size(); ++i)
      job.sensors.push_back(fmt::format("sensor {}", i + 1));
  for (BalanceJobRun& run : job.runs) {
    const bool as_found = run.weights.empty();
    if (as_found) run.weights.resize(job.planes.size());
    if (run.weights.size() != job.planes.size())
      r.fail("run",
             fmt::format("'{}' has {} weights for {} planes", run.name, run.weights.size(),
                         job.planes.size()),
             "give one for each plane; \"0\" is none");
    if (run.at.size() != job.runs.front().at.size())
      r.fail("run", fmt::format("'{}' has another number of speeds", run.name),
             "give the same speeds in every run");
    for (const RunAtSpeed& at : run.at)
      if (at.recording.empty() && at.vibration.size() != job.sensors.size())
        r.fail("run",
               fmt::format("'{}' has {} vibration vectors for {} sensors", run.name,
                           at.vibration.size(), job.sensors.size()),
               "give one for each sensor");
  }
}

}  // namespace

Result<std::complex<double>> parse_polar(std::string_view text) {
  const auto bad = [&] {
    return Error{Errc::bad_argument, fmt::format("'{}'", text.substr(0, 40)),
                 "is not an amplitude with an angle", "write it as 6.0@40 (degrees)"};
  };
  const std::size_t at = text.find('@');
  const auto length = whole_number_text(text.substr(0, at));
  if (!length) return bad();
  if (at == std::string_view::npos) {
    // Without an angle only nothing has a meaning.
    if (*length != 0) return bad();
    return std::complex<double>{};
  }
  const auto angle = whole_number_text(text.substr(at + 1));
  if (!angle) return bad();
  return polar_vector(*length, Degrees{*angle});
}

Result<AmplitudeRun> parse_amplitude(std::string_view text) {
  const auto v = parse_polar(text);
  if (!v) return v.error();
  return AmplitudeRun{std::abs(*v), angle_of(*v)};
}

Result<BalanceJobRun> parse_run(std::string_view text) {
  BalanceJobRun run;
  const std::size_t colon = text.find(':');
  auto vibration = parse_list(text.substr(0, colon));
  if (!vibration) return vibration.error();
  RunAtSpeed at;
  at.vibration = std::move(*vibration);
  run.at.push_back(std::move(at));
  if (colon == std::string_view::npos) return run;
  const auto weights = parse_list(text.substr(colon + 1));
  if (!weights) return weights.error();
  for (const std::complex<double>& w : *weights) run.weights.push_back(weight_of(w));
  return run;
}

Result<BalanceJob> job_of_runs(std::span<const std::string> runs) {
  BalanceJob job;
  std::size_t planes = 1;
  for (const std::string& text : runs) {
    auto run = parse_run(text);
    if (!run) return run.error();
    run->name = job.runs.empty() ? "as found" : fmt::format("run {}", job.runs.size() + 1);
    planes = std::max(planes, run->weights.size());
    job.runs.push_back(std::move(*run));
  }
  if (job.runs.empty())
    return Error{Errc::bad_argument, "runs", "there are none", "give --run, or a job file"};
  for (BalanceJobRun& run : job.runs) run.weights.resize(planes);
  for (std::size_t p = 0; p < planes; ++p)
    job.planes.push_back({fmt::format("plane {}", p + 1), {}, {}});
  for (std::size_t s = 0; s < job.runs.front().at.front().vibration.size(); ++s)
    job.sensors.push_back(fmt::format("sensor {}", s + 1));
  return job;
}

Result<BalanceJob> parse_balance_job(std::string_view text, std::string_view where) {
  const auto parsed = parse_toml(text, where);
  if (!parsed) return parsed.error();
  std::vector<Error> errors;
  TomlReader r{*parsed, "a balancing job", where, errors};
  const JobSource source{where, errors};
  BalanceJob job;
  read_rotor(r, job);
  for (const toml::table* t : r.tables("plane"))
    job.planes.push_back(read_plane(*t, source, job.planes.size() + 1));
  for (const toml::table* t : r.tables("run"))
    job.runs.push_back(read_run(*t, source, job.runs.size() + 1));
  read_recording_options(r, job, source);
  check_counts(r, job);
  r.finish();
  if (!errors.empty()) return errors.front();
  return job;
}

}  // namespace bearingdsp
