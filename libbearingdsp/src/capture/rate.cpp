#include "rate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace bearingdsp::capture_detail {
namespace {

/// Rates that differ by less are the same: a clock's error, or a rounded figure.
constexpr double rates_agree = 0.01;
/// Stamps this coarse fix the rate less well than a header that agrees with them.
constexpr double coarse_rate = 1e-3;

bool same(double a, double b, double slack = 0) {
  return std::abs(a - b) <= std::max(rates_agree, 3 * slack) * std::max(a, b);
}

struct Said {
  std::string who;
  double rate{};
  double slack{};  ///< relative, by the rounding of stamps
};

/// What the file says, most trusted first.
std::vector<Said> said_by(const Finish& finish) {
  std::vector<Said> all;
  if (finish.axis && finish.axis->rate > 0)
    all.push_back({"the time column", finish.axis->rate, finish.axis->uncertainty});
  if (finish.rate) all.push_back({"the header", *finish.rate, 0});
  if (finish.second_rate) all.push_back({"another line of the header", *finish.second_rate, 0});
  return all;
}

Finding disagreement(const Said& used, const Said& other, Weight weight) {
  return {FindingKind::rate_disagrees,
          weight,
          "",
          fmt::format("{} states {:.9g} samples/s and {} {:.9g}", used.who, used.rate, other.who,
                      other.rate),
          weight == Weight::blocking
              ? "all frequencies scale with the rate: neither a fault nor a healthy bearing can be "
                "confirmed"
              : fmt::format("{:.9g} Hz is used, because two of them agree", used.rate),
          "give the correct rate (--rate)"};
}

void compare(const std::vector<Said>& said, double used, Findings& findings) {
  for (std::size_t i = 1; i < said.size(); ++i) {
    if (same(said[0].rate, said[i].rate, said[0].slack)) continue;
    const auto agree = std::count_if(said.begin(), said.end(),
                                     [&](const Said& s) { return same(s.rate, used, s.slack); });
    findings.push_back(
        disagreement(said[0], said[i], agree > 1 ? Weight::caution : Weight::blocking));
    return;
  }
}

}  // namespace

bool possible_rate(double rate) noexcept {
  constexpr double max_rate = 1e9;
  return rate > 0 && rate <= max_rate;
}

Result<void> settle_rate(Capture& capture, const Finish& finish, const ReadOptions& options) {
  const std::vector<Said> said = said_by(finish);
  if (options.rate) {
    const double given = options.rate->value();
    if (!said.empty() && std::abs(given - said[0].rate) > rates_agree * given) {
      capture.findings.push_back(
          {FindingKind::header_mismatch, Weight::caution, "",
           fmt::format("the given rate, {:.9g} Hz, is used; the file states {:.9g} Hz", given,
                       said[0].rate),
           "all frequencies scale with the rate: the wrong one moves every defect line",
           "check which rate is correct"});
    }
    capture.rate = *options.rate;
    return {};
  }
  if (said.empty()) {
    return Error{Errc::missing_metadata, capture.source, "does not state its sample rate",
                 finish.rate_advice};
  }
  double rate = said[0].rate;
  if (!possible_rate(rate)) {
    return Error{Errc::corrupt_file, capture.source,
                 fmt::format("states a sample rate of {:.9g} Hz", rate), "give the true rate"};
  }
  if (said.size() > 1 && said[0].slack > coarse_rate && same(rate, said[1].rate, said[0].slack)) {
    rate = said[1].rate;
  }
  compare(said, rate, capture.findings);
  capture.rate = Hz{rate};
  return {};
}

void settle_axis(Capture& capture, const Finish& finish) {
  if (!finish.axis || !(finish.axis->rate > 0)) return;
  if (same(capture.rate.value(), finish.axis->rate)) put_on_even_axis(capture, finish.axis->even);
}

}  // namespace bearingdsp::capture_detail
