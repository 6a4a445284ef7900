#include "bearingdsp/verdict/long_recording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/capture/scan.hpp"
#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dsp/integrate.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "verdict/words.hpp"

namespace bearingdsp {
namespace {

constexpr std::uint64_t min_piece = std::uint64_t{1} << 22U;
/// As many as the engine takes at once: what more revolutions would add, slip takes away.
constexpr double wanted_revolutions = RecordModel{}.max_revolutions;

/// Samples per channel of one piece.
std::size_t piece_size(const PieceReader& reader, const LongOptions& options) {
  std::uint64_t total = options.max_piece;
  if (options.shaft && reader.rate() && options.shaft->value() > 0) {
    const double wanted = wanted_revolutions * (*reader.rate() / *options.shaft) *
                          static_cast<double>(reader.channels());
    total = static_cast<std::uint64_t>(
        std::min(std::max(wanted, static_cast<double>(min_piece)), static_cast<double>(total)));
  }
  return piece_samples(reader, total);
}

/// Whether the model weighed evidence: "cannot tell" for a reason outside it leaves 0.5.
bool judged(const Diagnosis& d) noexcept {
  return d.verdict != Verdict::indeterminate || d.probability_of_damage != 0.5;
}

/// What is remembered of every piece that was diagnosed.
struct PieceVerdict {
  Verdict verdict{};
  Place place{};
  double damage{};
  bool judged{};
  Seconds start, length;
  std::optional<Hz> shaft;
};

/// A piece that may be shown, with what its diagnosis holds.
struct Shown {
  Diagnosis diagnosis;
  Capture piece;
  PieceVerdict verdict;
};

class Pieces {
 public:
  explicit Pieces(const JudgementModel& model) : model_{model} {}
  void add(Diagnosis d, Capture capture, Seconds start, Seconds length) {
    PieceVerdict v{d.verdict, d.place,     d.probability_of_damage, judged(d), start,
                   length,    std::nullopt};
    if (d.speed.found()) v.shaft = d.speed.rate;
    verdicts_.push_back(v);
    // The clearest of each answer: for "no fault" it is the one with the most doubt.
    auto& best = best_[{d.verdict, d.place}];
    const bool better = !best || (v.judged && !best->verdict.judged) ||
                        (v.judged == best->verdict.judged && v.damage > best->verdict.damage);
    if (better) best = Shown{std::move(d), std::move(capture), v};
  }
  [[nodiscard]] const std::vector<PieceVerdict>& verdicts() const noexcept { return verdicts_; }
  [[nodiscard]] bool empty() const noexcept { return verdicts_.empty(); }
  [[nodiscard]] std::size_t count(Verdict verdict) const {
    return static_cast<std::size_t>(
        std::count_if(verdicts_.begin(), verdicts_.end(),
                      [&](const PieceVerdict& v) { return v.verdict == verdict; }));
  }
  [[nodiscard]] double damage() const {
    std::vector<double> p;
    for (const PieceVerdict& v : verdicts_)
      if (v.judged) p.push_back(v.damage);
    return combined_damage(p);
  }
  /// The diagnosis of the whole, but for what is measured over all of it.
  LongDiagnosis decide();

 private:
  /// The clearest piece of the answer that most of the evidence is evidence for.
  Shown& shown(Verdict verdict);
  LongDiagnosis take(Verdict verdict) {
    Shown& s = shown(verdict);
    return {std::move(s.diagnosis), std::move(s.piece)};
  }
  void name_fault(Diagnosis& d, double damage) const;
  void leave_open(Diagnosis& d, const PieceVerdict& shown, double damage) const;

