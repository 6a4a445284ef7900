#include "bearingdsp/report/svg.hpp"

#include <doctest/doctest.h>

#include <zlib.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
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

namespace {

/// x and y of the text that holds `what`.
std::pair<double, double> place_of_text(const std::string& svg, const std::string& what) {
  const auto at = svg.find(">" + what);
  REQUIRE(at != std::string::npos);
  const auto tag = svg.rfind("<text x=\"", at);
  double x = 0, y = 0;
  std::from_chars(svg.data() + tag + 9, svg.data() + svg.size(), x);
  std::from_chars(svg.data() + svg.find("y=\"", tag) + 3, svg.data() + svg.size(), y);
  return {x, y};
}

}  // namespace

TEST_CASE("svg: a long title stands above the names of the markers, a short one beside them") {
  Report r = diagnosis_report(test::made_diagnosis());
  r.plots[0].title = "envelope";
  const std::string beside = to_svg(r);
  const auto name = place_of_text(beside, "O outer ring");
  CHECK(place_of_text(beside, "Envelope").second == name.second);  // and begins with a capital
  CHECK(place_of_text(beside, "Envelope").first + 8 * 8 < name.first);
  r.plots[0].title = std::string(90, 'w');
  const std::string above = to_svg(r);
  CHECK(place_of_text(above, "Www").second <= place_of_text(above, "O outer ring").second - 16);
  CHECK(balanced(above));
}

