#include <fmt/format.h>

#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/workshop.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

std::string joined_by_comma(const std::vector<std::string>& parts, std::size_t most) {
  std::string text;
  for (std::size_t i = 0; i < parts.size() && i < most; ++i) add_part(text, parts[i]);
  return parts.size() > most ? fmt::format("{} and {} more", text, parts.size() - most) : text;
}

ReportSection storage_section() {
  ReportSection s;
  s.id = "storage";
  s.title = "Storage: dry (below 60 % humidity), 15 to 25 °C, no vibration, in the packing";
  for (const ShelfLife& l : shelf_lives())
    s.figures.push_back({l.part, fmt::format("look or renew after {:g} year{}: {} [{}]", l.years,
                                             l.years == 1 ? "" : "s", l.how, l.source)});
  return s;
}

}  // namespace

Report spares_report(const SpareList& list, std::string_view source) {
  Report r;
  r.title = "Spares";
  r.source = source;
  int pieces = 0;
  std::size_t bearings = 0;
  ReportSection s;
  s.id = "spares";
  s.title = "To keep";
  ReportTable t;
  t.columns = {
      {"Item", "", false}, {"Keep", "pieces", true}, {"Places", "", true}, {"Used at", "", false}};
  for (const Spare& spare : list.spares) {
    pieces += spare.keep;
    bearings += spare.seal ? 0U : 1U;
    t.rows.push_back({spare.item, std::to_string(spare.keep), std::to_string(spare.used_at.size()),
                      joined_by_comma(spare.used_at, 4)});
    if (!spare.equals.empty())
      s.items.push_back(
          fmt::format("{} is also written {}", spare.item, joined_by_comma(spare.equals, 8)));
    for (const std::string& n : spare.notes) s.items.push_back(spare.item + ": " + n);
  }
  r.headline = fmt::format("{} and {}, {} pieces.", counted(bearings, "bearing"),
                           counted(list.spares.size() - bearings, "seal"), pieces);
  if (!list.spares.empty()) s.table = std::move(t);
  for (const std::string& n : list.not_known)
    s.items.push_back(n + ": the bearing is not known: read its designation");
  s.notes = list.assumptions;
  s.notes.emplace_back(
      "Other spellings mean the same closure; cage, grease and clearance have to "
      "agree as well: compare the whole number before you order.");
  r.sections.push_back(std::move(s));
  r.sections.push_back(storage_section());
  return r;
}

std::string spares_json(const SpareList& list, std::string_view source,
                        const JsonOptions& options) {
  Json j = headed("bearingdsp.spares/1");
  j["source"] = source;
  j["spares"] = Json::array();
  for (const Spare& s : list.spares)
    j["spares"].push_back({{"item", s.item},
                           {"kind", s.seal ? "seal" : "bearing"},
                           {"keep", s.keep},
                           {"used_at", s.used_at},
                           {"also_written", s.equals},
                           {"notes", s.notes}});
  j["not_known"] = list.not_known;
  j["assumptions"] = list.assumptions;
  j["storage"] = Json::array();
  for (const ShelfLife& l : shelf_lives())
    j["storage"].push_back(
        {{"part", l.part}, {"years", l.years}, {"how", l.how}, {"source", l.source}});
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
