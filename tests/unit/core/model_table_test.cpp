#include "bearingdsp/core/model_table.hpp"

#include <doctest/doctest.h>

#include <set>
#include <stdexcept>
#include <string>

#include "bearingdsp/machine/model_file.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "paths.hpp"

using namespace bearingdsp;

TEST_CASE("the constants compiled in are those of the data file, all of them in its order") {
  const std::string path = std::string{TESTS_SOURCE_DIR} + "/../libbearingdsp/data/model.csv";
  const auto text = read_text_file(path);
  REQUIRE(text);
  const auto read = read_model(path);
  REQUIRE(read);
  const ModelParameters shipped;
  std::size_t from = 0;
  for (std::size_t i = 0; i < model_parameters().size(); ++i) {
    const ModelParameter& p = model_parameters()[i];
    CAPTURE(p.name);
    CHECK(model_value(*read, i) == model_value(shipped, i));
    const auto at = text->find("\n" + std::string{p.name} + ",", from);
    REQUIRE(at != std::string::npos);
    from = at + 1;
    const std::string row = text->substr(from, text->find('\n', from) - from);
    CHECK(row.find(p.meaning) != std::string::npos);
    CHECK(row.find("," + std::string{p.origin} + ",") != std::string::npos);
    CHECK(row.find("," + std::string{p.unit} + ",") != std::string::npos);
    CHECK(row.find("," + std::string{p.source} + ",") != std::string::npos);
  }
  CHECK(text->find("\n", text->find('\n', from) + 1) == std::string::npos);
}

TEST_CASE("every constant has a meaning, a known origin and a range that holds it") {
  const std::set<std::string_view> origins{"derived", "published", "practice", "simulated",
                                           "tuned",   "chosen",    "fitted"};
  const ModelParameters shipped;
  std::set<std::string_view> names;
  for (std::size_t i = 0; i < model_parameters().size(); ++i) {
    const ModelParameter& p = model_parameters()[i];
    CAPTURE(p.name);
    CHECK(names.insert(p.name).second);
    CHECK_FALSE(p.meaning.empty());
    CHECK_FALSE(p.unit.empty());
    CHECK(origins.count(p.origin) == 1);
    CHECK(p.least < p.most);
    CHECK(model_value(shipped, i) >= p.least);
    CHECK(model_value(shipped, i) <= p.most);
  }
  CHECK_THROWS_AS((void)model_value(shipped, model_parameters().size()), std::out_of_range);
  CHECK(check_model(shipped));
}

TEST_CASE("a constant is set by name, and refused where it is none or out of range") {
  ModelParameters m;
  REQUIRE(set_model_value(m, "judgement.even_strength", 0.3));
  CHECK(m.judgement.even_strength == 0.3);
  REQUIRE(set_model_value(m, "bands.ring_harmonics", 6));
  CHECK(m.bands.ring_harmonics == 6);
  const auto refused = [&](const std::string& name, double value, Errc code) {
    const auto done = set_model_value(m, name, value);
    REQUIRE_FALSE(done);
    CHECK(done.error().code == code);
    return done.error().message();
  };
  CHECK(refused("judgement.even_strenght", 0.3, Errc::not_found).find("judgement.even_strength") !=
        std::string::npos);
  CHECK(refused("judgement.even_strength", 200, Errc::bad_argument).find("0.02 .. 2") !=
        std::string::npos);
  refused("bands.ring_harmonics", 5.5, Errc::bad_argument);
  CHECK(m.judgement.even_strength == 0.3);
  m.judgement.none_below = m.judgement.fault_from;
  CHECK(check_model(m).error().code == Errc::bad_argument);
}
