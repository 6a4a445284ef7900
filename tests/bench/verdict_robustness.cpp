/// How far a verdict depends on what says nothing about the bearing: each recording of a labelled
/// set is diagnosed as it is and again after changes that leave the physics alone (another sample
/// rate, gain, polarity, word length), that a plant cannot rule out (a nominal speed 1 % off), or
/// that halve the evidence. Prints Markdown: shares of unchanged verdicts, then the recordings that
/// changed.
///
/// usage: verdict_robustness MANIFEST
/// Records are taken with a stride, so that a run that is interrupted (SIGINT, SIGTERM) still
/// prints the table of a sample spread over the whole manifest.
/// Exit: 0 measured, 2 some record gave no diagnosis as it is, or the manifest cannot be read.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <csignal>
#include <cstddef>
#include <cstdio>
#include <exception>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dataset/metrics.hpp"
#include "bearingdsp/dataset/outcome.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/dsp/resample.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace {
using namespace bearingdsp;

constexpr double rate_ratio = 0.9;
constexpr double gain = 0.01;
constexpr double speed_error = 0.01;
constexpr double headroom = 1.2;
constexpr double steps_of_16_bit = 32768;
constexpr std::size_t stride = 8;

std::atomic<bool> interrupted{false};
static_assert(std::atomic<bool>::is_always_lock_free, "set by a signal handler");

struct Case {
  Capture capture;
  DiagnoseOptions options;
};

/// Applies a change; false where it has no meaning for the recording.
struct Perturbation {
  std::string_view name;
  std::function<bool(Case&)> apply;
};

void scale(Capture& capture, double factor) {
  for (Channel& c : capture.channels) {
    for (double& x : c.samples) x *= factor;
    if (c.full_scale) *c.full_scale *= std::abs(factor);
  }
}

bool resample_all(Case& c) {
  for (Channel& channel : c.capture.channels)
    channel.samples = resample(channel.samples, rate_ratio);
  c.capture.rate = Hz{c.capture.rate.value() * rate_ratio};
  return true;
}

bool misstate_speed(Case& c, double factor) {
  if (!c.options.speed) return false;
  c.options.speed = Rpm{c.options.speed->value() * factor};
  return true;
}

bool keep_half(Case& c, bool first) {
  for (Channel& channel : c.capture.channels) {
    const auto middle = channel.samples.begin() + std::ptrdiff_t(channel.samples.size() / 2);
    if (first)
      channel.samples.erase(middle, channel.samples.end());
    else
      channel.samples.erase(channel.samples.begin(), middle);
  }
  return true;
}

bool quantise(Case& c) {
  for (Channel& channel : c.capture.channels) {
    double peak = 0;
    for (const double x : channel.samples) peak = std::max(peak, std::abs(x));
    if (!(peak > 0)) continue;
    channel.full_scale = headroom * peak;
    const double step = *channel.full_scale / steps_of_16_bit;
    for (double& x : channel.samples) x = std::round(x / step) * step;
  }
  return true;
}

const std::vector<Perturbation>& perturbations() {
  static const std::vector<Perturbation> all{
      {"resampled to 0.9 of the rate", resample_all},
      {"gain x 0.01",
       [](Case& c) {
         scale(c.capture, gain);
         return true;
       }},
      {"polarity reversed",
       [](Case& c) {
         scale(c.capture, -1);
         return true;
       }},
      {"16-bit quantisation", quantise},
      {"speed given 1 % too high", [](Case& c) { return misstate_speed(c, 1 + speed_error); }},
      {"speed given 1 % too low", [](Case& c) { return misstate_speed(c, 1 - speed_error); }},
      {"first half", [](Case& c) { return keep_half(c, true); }},
      {"second half", [](Case& c) { return keep_half(c, false); }},
  };
  return all;
}

/// What one diagnosis said.
struct Answer {
  Outcome outcome;
  Verdict verdict{Verdict::indeterminate};
  double turns{0};
};

struct Answers {
  std::optional<Answer> plain;
  std::vector<std::optional<Answer>> changed;  ///< by perturbation; empty where it has no meaning
  std::string error;
};