  JudgementModel model_;
  std::vector<PieceVerdict> verdicts_;
  std::map<std::pair<Verdict, Place>, std::optional<Shown>> best_;
};

Shown& Pieces::shown(Verdict verdict) {
  std::map<Place, double> weight;
  for (const PieceVerdict& v : verdicts_)
    if (v.verdict == verdict) weight[v.place] += v.damage;
  const auto most =
      std::max_element(weight.begin(), weight.end(),
                       [](const auto& a, const auto& b) { return a.second < b.second; });
  return *best_.at({verdict, most->first});
}

/// The component that most of the evidence is evidence for; unclear where the pieces differ.
void Pieces::name_fault(Diagnosis& d, double damage) const {
  double same = 0;
  double all = 0;
  for (const PieceVerdict& v : verdicts_) {
    if (v.verdict != Verdict::fault) continue;
    all += v.damage;
    if (v.place == d.place) same += v.damage;
  }
  const double change = damage / d.probability_of_damage;
  const double agreement = same / all;
  d.probability_of_damage = damage;
  for (double& p : d.probability_of_part) p *= change;
  d.probability_of_place *= change * (d.place == Place::unclear ? 1 : agreement);
  if (d.place != Place::unclear && agreement < model_.name_from) {
    d.place = Place::unclear;
    d.place_set.clear();
    d.probability_of_place = damage;
    d.reasons.insert(
        d.reasons.begin(),
        "Pieces of the recording are evidence for different components of the bearing.");
  }
  d.headline = wording::fault_headline(d);
}

void Pieces::leave_open(Diagnosis& d, const PieceVerdict& shown, double damage) const {
  const std::size_t faults = count(Verdict::fault);
  d.headline = fmt::format(
      "Cannot tell, because {} of {} pieces of the recording {} for damage (clearest from {:.4g} s "
      "to {:.4g} s: {}, {}) and the others do not.",
      faults, verdicts_.size(), faults == 1 ? "speaks" : "speak", shown.start.value(),
      shown.start.value() + shown.length.value(), words(shown.place), percent(shown.damage));
  d.verdict = Verdict::indeterminate;
  d.place = Place::cannot_tell;
  d.probability_of_damage = damage;
  d.probability_of_part = {};
  d.probability_of_place = 0;
  d.place_set.clear();
  d.advice = {
      "Cut out that stretch and diagnose it alone, and record again at the load and speed that it "
      "was taken at."};
}

LongDiagnosis Pieces::decide() {
  const double whole = damage();
  if (count(Verdict::fault) > 0) {
    const PieceVerdict clearest = shown(Verdict::fault).verdict;
    LongDiagnosis out = take(Verdict::fault);
    if (whole >= model_.fault_from)
      name_fault(out.diagnosis, std::min(whole, clearest.damage));
    else
      leave_open(out.diagnosis, clearest, whole);
    return out;
  }
  const bool mostly_judged = 2 * count(Verdict::no_fault) >= verdicts_.size();
  if (mostly_judged && whole < model_.none_below) return take(Verdict::no_fault);
  if (count(Verdict::indeterminate) == 0) return take(Verdict::no_fault);
  LongDiagnosis out = take(Verdict::indeterminate);
  if (const std::size_t none = count(Verdict::no_fault); none > 0)
    out.diagnosis.reasons.push_back(
        fmt::format("{} of {} pieces of the recording show no fault; the others leave it open.",
                    none, verdicts_.size()));
  return out;
}

/// Mean square of a level by channel, over all pieces.
class LevelOfPieces {
 public:
  void add(const Channel& c, const Result<double>& level) {
    if (!level) return;
    const auto n = static_cast<double>(c.samples.size());
    auto& [sum, samples] = sums_[c.name];
    sum += *level * *level * n;
    samples += n;
  }
  [[nodiscard]] std::optional<double> rms(const std::string& channel) const {
    const auto found = sums_.find(channel);
    if (found == sums_.end()) return std::nullopt;
    return std::sqrt(found->second.first / found->second.second);
  }

 private:
  std::map<std::string, std::pair<double, double>> sums_;
};

/// Velocity and, of a slow machine, displacement by channel.
class VelocityOfPieces {
 public:
  void add(const Capture& piece, FftPlans& plans, Hz from) {
    const VelocityBand band{.low = from};
    for (const Channel& c : piece.channels) {
      velocity_.add(c, velocity_rms(c.samples, piece.rate, c.unit, plans, band));
      if (from < VelocityBand{}.low)
        displacement_.add(c, displacement_rms(c.samples, piece.rate, c.unit, plans, band));
    }
  }
  [[nodiscard]] std::optional<double> velocity(const std::string& channel) const {
    return velocity_.rms(channel);
  }
  [[nodiscard]] std::optional<double> displacement(const std::string& channel) const {
    return displacement_.rms(channel);
  }

