#pragma once
/// Isolated shocks in a recording: knocks on the frame, a dropped tool, a cable pulled. They are
/// few, they keep no rate, and a handful can outweigh a whole record's bearing impacts.
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// One shock: samples first <= i < last.
struct Shock {
  std::size_t first{0};
  std::size_t last{0};
  double ratio{0};  ///< its largest short-time energy over the record's median one
};

struct ShockOptions {
  Seconds window{0.002};  ///< length over which energy is summed, 8 samples at least
  /// What repeats fills this share of the windows or more. Its level is the usual one of bursts.
  double usual_share{0.1};
  /// A shock has this many times the energy of the usual bursts (9 dB), where these are strong ...
  double over_bursts{8};
  /// ... and this many times the median energy (17 dB). Weaker ones are left: five a second in 4 s
  /// make lines of a depth of 0.15 in the envelope, which are no damage yet.
  double over_level{50};
  /// The same where the bursts are a series (23 dB): impacts of damaged elements differ by more
  /// than ten among themselves, and the largest of them keep no rate.
  double over_level_of_series{200};
  /// More than this many a second is not isolated.
  double max_per_second{10};
  /// Shocks are a series and not isolated if instants at random would keep a rate as well as they
  /// do with less than this probability.
  double min_chance{0.02};
};

/// Isolated shocks and how to take them out of the way.
struct Shocks {
  std::vector<Shock> all;  ///< in order, not overlapping
  double usual{0};         ///< rms of the usual bursts, above the low frequencies
  double share{0};         ///< of the recording that the shocks take, 0 .. 1
};

/// Isolated shocks: short-time energy above some 500 Hz far over what repeats in the recording.
/// Where the bursts of twice the usual energy are many or keep a rate, as a bearing's impacts do, a
/// shock has to be far above these, too.
/// Shape:  x [n]; nothing is found in a recording shorter than 20 windows Errors: bad_argument if
/// rate or an option is not positive
[[nodiscard]] Result<Shocks> find_shocks(std::span<const double> x, Hz rate,
                                         const ShockOptions& options = {});

/// The recording with its shocks brought down to the level of the usual bursts. Only what lies
/// above the low frequencies is changed: the shaft's lines run on.
/// Shape: x [n] -> [n].
/// Errors: std::invalid_argument if a shock lies outside x
[[nodiscard]] std::vector<double> without_shocks(std::span<const double> x, Hz rate,
                                                 const Shocks& shocks,
                                                 const ShockOptions& options = {});

}  // namespace bearingdsp