Answer answer(const LabelledRecord& r, const Case& c, FftPlans& plans) {
  Answer a;
  a.outcome.dataset = r.dataset;
  a.outcome.file = r.file;
  a.outcome.label = r.label;
  const auto d = diagnose(c.capture, plans, c.options);
  if (!d) {
    a.outcome.named = "failed";
    a.outcome.reason = d.error().message();
    return a;
  }
  // The same words as in the validation table.
  a.outcome.named = d->verdict == Verdict::no_fault        ? token(Place::none)
                    : d->verdict == Verdict::indeterminate ? token(Place::cannot_tell)
                                                           : token(d->place);
  a.outcome.probability_damage = d->probability_of_damage;
  a.outcome.probability_place = d->probability_of_place;
  a.outcome.speed_rpm = shaft_speed(d->speed.rate).value();
  a.outcome.speed_method = token(d->speed.method);
  a.verdict = d->verdict;
  a.turns = d->duration.value() * d->speed.rate.value();
  return a;
}

Answers examine(const LabelledRecord& r, FftPlans& plans) {
  Answers all;
  all.changed.resize(perturbations().size());
  auto capture = read_record(r);
  if (!capture) {
    all.error = capture.error().message();
    return all;
  }
  Case plain{std::move(*capture), {}};
  plain.options.bearings = {*r.orders};
  plain.options.speed = r.speed;
  all.plain = answer(r, plain, plans);
  if (all.plain->outcome.named == "failed") all.error = all.plain->outcome.reason;
  for (std::size_t p = 0; p < perturbations().size(); ++p) {
    if (interrupted) return {};  // half a recording would make the rows differ in their recordings
    Case changed = plain;
    if (perturbations()[p].apply(changed)) all.changed[p] = answer(r, changed, plans);
  }
  return all;
}

/// 0, stride, 2 stride ... 1, stride + 1 ...
std::vector<std::size_t> spread(std::size_t n) {
  std::vector<std::size_t> order;
  for (std::size_t first = 0; first < stride; ++first)
    for (std::size_t i = first; i < n; i += stride) order.push_back(i);
  return order;
}

std::vector<Answers> examine_all(const std::vector<LabelledRecord>& records) {
  std::vector<Answers> all(records.size());
  const std::vector<std::size_t> order = spread(records.size());
  std::atomic<std::size_t> next{0};
  std::atomic<std::size_t> done{0};
  std::mutex broken_mutex;
  std::exception_ptr broken;
  const auto work = [&] {
    try {
      FftPlans plans;
      for (std::size_t i = next++; i < records.size() && !interrupted; i = next++) {
        all[order[i]] = examine(records[order[i]], plans);
        fmt::print(stderr, "{} of {} records\n", ++done, records.size());
      }
    } catch (...) {
      const std::scoped_lock lock{broken_mutex};
      broken = std::current_exception();
      next = records.size();
    }
  };
  std::vector<std::thread> threads;
  for (unsigned t = 1; t < std::thread::hardware_concurrency(); ++t) threads.emplace_back(work);
  work();
  for (std::thread& t : threads) t.join();
  if (broken) std::rethrow_exception(broken);
  return all;
}

std::string share(std::size_t part, std::size_t whole) {
  const Interval i = wilson_interval(part, whole);
  return fmt::format("{} of {} = {:.1f} % ({:.1f} .. {:.1f})", part, whole,
                     whole ? 100.0 * double(part) / double(whole) : 0.0, 100 * i.low, 100 * i.high);
}

double median(std::vector<double> v) {
  if (v.empty()) return 0;
  const auto middle = v.begin() + std::ptrdiff_t(v.size() / 2);
  std::nth_element(v.begin(), middle, v.end());
  return *middle;
}

/// Counts over the recordings a perturbation has a meaning for.
struct Count {
  std::size_t records{0}, same_place{0}, same_damage{0};
  std::size_t reversed{0};    ///< fault became no fault or the other way round
  std::size_t other_part{0};  ///< a part named before, another one after
  std::size_t right_before{0}, right_after{0};
  std::vector<double> moved;  ///< change of the probability of damage, magnitude
};

bool names_part(const Answer& a) {
  return a.verdict == Verdict::fault && a.outcome.named != token(Place::unclear) &&
         a.outcome.named != token(Place::several);
}

