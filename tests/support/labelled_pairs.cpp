#include "support/labelled_pairs.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <iterator>
#include <map>

namespace test {
using namespace bearingdsp;

namespace {

double leading_number(const std::string& text) {
  double value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

/// Load and note of each file, by name.
Result<std::map<std::string, std::pair<double, std::string>>> loads_of(const std::string& path) {
  std::ifstream in{path, std::ios::binary};
  const std::string text{std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
  const auto rows = parse_csv(text, path);
  if (!rows) return rows.error();
  const auto column = [&](const char* title) {
    const auto& head = rows->front();
    return static_cast<std::size_t>(std::find(head.begin(), head.end(), title) - head.begin());
  };
  const std::size_t file = column("file");
  const std::size_t load = column("load");
  const std::size_t note = column("note");
  std::map<std::string, std::pair<double, std::string>> loads;
  for (const auto& row : *rows)
    if (row.size() > std::max({file, load, note}))
      loads[row[file]] = {leading_number(row[load]), row[note]};
  return loads;
}

void in_percent(std::vector<Labelled>& records) {
  std::map<std::string, double> largest;
  for (const Labelled& r : records)
    largest[r.record.dataset] = std::max(largest[r.record.dataset], r.load_percent);
  for (Labelled& r : records)
    if (const double full = largest[r.record.dataset]; full > 0) r.load_percent *= 100 / full;
}

}  // namespace

Result<std::vector<Labelled>> read_labelled(const std::string& path) {
  const auto manifest = read_manifest(path);
  if (!manifest) return manifest.error();
  const auto loads = loads_of(path);
  if (!loads) return loads.error();
  std::vector<Labelled> out;
  for (const LabelledRecord& r : manifest->records) {
    auto capture = read_record(r);
    if (!capture || !r.orders) continue;
    const auto& [load, note] = loads->at(r.file);
    out.push_back({r, std::move(*capture), load, note, r.file});
  }
  in_percent(out);
  return out;
}

bool same_speed(const Labelled& a, const Labelled& b) {
  return std::abs(*a.record.speed / *b.record.speed - 1) < 0.03;
}

bool same_load(const Labelled& a, const Labelled& b) {
  return std::abs(a.load_percent - b.load_percent) < 1;
}

std::pair<Labelled, Labelled> halves_of(const Labelled& whole) {
  std::pair<Labelled, Labelled> halves{whole, whole};
  const auto half = static_cast<std::ptrdiff_t>(whole.capture.size() / 2);
  for (Channel& c : halves.first.capture.channels) c.samples.resize(static_cast<std::size_t>(half));
  for (Channel& c : halves.second.capture.channels)
    c.samples.erase(c.samples.begin(), c.samples.begin() + half);
  return halves;
}

Labelled slowed(const Labelled& whole, Hz rate) {
  Labelled slow = whole;
  slow.capture = at_rate(whole.capture, rate);
  slow.name += " slowed";
  return slow;
}

Result<BeforeAfter> compare(const Labelled& before, const Labelled& after, FftPlans& plans,
                            std::size_t pieces) {
  const auto side = [&](const Labelled& l) {
    CapturedSide s;
    const std::size_t length = l.capture.size() / pieces;
    for (std::size_t i = 0; i < pieces; ++i) {
      s.captures.push_back(l.capture);
      for (Channel& c : s.captures.back().channels) {
        const auto from = c.samples.begin() + static_cast<std::ptrdiff_t>(i * length);
        c.samples = std::vector<double>(from, from + static_cast<std::ptrdiff_t>(length));
      }
    }
    s.diagnosis.speed = l.record.speed;
    s.facts.load_percent = l.load_percent;
    return s;
  };
  return compare_captures(side(before), side(after), {*before.record.orders}, plans);
}

}  // namespace test
