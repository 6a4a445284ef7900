#include "bearingdsp/report/svg.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <charconv>
#include <string>
#include <utility>
#include <vector>

#include "support/made_diagnosis.hpp"

using namespace bearingdsp;

namespace {

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return n;
}

/// Every tag that opens closes in the right order; attributes are not looked at.
bool balanced(const std::string& xml) {
  std::vector<std::string> open;
  for (auto at = xml.find('<'); at != std::string::npos; at = xml.find('<', at + 1)) {
    const auto end = xml.find('>', at);
    if (end == std::string::npos) return false;
    if (xml[at + 1] == '?') continue;
    if (xml[at + 1] == '/') {
      if (open.empty() || open.back() != xml.substr(at + 2, end - at - 2)) return false;
      open.pop_back();
    } else if (xml[end - 1] != '/') {
      open.push_back(xml.substr(at + 1, xml.find_first_of(" >", at) - at - 1));
    }
  }
  return open.empty();
}

/// The points of every path.
std::vector<std::vector<std::pair<double, double>>> paths(const std::string& svg) {
  std::vector<std::vector<std::pair<double, double>>> all;
  for (auto at = svg.find("<path d=\""); at != std::string::npos;
       at = svg.find("<path d=\"", at + 1)) {
    const std::string d = svg.substr(at + 9, svg.find('"', at + 9) - at - 9);
    std::vector<std::pair<double, double>> points;
    const char* p = d.data();
    const char* end = p + d.size();
    while (p != end) {
      ++p;  // M or L
      double x = 0, y = 0;
      p = std::from_chars(p, end, x).ptr + 1;
      p = std::from_chars(p, end, y).ptr;
      points.emplace_back(x, y);
    }
    all.push_back(std::move(points));
  }
  return all;
}

}  // namespace

TEST_CASE("svg: well-formed, one path a plot, units on every axis, names escaped") {
  const std::string svg = to_svg(diagnosis_report(test::made_diagnosis()));
  CHECK(balanced(svg));
  CHECK(count(svg, "<path ") == 2);
  CHECK(count(svg, "events per shaft revolution / orders") == 1);
  CHECK(count(svg, "time / s") == 1);
  CHECK(count(svg, "vibration / m/s²") == 1);
  CHECK(svg.find("fan &lt;1&gt; &amp; &quot;two&quot;.wav") != std::string::npos);
  CHECK(svg.find("<script") == std::string::npos);
}

TEST_CASE("svg: thinning keeps the highest sample and at most two points a pixel") {
  const auto curves = paths(to_svg(diagnosis_report(test::made_diagnosis())));
  REQUIRE(curves.size() == 2);
  const auto& wave = curves[1];
  CHECK(wave.size() < 2 * 1040);
  CHECK(wave.size() > 900);
  // The one sample of 61.25 among a sine of 1: exactly one point far above all others.
  std::vector<double> y;
  for (const auto& p : wave) y.push_back(p.second);
  std::sort(y.begin(), y.end());
  CHECK(y[1] - y[0] > 100);
  for (std::size_t i = 1; i < wave.size(); ++i) CHECK(wave[i].first >= wave[i - 1].first);
}

TEST_CASE("svg: every marker of the envelope spectrum is drawn, in its part's colour") {
  const Report r = diagnosis_report(test::made_diagnosis());
  const std::string svg = to_svg(r);
  const auto drawn = [&](const std::string& colour) {
    return count(svg, "stroke=\"" + colour + "\" stroke-width=\"1");
  };
  CHECK(drawn("#D55E00") == 4);
  CHECK(drawn("#0072B2") == 3);
  CHECK(drawn("#767676") == 3);
}

TEST_CASE("svg: a report without curves is still a picture, empty and broken curves are left out") {
  Diagnosis d = test::made_diagnosis();
  d.curves.clear();
  CHECK(balanced(to_svg(diagnosis_report(d))));
  d.curves.push_back({"empty", "x", "s", "m/s2", {}, {}});
  d.curves.push_back({"flat", "x", "s", "m/s2", {0, 1, 2}, {0, 0, 0}});
  const std::string svg = to_svg(diagnosis_report(d));
  CHECK(balanced(svg));
  CHECK(count(svg, "<path ") == 1);
  CHECK(svg.find("nan") == std::string::npos);
  CHECK(svg.find("inf") == std::string::npos);
}

TEST_CASE("svg: a waveform on a large offset fills its frame [src:construction, 2 units on 100]") {
  Diagnosis d = test::made_diagnosis();
  d.curves.resize(1);
  for (std::size_t i = 0; i < d.curves[0].y.size(); ++i)
    d.curves[0].y[i] = 100 + (i % 2 == 0 ? 1.0 : -1.0);
  const auto curves = paths(to_svg(diagnosis_report(d)));
  REQUIRE(curves.size() == 1);
  double low = curves[0][0].second;
  double high = low;
  for (const auto& p : curves[0]) {
    low = std::min(low, p.second);
    high = std::max(high, p.second);
  }
  CHECK(high - low > 100);  // px of a frame some 170 high
}