 private:
  LevelOfPieces velocity_, displacement_;
};

void take_levels(Diagnosis& d, const RecordingScan& all, const VelocityOfPieces& velocity) {
  for (SignalFigures& f : d.figures) {
    const auto c = std::find_if(all.channels.begin(), all.channels.end(),
                                [&](const ChannelScan& s) { return s.name == f.channel; });
    if (c == all.channels.end()) continue;
    // What is not named here is not known of the whole.
    f = {c->moments.levels(),
         f.channel,
         f.unit,
         f.velocity_rms ? velocity.velocity(f.channel) : std::nullopt,
         f.envelope_rms,
         f.velocity_from,
         f.displacement_rms ? velocity.displacement(f.channel) : std::nullopt};
  }
}

std::string time_words(double seconds) {
  return seconds >= 3600 ? fmt::format("{:.2f} h", seconds / 3600)
         : seconds >= 60 ? fmt::format("{:.1f} min", seconds / 60)
                         : fmt::format("{:.1f} s", seconds);
}

/// How much was demodulated, and what the pieces said.
Finding account(const RecordingScan& all, const Pieces& pieces) {
  double demodulated = 0;
  double low = 0;
  double high = 0;
  for (const PieceVerdict& v : pieces.verdicts()) {
    demodulated += v.length.value();
    if (!v.shaft) continue;
    low = low > 0 ? std::min(low, v.shaft->value()) : v.shaft->value();
    high = std::max(high, v.shaft->value());
  }
  std::string said;
  const auto say = [&](std::size_t n, std::string_view what) {
    if (n > 0) add_part(said, fmt::format("{} {}", n, what));
  };
  say(pieces.count(Verdict::fault), "for damage");
  say(pieces.count(Verdict::no_fault), "for no fault");
  say(pieces.count(Verdict::indeterminate), "open");
  const double whole = all.duration().value();
  Finding f{FindingKind::long_recording, Weight::note, "", "", "", ""};
  f.what =
      fmt::format("{} long: {} of it ({:.3g} %) in {} pieces spread over it were demodulated: {}",
                  time_words(whole), time_words(demodulated), 100 * demodulated / whole,
                  pieces.verdicts().size(), said);
  if (high > low) f.what += fmt::format("; shaft speed {:.1f} to {:.1f} rpm", 60 * low, 60 * high);
  f.consequence =
      "levels and quality are measured over all of it; the lines and bands shown are those of one "
      "piece; damage that shows only between the pieces would be missed";
  f.advice = "cut out a stretch of some minutes to have all of it demodulated";
  return f;
}

Findings quality_of(const Capture& piece, std::optional<Hz> shaft, FftPlans& plans) {
  QualityNeeds needs;
  needs.shaft = shaft;
  Findings findings = piece.findings;
  for (Finding& f : assess_quality(piece, needs, plans)) findings.push_back(std::move(f));
  return findings;
}

/// Reads on to the end.
class LongRun {
 public:
  LongRun(PieceReader& reader, FftPlans& plans, const DiagnosePiece& diagnose_piece,
          const LongOptions& options)
      : reader_{reader}, plans_{plans}, diagnose_piece_{diagnose_piece}, pieces_{options.model} {
    size_ = piece_size(reader, options);
    const std::uint64_t in_piece = size_ * reader.channels();
    count_ = static_cast<std::size_t>(
        std::max<std::uint64_t>(1, (reader.expected() + size_ - 1) / size_));
    keep_piece_ = options.keep_piece;
    velocity_from_ = options.velocity_from;
    wanted_ = static_cast<std::size_t>(
        std::clamp<std::uint64_t>(options.max_demodulated / in_piece, 1, count_));
  }
  Result<LongDiagnosis> run() {
    for (std::size_t i = 0;; ++i) {
      auto piece = reader_.next(size_);
      if (!piece && all_.pieces == 0) return piece.error();
      if (!piece) {
        all_.add_failed(piece.error());
        continue;
      }
      if (!*piece) break;
      if (const auto done = take(std::move(**piece), i); !done) return done.error();
    }
    if (pieces_.empty())
      return Error{Errc::too_short, "recording", "contains no samples", "check the recorder"};
    LongDiagnosis out = pieces_.decide();
    Diagnosis& d = out.diagnosis;
    d.duration = all_.duration();
    take_levels(d, all_, velocity_);
    d.findings = all_.all_findings();
    d.findings.push_back(account(all_, pieces_));
    d.trail.push_back({"pieces", fmt::format("count={} samples={} demodulated={}", all_.pieces,
                                             size_, pieces_.verdicts().size())});
    return out;
  }

