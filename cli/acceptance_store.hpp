#pragma once
/// Where an acceptance is kept, if anywhere.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/comparison/acceptance.hpp"
#include "bearingdsp/history/store.hpp"

namespace cli {

class AcceptanceStore {
 public:
  /// Opens the history for writing; an empty path keeps nothing.
  /// Errors: those of History
  [[nodiscard]] static bearingdsp::Result<AcceptanceStore> open(const std::string& path,
                                                                const bearingdsp::PointKey& at);
  /// Earlier runs at no load of the point.
  [[nodiscard]] bearingdsp::Side reference() const;
  /// Adds the recordings and the event. `time` as given by the user; empty: from the recordings.
  /// Errors: those of History, of reading the files again for their hash, and of the time
  [[nodiscard]] bearingdsp::Result<void> keep(
      const bearingdsp::AcceptanceRun& run,
      const std::vector<bearingdsp::NoLoadRecording>& measured,
      const std::vector<std::string>& files, const std::string& time);

 private:
  bearingdsp::PointHistory point_;
  std::optional<bearingdsp::History> history_;
};

}  // namespace cli
