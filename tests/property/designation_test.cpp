#include "bearingdsp/bearing/designation.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "bearingdsp/bearing/facts.hpp"
#include "bearingdsp/simulate/random.hpp"

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
      const auto found = read_designation(torn).value();
      CHECK(std::any_of(found.begin(), found.end(),
                        [&](const Designation& d) { return d.text() == text; }));
    }
  }
}
