#pragma once
/// A file that appears whole or not at all.
#include <string>
#include <string_view>

#include "bearingdsp/core/result.hpp"

namespace cli {

/// Written under a temporary name beside the target and renamed at the end. Making one before the
/// work starts finds out early that a file cannot be written; dropping it leaves nothing behind.
class OutputFile {
 public:
  /// Errors: bad_argument if the file exists and overwrite is false; io.
  [[nodiscard]] static bearingdsp::Result<OutputFile> create(const std::string& path,
                                                             bool overwrite);
  OutputFile(OutputFile&& other) noexcept;
  OutputFile& operator=(OutputFile&& other) noexcept;
  ~OutputFile();
  /// Where to write until commit(), for writers that take a path.
  [[nodiscard]] const std::string& temporary() const { return temporary_; }
  [[nodiscard]] bearingdsp::Result<void> write(std::string_view text) const;
  /// Moves what was written to its name.
  [[nodiscard]] bearingdsp::Result<void> commit();

 private:
  OutputFile() = default;
  std::string path_, temporary_;
};

}  // namespace cli
