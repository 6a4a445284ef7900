#include "bearingdsp/bearing/designation.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstddef>
#include <fstream>
#include <string>
#include <vector>

#include "bearingdsp/bearing/facts.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "paths.hpp"

using namespace bearingdsp;

namespace {

std::size_t pick(Random& random, std::size_t n) {
  return std::min(n - 1, static_cast<std::size_t>(random.uniform() * static_cast<double>(n)));
}

/// Designations of the common kinds with usual bores and up to three suffixes that may go together.
std::string made(Random& random) {
  static const std::vector<std::string> series = {
      "60",  "62",   "63", "64", "160", "618", "622", "72",  "73",  "70",  "NU2", "NU3", "NU10",
      "NJ2", "NUP3", "N2", "12", "22",  "32",  "33",  "222", "230", "302", "322", "511", "UC2"};
  static const std::vector<std::string> codes = {"00", "01", "03", "04", "05", "09",
                                                 "10", "13", "20", "22", "24", "30"};
  static const std::vector<std::string> closures = {"", "-Z", "-2Z", "-2RS1", "-2RZ", "-LLU"};
  static const std::vector<std::string> cages = {"", "-M", "-TN9", "-J"};
  static const std::vector<std::string> classes = {"", "/C2", "/C3", "/C4", "/P6", "/P63"};
  return series[pick(random, series.size())] + codes[pick(random, codes.size())] +
         closures[pick(random, closures.size())] + cages[pick(random, cages.size())] +
         classes[pick(random, classes.size())];
}

/// Every series of the table, as it is written before the bore code; not inch sizes, whose codes
/// are their own, and not the GOST numbers, which are read as those of the plan where both fit.
std::vector<std::string> all_series() {
  std::ifstream in{TESTS_SOURCE_DIR "/../libbearingdsp/data/designation_series.csv"};
  std::vector<std::string> series;
  for (std::string line; std::getline(in, line);) {
    const auto letters = line.find(',');
    if (line.starts_with('#') || line.starts_with("letters") || letters == std::string::npos ||
        line.find(",inch,") != std::string::npos || line.find("GOST") != std::string::npos)
      continue;
    const auto figures = line.find(',', letters + 1);
    series.push_back(line.substr(0, letters) + line.substr(letters + 1, figures - letters - 1));
  }
  return series;
}

bool among(const std::vector<Designation>& found, const std::string& text) {
  return std::any_of(found.begin(), found.end(),
                     [&](const Designation& d) { return d.text() == text; });
}

}  // namespace

TEST_CASE("property: any bytes are read or refused, and what is read reads again the same") {
  Random random{71};
  const std::string likely = "0123456789012345678NUJPQUC?RSZ-/ .K";
  for (int i = 0; i < 20000; ++i) {
    std::string text(pick(random, 14), ' ');
    for (char& c : text)
      c = i % 2 == 0 ? static_cast<char>(pick(random, 256)) : likely[pick(random, likely.size())];
    const auto readings = read_designation(text);
    if (!readings) {
      CHECK_FALSE(readings.error().advice.empty());
      continue;
    }
    REQUIRE_FALSE(readings->empty());
    const Designation& d = readings->front();
    CAPTURE(text);
    CHECK(d.bore_mm > 0);
    CHECK(facts_of(d).size.bore == d.bore_mm);
    if (d.text().find('?') == std::string::npos)
      CHECK(read_designation(d.text()).value().front().text() == d.text());
  }
}

TEST_CASE("property: a designation reads as itself, with any separators") {
  Random random{72};
  for (int i = 0; i < 3000; ++i) {
    const std::string text = made(random);
    CAPTURE(text);
    const auto d = read_designation(text).value();
    REQUIRE(d.size() == 1);
    CHECK(d.front().text() == text);
    std::string spaced = text;
    for (char& c : spaced)
      if (c == '-' || c == '/') c = ' ';
    CHECK(read_designation(spaced).value().front().text() == text);
  }
}

TEST_CASE("property: the true one is among the candidates for any one unreadable character") {
  Random random{73};
  for (int i = 0; i < 400; ++i) {
    const std::string text = made(random);
    for (std::size_t k = 0; k < text.size(); ++k) {
      std::string torn = text;
      torn[k] = '?';
      CAPTURE(torn);
      CHECK(among(read_designation(torn).value(), text));
    }
  }
}

TEST_CASE("property: of every series and bore of the tables, whichever character is unreadable") {
  const auto series = all_series();
  REQUIRE(series.size() > 60);
  std::size_t tried = 0;
  for (const std::string& s : series)
    for (int code = 0; code <= 24; ++code) {
      const std::string number = s + (code < 10 ? "0" : "") + std::to_string(code);
      const auto whole = read_designation(number).value();
      REQUIRE(whole.size() == 1);
      // 115 mm is no bore of the ISO plan: offered only where nothing else fits.
      if (!whole.front().usual_bore) continue;
      const std::string text = whole.front().text();
      for (std::size_t k = 0; k < number.size(); ++k) {
        std::string torn = number;
        torn[k] = '?';
        CAPTURE(torn);
        CHECK(among(read_designation(torn).value(), text));
        ++tried;
      }
    }
  CHECK(tried > 7000);
}
