// The closed list of findings has a name each.
#include "bearingdsp/core/finding.hpp"

#include <set>
#include <string_view>

#include <doctest/doctest.h>

TEST_CASE("every finding and every weight has a name of its own [src:contract]") {
  using namespace bearingdsp;
  std::set<std::string_view> names;
  int kinds = 0;
  for (; token(static_cast<FindingKind>(kinds)) != "unknown"; ++kinds)
    names.insert(token(static_cast<FindingKind>(kinds)));
  CHECK(static_cast<int>(FindingKind::processed) == kinds - 1);
  CHECK(names.size() == static_cast<std::size_t>(kinds));
  CHECK(token(Weight::note) == "note");
  CHECK(token(Weight::caution) == "caution");
  CHECK(token(Weight::blocking) == "blocking");
}
