#include "bearing/size_table.hpp"

#include <unordered_map>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp::size_table {

const std::vector<Row>& rows() {
  // The data file is part of the build and a test reads it, so value() does not throw here.
  static const std::vector<Row> all = [] {
    const auto t =
        table::read(data::boundary_dimensions, "boundary dimensions",
                    {"series", "code", "bore", "outside_diameter", "width", "chamfer", "seen"})
            .value();
    std::vector<Row> list;
    for (const auto& r : t.rows) {
      Row row{std::string{t.field(r, "series")},
              std::string{t.field(r, "code")},
              {t.number(r, "bore").value(), t.number(r, "outside_diameter").value(),
               t.number(r, "width").value()},
              std::nullopt,
              std::string{t.field(r, "seen")}};
      if (!t.field(r, "chamfer").empty()) row.chamfer = t.number(r, "chamfer").value();
      list.push_back(std::move(row));
    }
    return list;
  }();
  return all;
}

const Row* find(std::string_view series, std::string_view code) {
  static const auto index = [] {
    std::unordered_map<std::string, const Row*> by_name;
    for (const Row& r : rows()) by_name.emplace(r.series + '.' + r.code, &r);
    return by_name;
  }();
  std::string name{series};
  name += '.';
  name += code;
  const auto it = index.find(name);
  return it == index.end() ? nullptr : it->second;
}

const Row* find_diameter(std::string_view series, std::string_view code) {
  if (series.size() != 2) return nullptr;
  for (const Row& r : rows())
    if (r.iso15() && r.series[1] == series[1] && r.code == code) return &r;
  return nullptr;
}

}  // namespace bearingdsp::size_table
