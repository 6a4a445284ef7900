#include "bearingdsp/machine/model_file.hpp"

#include <fmt/format.h>

#include <set>
#include <utility>

#include "bearing/table.hpp"
#include "bearingdsp/core/model_table.hpp"
#include "bearingdsp/machine/text_file.hpp"

namespace bearingdsp {

Result<ModelParameters> parse_model(std::string_view text, std::string_view where) {
  const auto table = table::read(
      text, where, {"name", "value", "unit", "least", "most", "origin", "source", "meaning"});
  if (!table) return table.error();
  for (const std::string_view needed : {"name", "value"})
    if (!table->column(needed))
      return Error{Errc::corrupt_file, std::string{where},
                   fmt::format("has no column '{}'", needed),
                   "write name,value in the first line, as in model.csv"};
  ModelParameters model;
  std::set<std::string, std::less<>> seen;
  for (const table::Row& row : table->rows) {
    const std::string name{table->field(row, "name")};
    if (!seen.insert(name).second)
      return table->error(row, "name", fmt::format("'{}' is given twice", name), "leave one out");
    const auto value = table->number(row, "value");
    if (!value) return value.error();
    if (auto set = set_model_value(model, name, *value); !set) {
      Error e = set.error();
      e.where = fmt::format("{}:{}: {}", where, row.line, e.where);
      return e;
    }
  }
  if (auto good = check_model(model); !good) {
    Error e = good.error();
    e.where = fmt::format("{}: {}", where, e.where);
    return e;
  }
  return model;
}

Result<ModelParameters> read_model(const std::string& path) {
  const auto text = read_text_file(path);
  if (!text) return text.error();
  return parse_model(*text, path);
}

}  // namespace bearingdsp
