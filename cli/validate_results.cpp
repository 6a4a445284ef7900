#include "validate_results.hpp"

#include <algorithm>
#include <initializer_list>
#include <utility>

#include "bearingdsp/machine/text_file.hpp"
#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/validation.hpp"

namespace cli {
using namespace bearingdsp;

Result<std::vector<Outcome>> results_in(const std::string& path) {
  // A row takes some 200 bytes: room for 300 000 recordings.
  constexpr std::size_t max_results = std::size_t{64} << 20U;
  const auto text = read_text_file(path, max_results);
  if (!text) return text.error();
  return parse_results(*text, path);
}

Result<ResultFiles> ResultFiles::create(const ResultNames& names, const OutputRules& rules,
                                        const std::vector<std::string>& read) {
  ResultFiles made;
  OutputFiles files{rules, read};
  // Opened first: an output that is an input is refused for that, whatever its ending.
  const auto open = [&](const std::string& name, std::optional<OutputFile>& into,
                        std::initializer_list<const char*> endings,
                        const char* advice) -> Result<void> {
    if (name.empty()) return {};
    auto file = files.open(name);
    if (!file) return file.error();
    const std::string lower = CLI::detail::to_lower(name);
    if (std::none_of(endings.begin(), endings.end(),
                     [&](const char* ending) { return lower.ends_with(ending); }))
      return Error{Errc::bad_argument, name, "does not end in a known format", advice};
    into = std::move(*file);
    return {};
  };
  if (auto done = open(names.out, made.table_, {".csv", ".json"},
                       "write to a name that ends in .csv or .json");
      !done)
    return done.error();
  made.as_json_ = CLI::detail::to_lower(names.out).ends_with(".json");
  if (auto done = open(names.features, made.features_, {".csv", ".h5", ".hdf5"},
                       "write to a name that ends in .csv or .h5");
      !done)
    return done.error();
  if (made.features_ && !CLI::detail::to_lower(names.features).ends_with(".csv")) {
    auto table = Hdf5Table::start({"bearingdsp.features/1", "features", "validate --features",
                                   ".csv", hdf5_columns(feature_columns())});
    if (!table) return table.error();
    made.feature_table_ = std::move(*table);
  }
  if (!names.page.empty()) {
    auto shown = open_page(files, names.page);
    if (!shown) return shown.error();
    made.page_ = std::move(*shown);
  }
  return made;
}

Result<void> ResultFiles::write(const std::vector<Outcome>& outcomes,
                                const std::vector<RecordFeatures>& features, const Report& report) {
  const auto keep = [](std::optional<OutputFile>& file, const std::string& text) -> Result<void> {
    if (auto done = file->write(text); !done) return done;
    return file->commit();
  };
  if (table_)
    if (auto done =
            keep(table_, as_json_ ? validation_json(outcomes) + "\n" : results_csv(outcomes));
        !done)
      return done;
  if (feature_table_)
    for (const RecordFeatures& record : features)
      for (int part = 0; part < static_cast<int>(part_count); ++part)
        feature_table_->add(feature_cells(record, static_cast<Part>(part)));
  if (features_) {
    const auto text = feature_table_ ? feature_table_->file() : features_csv(features);
    if (!text) return text.error();
    if (auto done = keep(features_, *text); !done) return done;
  }
  if (page_) return page_->write(to_html(report));
  return {};
}

}  // namespace cli
