#include "validate_results.hpp"

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

Result<ResultFiles> ResultFiles::create(const std::string& out, const std::string& page,
                                        const OutputRules& rules,
                                        const std::vector<std::string>& read) {
  ResultFiles made;
  OutputFiles files{rules, read};
  if (!out.empty()) {
    // Opened first: an output that is an input is refused for that, whatever its ending.
    auto table = files.open(out);
    if (!table) return table.error();
    const std::string name = CLI::detail::to_lower(out);
    made.as_json_ = name.ends_with(".json");
    if (!made.as_json_ && !name.ends_with(".csv"))
      return Error{Errc::bad_argument, out, "does not end in a known format",
                   "write to a name that ends in .csv or .json"};
    made.table_ = std::move(*table);
  }
  if (!page.empty()) {
    auto shown = open_page(files, page);
    if (!shown) return shown.error();
    made.page_ = std::move(*shown);
  }
  return made;
}

Result<void> ResultFiles::write(const std::vector<Outcome>& outcomes, const Report& report) {
  if (table_) {
    const std::string text = as_json_ ? validation_json(outcomes) + "\n" : results_csv(outcomes);
    if (auto done = table_->write(text); !done) return done;
    if (auto done = table_->commit(); !done) return done;
  }
  if (page_) return page_->write(to_html(report));
  return {};
}

}  // namespace cli
