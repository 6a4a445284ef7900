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

#include "paths.hpp"

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

/// The folder of the open datasets (env BEARINGDSP_DATASETS, else ../shared/datasets beside the
/// checkout), if it holds this file; says so when it does not.
inline std::optional<std::string> dataset_file(const std::string& relative) {
  const char* env = std::getenv("BEARINGDSP_DATASETS");
  const std::filesystem::path root =
      env != nullptr ? std::filesystem::path{env}
                     : std::filesystem::path{TESTS_SOURCE_DIR} / "../../shared/datasets";
  for (const auto& base : {root, root / "unpacked"}) {
    std::error_code ignored;
    if (std::filesystem::exists(base / relative, ignored)) return (base / relative).string();
  }
  std::printf("skipped: no dataset file %s\n", relative.c_str());
  return std::nullopt;
}

}  // namespace test
