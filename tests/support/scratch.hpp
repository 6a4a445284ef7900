#pragma once
/// A folder of its own for each test, gone when the test ends; and where the open datasets are.
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include <unistd.h>

#include "skip.hpp"

namespace test {

class Scratch {
 public:
  Scratch() {
    std::string pattern = (std::filesystem::temp_directory_path() / "bearingdsp-XXXXXX").string();
    const char* made = ::mkdtemp(pattern.data());
    folder_ = made == nullptr ? std::string{"."} : std::string{made};
    owned_ = made != nullptr;
  }
  ~Scratch() {
    std::error_code ignored;
    if (owned_) std::filesystem::remove_all(folder_, ignored);
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  [[nodiscard]] std::string path(std::string_view name) const { return (folder_ / name).string(); }
  /// Writes the text as it stands and gives its path.
  [[nodiscard]] std::string file(std::string_view name, std::string_view text) const {
    std::string p = path(name);
    std::ofstream out{p, std::ios::binary};
    out.write(text.data(), static_cast<std::streamsize>(text.size()));
    return p;
  }

 private:
  std::filesystem::path folder_;
  bool owned_{false};
};

/// The folder of the open datasets, unpacked (BEARINGDSP_DATASETS). Where there is none the test is
/// skipped: return from it at once. A folder without one of its files is a failure, found by what
/// reads the file.
inline std::optional<std::filesystem::path> datasets() {
  const char* folder = std::getenv("BEARINGDSP_DATASETS");
  if (folder != nullptr && *folder != '\0') return std::filesystem::path{folder};
  skip("the open datasets are not here (BEARINGDSP_DATASETS)");
  return std::nullopt;
}

}  // namespace test