TEST_CASE("svg: no limit strikes through the name of a range") {
  Report r;
  ReportPlot p;
  p.kind = PlotKind::readings;
  p.title = "level";
  p.x = {0, 864000, 1728000};
  p.y = {0, 3, 6};
  p.x_end = 1728000;
  p.limits = {{12, "alarm"}, {11.4, "near it"}, {0, "baseline"}};
  p.ranges = {{2e6, 4e6, "12 dB reached"}};
  r.plots.push_back(p);
  const std::string svg = to_svg(r);
  const double name = place_of_text(svg, "12 dB reached").second - 4;  // the middle of its letters
  int limits = 0;
  for (auto at = svg.find("stroke=\"#a33b00\""); at != std::string::npos;
       at = svg.find("stroke=\"#a33b00\"", at + 1)) {
    double y = 0;
    const auto start = svg.rfind("y1=\"", at) + 4;
    std::from_chars(svg.data() + start, svg.data() + svg.size(), y);
    CHECK(std::abs(y - name) >= 9);
    ++limits;
  }
  CHECK(limits == 3);
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

namespace {

/// The first picture file in an SVG, unpacked by another road than the library's: zlib's inflate.
struct Png {
  std::size_t width{0}, height{0};
  std::vector<std::array<int, 3>> palette;
  std::vector<std::uint8_t> pixels;
};

std::vector<std::uint8_t> bytes_of(const std::string& base64) {
  const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::vector<std::uint8_t> bytes;
  std::uint32_t held = 0;
  unsigned bits = 0;
  for (const char c : base64) {
    if (c == '=') break;
    held = (held << 6U) | static_cast<std::uint32_t>(digits.find(c));
    bits += 6;
    if (bits < 8) continue;
    bits -= 8;
    bytes.push_back(static_cast<std::uint8_t>((held >> bits) & 0xFFU));
  }
  return bytes;
}

Png first_png(const std::string& svg) {
  const std::string head = "data:image/png;base64,";
  const auto at = svg.find(head) + head.size();
  const auto b = bytes_of(svg.substr(at, svg.find('"', at) - at));
  const auto word = [&](std::size_t i) {
    return static_cast<std::size_t>(b[i]) << 24U | static_cast<std::size_t>(b[i + 1]) << 16U |
           static_cast<std::size_t>(b[i + 2]) << 8U | b[i + 3];
  };
  Png png;
  REQUIRE(b.size() > 40);
  CHECK(b[0] == 0x89);
  for (std::size_t i = 8; i + 8 < b.size();) {
    const std::size_t size = word(i);
    const std::string type{b.begin() + static_cast<std::ptrdiff_t>(i) + 4,
                           b.begin() + static_cast<std::ptrdiff_t>(i) + 8};
    const std::size_t data = i + 8;
    CHECK(word(data + size) == crc32(0, &b[i + 4], static_cast<uInt>(size + 4)));
    if (type == "IHDR") {
      png.width = word(data);
      png.height = word(data + 4);
    } else if (type == "PLTE") {
      for (std::size_t k = 0; k < size; k += 3)
        png.palette.push_back({b[data + k], b[data + k + 1], b[data + k + 2]});
    } else if (type == "IDAT") {
      std::vector<std::uint8_t> lines((png.width + 1) * png.height);
      uLongf got = lines.size();
      REQUIRE(uncompress(lines.data(), &got, &b[data], static_cast<uLong>(size)) == Z_OK);
      REQUIRE(got == lines.size());
      for (std::size_t row = 0; row < png.height; ++row)
        png.pixels.insert(png.pixels.end(),
                          lines.begin() + static_cast<std::ptrdiff_t>(row * (png.width + 1) + 1),
                          lines.begin() + static_cast<std::ptrdiff_t>((row + 1) * (png.width + 1)));
    }
    i = data + size + 4;
  }
  return png;
}

/// CIE 1976 lightness of an sRGB colour. Source: IEC 61966-2-1 (transfer), CIE 015 (L*); from
/// memory
double lightness(const std::array<int, 3>& rgb) {
  const auto linear = [](int v) {
    const double c = v / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  const double y = 0.2126 * linear(rgb[0]) + 0.7152 * linear(rgb[1]) + 0.0722 * linear(rgb[2]);
  return y > 0.008856 ? 116 * std::cbrt(y) - 16 : 903.3 * y;
}

Report with_map(ReportMap map) {
  Report r;
  r.title = "t";
  r.maps.push_back(std::move(map));
  return r;
}

}  // namespace

TEST_CASE("svg map: of cells narrower than a pixel the highest is seen, gaps are ground") {
  ReportMap m;
  m.rows = {{"a", 0, 0.001, std::vector<double>(10000, 0.1), {}},
            {"b", 5, 1, {0.5, std::nan("")}, {}}};
  m.rows[0].y[5003] = 1;
  m.x_end = 10;
  const std::string svg = to_svg(with_map(m));
  CHECK(balanced(svg));
  const Png png = first_png(svg);
  REQUIRE(png.height == 2);
  std::size_t peaks = 0;
  const std::uint8_t darkest = 33;
  for (std::size_t p = 0; p < png.width; ++p) peaks += png.pixels[p] == darkest ? 1U : 0U;
  CHECK(peaks == 1);
  const auto at = [&](double x) {
    return png
        .pixels[png.width + static_cast<std::size_t>(x / 10 * static_cast<double>(png.width))];
  };
  CHECK(at(2) == 0);
  CHECK(at(5.5) == 17);  // the middle of 33 shades
  CHECK(at(6.5) == 0);
  CHECK(at(8) == 0);
}

TEST_CASE(
    "svg map: in dB a tenth of the highest is a third down a scale of 60 dB [src:closed-form]") {
  ReportMap m;
  m.rows = {{"a", 0, 1, {1, 0.1, 1e-5, 0}, {}}};
  m.x_end = 4;
  m.in_db = true;
  const Png png = first_png(to_svg(with_map(m)));
  const auto at = [&](double x) {
    return png.pixels[static_cast<std::size_t>(x / 4 * static_cast<double>(png.width))];
  };
  CHECK(at(0.5) == 33);
  CHECK(at(1.5) == 1 + 21);  // 32 x 2 / 3
  CHECK(at(2.5) == 1);
  CHECK(at(3.5) == 1);
}

TEST_CASE(
    "shades fall evenly in lightness, so they order themselves for every eye [src:crameri2020, "
    "from memory]") {
  ReportMap m;
  m.rows = {{"a", 0, 1, {1}, {}}};
  m.x_end = 1;
  const Png png = first_png(to_svg(with_map(m)));
  REQUIRE(png.palette.size() == 34);
  const double step = (lightness(png.palette[1]) - lightness(png.palette[33])) / 32;
  CHECK(step > 2.4);  // more than 76 of the 100 there are
  for (std::size_t i = 1; i < 33; ++i) {
    const double here = lightness(png.palette[i]) - lightness(png.palette[i + 1]);
    CHECK(here > 0.8 * step);
    CHECK(here < 1.2 * step);
  }
}

TEST_CASE("svg: maps of a diagnosis with scale, rows and outlined cell, nothing from outside") {
  const std::string svg = to_svg(diagnosis_report(test::made_diagnosis_with_maps()));
  CHECK(balanced(svg));
  CHECK(count(svg, "<image ") == 4);  // two maps with a scale each
  CHECK(count(svg, "xlink:href=\"data:image/png;base64,") == 4);
  CHECK(count(svg, "href=") == 4);
  CHECK(svg.find(">6250-12500</text>") != std::string::npos);
  CHECK(svg.find(">1/2</text>") != std::string::npos);
  CHECK(svg.find("frequency / Hz") != std::string::npos);
}

TEST_CASE("svg: changes against chance, beyond it filled") {
  Report r;
  r.title = "t";
  r.changes = ReportChanges{
      "c",
      "change",
      "dB",
      {{"velocity", "2", "1", "mm/s", -6, 4.5, true}, {"<peak>", "2", "2", "g", 0.1, 4.5, false}}};
  const std::string svg = to_svg(r);
  CHECK(balanced(svg));
  CHECK(count(svg, "<circle") == 2);
  CHECK(svg.find("change / dB") != std::string::npos);
  CHECK(svg.find("2 → 1 mm/s") != std::string::npos);
  CHECK(svg.find("&lt;peak&gt;") != std::string::npos);
}

TEST_CASE("svg: two curves: the one behind as a ground, both named, limit names beside the frame") {
  Report r;
  r.title = "t";
  ReportPlot p;
  p.title = "two";
  p.kind = PlotKind::spectrum;
  p.x = {0, 1, 2, 3};
  p.y = {0, 1, 0, 0};
  p.x_end = 3;
  p.name = "after: b";
  p.behind = PlotBackground{"before: a", {0, 1.5, 3}, {0, 4, 0}};
  p.limits = {{1, "alert"}, {1.05, "alarm"}};
  r.plots.push_back(p);
  const std::string svg = to_svg(r);
  CHECK(balanced(svg));
  CHECK(svg.find(">after: b</text>") != std::string::npos);
  CHECK(svg.find(">before: a</text>") != std::string::npos);
  CHECK(count(svg, "Z\" fill=\"#b9c6d3\"") == 1);
  const auto place = [&](const std::string& name) {
    const auto at = svg.rfind("<text", svg.find(">" + name + "</text>"));
    double x = 0, y = 0;
    std::from_chars(svg.data() + svg.find("x=\"", at) + 3, svg.data() + svg.size(), x);
    std::from_chars(svg.data() + svg.find("y=\"", at) + 3, svg.data() + svg.size(), y);
    return std::pair{x, y};
  };
  const auto alert = place("alert");
  const auto alarm = place("alarm");
  CHECK(alert.first > 900);  // of 1040, right of the frame
  CHECK(alert.second - alarm.second >= 13);
}
