#pragma once
/// Made growth of a machine's level, and how often a forecast's range holds what then happens.
#include <array>
#include <cstddef>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "bearingdsp/history/forecast.hpp"
#include "bearingdsp/simulate/random.hpp"

namespace test {

/// Ways in which damage grows. The last two took no part in choosing the forecast's figures.
enum class Law {
  steady,
  exponential,
  accelerating,
  wandering,
  standstill,
  pieces,
  amplitude,
  turning,
  falling_back,
  slowing,
  doubling,
};
/// "constant rate", "turns four times as fast" ...
[[nodiscard]] std::string_view token(Law law) noexcept;
/// All in which something grows.
inline constexpr std::array growing_laws{
    Law::exponential, Law::accelerating, Law::wandering,    Law::standstill, Law::pieces,
    Law::amplitude,   Law::turning,      Law::falling_back, Law::slowing,    Law::doubling};

/// Level above the baseline in dB at a day, growth beginning on day 0.
class Growth {
 public:
  Growth(Law law, bearingdsp::Random& random);
  [[nodiscard]] double at(double day) const;

 private:
  static constexpr double period_ = 45;
  Law law_;
  double rate_{0}, life_{0}, stop_{0}, turn_{0};
  std::array<std::pair<double, double>, 100> steps_{};
  std::array<double, 200> walk_{};
};

struct Series {
  std::vector<double> day, db;
};
/// Visits about every fortnight, growth from day `begin` on; scatter of visits, part of it slow
/// (temperature, load), and now and then a visit that is far off.
[[nodiscard]] Series visits(const Growth& growth, double begin, std::size_t n, double sigma_db,
                            bearingdsp::Random& random);

/// What became of forecasts.
struct Coverage {
  std::size_t asked{0}, given{0}, inside{0}, too_early{0}, too_late{0}, open{0}, says_nothing{0};
  std::vector<double> likely_error;    ///< likely over actual, of those that came
  std::vector<double> earliest_error;  ///< earliest over actual, of those that came
  std::vector<double> earliest_gaps;   ///< without an end: earliest in readings
  std::vector<double> latest_gaps;     ///< with one: latest in readings
  /// `actual`: days until the limit was reached, none for never; `gap`: days between readings.
  void count(const bearingdsp::Forecast& f, std::optional<double> actual, double gap);
  /// Of those given.
  [[nodiscard]] double share_inside() const {
    return given == 0 ? 0 : static_cast<double>(inside) / static_cast<double>(given);
  }
};

/// A forecast asked after every reading until the limit is reached. `stream`: of the random engine,
/// so that other draws are made than those looked at before.
[[nodiscard]] Coverage simulated_coverage(Law law, double sigma_db, std::size_t series,
                                          std::uint64_t stream);

}  // namespace test