void add(Count& c, const Answer& before, const Answer& after) {
  ++c.records;
  const bool failed = after.outcome.named == "failed";
  c.same_place += before.outcome.named == after.outcome.named;
  c.same_damage += !failed && before.verdict == after.verdict;
  c.reversed += !failed && before.verdict != after.verdict &&
                before.verdict != Verdict::indeterminate && after.verdict != Verdict::indeterminate;
  c.other_part +=
      names_part(before) && names_part(after) && before.outcome.named != after.outcome.named;
  c.right_before += grade(before.outcome) == Grade::right;
  c.right_after += grade(after.outcome) == Grade::right;
  if (!failed)
    c.moved.push_back(
        std::abs(after.outcome.probability_damage - before.outcome.probability_damage));
}

void print_table(const std::vector<Answers>& all, std::string_view dataset) {
  fmt::print(
      "| change | same verdict (95 % interval) | same damage answer (95 % interval) | fault <-> no "
      "fault | another part | right before -> after | median, largest change of the probability of "
      "damage |\n|---|---|---|---|---|---|---|\n");
  for (std::size_t p = 0; p < perturbations().size(); ++p) {
    Count c;
    for (const Answers& a : all)
      if (a.plain && a.changed[p] && (dataset.empty() || a.plain->outcome.dataset == dataset))
        add(c, *a.plain, *a.changed[p]);
    const double largest = c.moved.empty() ? 0 : *std::max_element(c.moved.begin(), c.moved.end());
    fmt::print("| {} | {} | {} | {} | {} | {} -> {} | {:.4f}, {:.4f} |\n", perturbations()[p].name,
               share(c.same_place, c.records), share(c.same_damage, c.records), c.reversed,
               c.other_part, c.right_before, c.right_after, median(c.moved), largest);
  }
}

void print_changes(const std::vector<Answers>& all) {
  fmt::print(
      "| file | label | change | before | after | damage | place | rpm | turns |\n"
      "|---|---|---|---|---|---|---|---|---|\n");
  for (const Answers& a : all) {
    if (!a.plain) continue;
    for (std::size_t p = 0; p < perturbations().size(); ++p) {
      if (!a.changed[p] || a.changed[p]->outcome.named == a.plain->outcome.named) continue;
      const Outcome& b = a.plain->outcome;
      const Outcome& c = a.changed[p]->outcome;
      fmt::print(
          "| {} | {} | {} | {} | {} | {:.3f} -> {:.3f} | {:.3f} -> {:.3f} | {:.1f} -> {:.1f} | "
          "{:.0f} -> {:.0f} |\n",
          b.file, b.label, perturbations()[p].name, b.named, c.named, b.probability_damage,
          c.probability_damage, b.probability_place, c.probability_place, b.speed_rpm, c.speed_rpm,
          a.plain->turns, a.changed[p]->turns);
    }
  }
}

int run(const std::string& path) {
  const auto manifest = read_manifest(path);
  if (!manifest) {
    fmt::print(stderr, "{}\n", manifest.error().message());
    return 2;
  }
  for (const std::string& note : manifest->notes) fmt::print(stderr, "{}\n", note);
  const std::vector<Answers> all = examine_all(manifest->records);

  const auto examined =
      std::count_if(all.begin(), all.end(), [](const Answers& a) { return a.plain.has_value(); });
  fmt::print("{} of {} records\n\n", examined, all.size());
  print_table(all, {});
  std::vector<std::string> datasets;
  for (const LabelledRecord& r : manifest->records)
    if (std::find(datasets.begin(), datasets.end(), r.dataset) == datasets.end())
      datasets.push_back(r.dataset);
  for (const std::string& dataset : datasets) {
    fmt::print("\n{}\n\n", dataset);
    print_table(all, dataset);
  }
  fmt::print("\nChanged verdicts\n\n");
  print_changes(all);

  int status = 0;
  for (const Answers& a : all)
    if (!a.error.empty()) {
      fmt::print(stderr, "{}\n", a.error);
      status = 2;
    }
  return status;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("usage: verdict_robustness MANIFEST\n", stderr);
    return 2;
  }
  for (const int signal : {SIGINT, SIGTERM}) std::signal(signal, [](int) { interrupted = true; });
  try {
    return run(argv[1]);
  } catch (const std::exception& e) {
    fmt::print(stderr, "verdict_robustness: {}\n", e.what());
    return 2;
  }
}