 private:
  Result<void> take(Capture piece, std::size_t i) {
    velocity_.add(piece, plans_, velocity_from_);
    const Seconds start = all_.duration();
    const bool whole = piece.size() >= size_ / 2 || pieces_.empty();
    if (!whole || !spread_evenly(i, count_, wanted_)) {
      if (const auto done = all_.add(piece, quality_of(piece, shaft_, plans_)); !done)
        all_.add_failed(done.error());
      return {};
    }
    auto d = diagnose_piece_(piece);
    if (!d && pieces_.empty()) return d.error();
    const auto done = all_.add(piece, d ? d->findings : quality_of(piece, shaft_, plans_));
    if (!done || !d) {
      all_.add_failed(done ? d.error() : done.error());
      return {};
    }
    if (d->speed.found()) shaft_ = d->speed.rate;
    const Seconds length = piece.duration();
    pieces_.add(std::move(*d), keep_piece_ ? std::move(piece) : Capture{}, start, length);
    return {};
  }

  PieceReader& reader_;
  FftPlans& plans_;
  const DiagnosePiece& diagnose_piece_;
  std::size_t size_{}, count_{}, wanted_{};
  bool keep_piece_{false};
  Hz velocity_from_{10};
  std::optional<Hz> shaft_;  ///< of the last piece that was diagnosed
  RecordingScan all_;
  VelocityOfPieces velocity_;
  Pieces pieces_;
};

}  // namespace

std::optional<Hz> lowest_shaft(const DiagnoseOptions& options) noexcept {
  const std::optional<Rpm> speed = options.speed ? options.speed : options.speed_low;
  return speed ? std::optional{shaft_rate(*speed)} : std::nullopt;
}

Result<LongDiagnosis> diagnose_long(PieceReader& reader, FftPlans& plans,
                                    const DiagnosePiece& diagnose_piece,
                                    const LongOptions& options) {
  return LongRun{reader, plans, diagnose_piece, options}.run();
}

Result<LongDiagnosis> diagnose_long_known(PieceReader& reader, FftPlans& plans,
                                          const DiagnoseOptions& options,
                                          const std::optional<KnownPoint>& at,
                                          std::uint64_t max_piece) {
  LongOptions as_long;
  as_long.shaft = lowest_shaft(options);
  as_long.max_piece = max_piece;
  as_long.keep_piece = true;
  as_long.velocity_from = options.velocity_from;
  as_long.model = options.model.judgement;
  auto whole = diagnose_long(
      reader, plans,
      [&](const Capture& piece) { return diagnose_known(piece, plans, options, at); }, as_long);
  if (whole && at) judge_vibration_again(whole->diagnosis, at->machine);
  return whole;
}

double combined_damage(std::span<const double> probabilities) {
  if (probabilities.empty()) return 0.5;
  std::vector<double> p{probabilities.begin(), probabilities.end()};
  std::sort(p.begin(), p.end(), std::greater<>{});
  double best = 0;
  for (std::size_t j = 0; j < p.size(); ++j) {
    constexpr double most = 1 - 1e-9;
    const double x = std::clamp(p[j], 0.0, most);
    best = std::max(best, x / (1 - x) * static_cast<double>(j + 1) / static_cast<double>(p.size()));
  }
  return best / (1 + best);
}

}  // namespace bearingdsp
