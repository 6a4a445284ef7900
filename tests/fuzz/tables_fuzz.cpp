// Manifests, catalogues and tables of results are refused in one line, or hold what their comments
// promise.
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dataset/outcome.hpp"
#include "invariants.hpp"

namespace {

/// A folder with a list of bearings, into which each manifest is written.
class Folder {
 public:
  Folder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "bearingdsp-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) std::abort();
    path_ = pattern;
    std::ofstream{path_ / "bearings.csv"}
        << "name,rolling_elements,element_diameter,pitch_diameter,contact_angle_deg,source\n"
           "6205,9,7.94,39.04,0,made up\n";
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  [[nodiscard]] std::string manifest(std::string_view text) const {
    const auto path = path_ / "manifest.csv";
    std::ofstream{path, std::ios::binary} << text;
    return path.string();
  }

 private:
  std::filesystem::path path_;
};

void manifest(std::string_view text) {
  static const Folder folder;
  const auto read = bearingdsp::read_manifest(folder.manifest(text));
  if (!read) return fuzz::require_error_line(read.error());
  for (const auto& r : read->records) {
    fuzz::require(bearingdsp::from_token<bearingdsp::Place>(r.label).has_value());
    if (r.rate) fuzz::require(std::isfinite(r.rate->value()));
    if (r.speed) fuzz::require(std::isfinite(r.speed->value()));
    fuzz::require(r.pulses_per_revolution > 0);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace bearingdsp;
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  const auto cells = parse_csv(text, "a.csv");
  if (!cells) fuzz::require_error_line(cells.error());
  if (cells) {
    // Written as CSV and read again, the cells are the same.
    std::string again;
    for (const auto& row : *cells) {
      for (const std::string& cell : row) {
        again += csv_cell(cell);
        again += ',';
      }
      again += '\n';
    }
    const auto twice = parse_csv(again, "b.csv");
    fuzz::require(twice.has_value());
  }
  const auto catalogue = parse_catalogue(text, "a.csv");
  if (!catalogue) fuzz::require_error_line(catalogue.error());
  const auto results = parse_results(text, "a.csv");
  if (!results) fuzz::require_error_line(results.error());
  const SignalChoice choice = parse_signal(text.substr(0, 200));
  (void)choice;
  (void)parse_unit(text.substr(0, 200));
  manifest(text);
  return 0;
}
