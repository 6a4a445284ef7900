#include "bearing/size_table.hpp"

#include <unordered_map>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp::size_table {

const std::vector<Row>& rows() {
  static const auto all =
      table::built_in(data::boundary_dimensions, "boundary dimensions", [](const table::Cells& r) {
        return Row{r.text("series"),
                   r.text("code"),
                   {r.number("bore"), r.number("outside_diameter"), r.number("width")},
                   r.number_if("chamfer"),
                   r.text("seen")};
      });
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
