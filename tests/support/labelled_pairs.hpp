#pragma once
/// Labelled recordings of test rigs with their load, to be compared in pairs.
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/dataset/manifest.hpp"

namespace test {

struct Labelled {
  bearingdsp::LabelledRecord record;
  bearingdsp::Capture capture;
  double load_percent{0};  ///< of the largest load in its set
  std::string remark;      ///< the manifest's note
  std::string name;
  [[nodiscard]] bool damaged() const { return record.label != "none"; }
  /// Healthy bearing, but the set says that something else is wrong.
  [[nodiscard]] bool shaft_fault() const {
    return !damaged() && remark.find("other:") != std::string::npos;
  }
  [[nodiscard]] bool healthy() const { return !damaged() && !shaft_fault(); }
};

/// Every labelled recording that can be read.
/// Errors: those of read_manifest()
[[nodiscard]] bearingdsp::Result<std::vector<Labelled>> read_labelled(const std::string& manifest);
/// As the manifest says: nominal speeds within 3 %.
[[nodiscard]] bool same_speed(const Labelled& a, const Labelled& b);
[[nodiscard]] bool same_load(const Labelled& a, const Labelled& b);
/// First and second half in time.
[[nodiscard]] std::pair<Labelled, Labelled> halves_of(const Labelled& whole);
/// The same, brought to a lower rate.
[[nodiscard]] Labelled slowed(const Labelled& whole, bearingdsp::Hz rate);
/// `pieces`: each recording cut into so many, as if recorded so often without touching anything.
[[nodiscard]] bearingdsp::Result<bearingdsp::BeforeAfter> compare(const Labelled& before,
                                                                  const Labelled& after,
                                                                  bearingdsp::FftPlans& plans,
                                                                  std::size_t pieces = 1);

}  // namespace test
