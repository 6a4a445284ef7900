#include "bearingdsp/report/html.hpp"

#include <doctest/doctest.h>

#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <nlohmann/json.hpp>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/report/replacement.hpp"
#include "support/close.hpp"
#include "support/made_diagnosis.hpp"
#include "support/skip.hpp"

using namespace bearingdsp;

namespace {

const std::string no_plots =
    "the library was built without the plotting code (no npm when it was configured)";

std::string between(const std::string& text, const std::string& from, const std::string& to) {
  const auto begin = text.find(from);
  if (begin == std::string::npos) return {};
  const auto start = begin + from.size();
  return text.substr(start, text.find(to, start) - start);
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return n;
}

const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Another road than the library's: bit by bit.
std::vector<std::uint8_t> from_base64(const std::string& text) {
  std::vector<std::uint8_t> bytes;
  std::uint32_t held = 0;
  unsigned bits = 0;
  for (const char c : text) {
    if (c == '=') break;
    held = (held << 6U) | static_cast<std::uint32_t>(digits.find(c));
    bits += 6;
    if (bits < 8) continue;
    bits -= 8;
    bytes.push_back(static_cast<std::uint8_t>((held >> bits) & 0xFFU));
  }
  return bytes;
}

std::string hex(const std::vector<std::uint8_t>& bytes) {
  std::string text;
  for (const std::uint8_t b : bytes) {
    text += "0123456789abcdef"[b >> 4U];
    text += "0123456789abcdef"[b & 15U];
  }
  return text;
}

std::string sha256_of(const std::string& text) {
  return sha256(std::as_bytes(std::span{text.data(), text.size()}));
}

nlohmann::json data_of(const std::string& page) {
  return nlohmann::json::parse(
      between(page, "<script type=\"application/json\" id=\"data\">", "</script>"));
}

std::vector<double> values_of(const nlohmann::json& column) {
  const std::vector<std::uint8_t> bytes = from_base64(column.at("data").get<std::string>());
  std::vector<double> values;
  if (column.at("as") == "f32") {
    for (std::size_t i = 0; i + 3 < bytes.size(); i += 4) {
      const std::uint32_t word = bytes[i] | std::uint32_t{bytes[i + 1]} << 8U |
                                 std::uint32_t{bytes[i + 2]} << 16U |
                                 std::uint32_t{bytes[i + 3]} << 24U;
      values.push_back(static_cast<double>(std::bit_cast<float>(word)));
    }
    return values;
  }
  const double low = column.at("low"), step = column.at("step");
  if (column.at("as") == "log8") {
    for (const std::uint8_t b : bytes)
      values.push_back(b == 255 ? std::numeric_limits<double>::quiet_NaN()
                       : b == 0 ? 0
                                : std::exp(low + (b - 1.0) * step));
    return values;
  }
  for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
    const auto code = static_cast<unsigned>(bytes[i] | bytes[i + 1] << 8);
    const double v = low + (code - 1.0) * step;
    values.push_back(code == 65535                ? std::numeric_limits<double>::quiet_NaN()
                     : code == 0                  ? 0
                     : column.at("as") == "log16" ? std::exp(v)
                                                  : v);
  }
  return values;
}

Report with_curve(std::vector<double> y) {
  Report r;
  r.title = "t";
  ReportPlot p;
  p.title = "made";
  for (std::size_t i = 0; i < y.size(); ++i) p.x.push_back(0.5 * static_cast<double>(i));
  p.y = std::move(y);
  p.x_end = p.x.back();
  r.plots.push_back(std::move(p));
  return r;
}

}  // namespace

TEST_CASE("html: a name that is markup stays a name, in text, attributes and data") {
  const std::string evil = "</script><script>alert(1)</script><img src=x onerror=\"a'b\">&";
  Diagnosis d = test::made_diagnosis();
  d.source = d.headline = evil;
  d.channels = {evil};
  d.advice = d.reasons = {evil};
  for (Curve& c : d.curves) c.channel = c.title = evil;
  const std::string page = to_html(diagnosis_report(d));
  CHECK(count(page, "<img") == 0);
  CHECK(count(page, "<script>alert") == 0);
  CHECK(count(page, "</script>") == (has_interactive_plots() ? 2U : 0U));
  CHECK(count(page, "&lt;/script&gt;&lt;script&gt;alert(1)") > 3);
  if (!has_interactive_plots()) return test::skip(no_plots);
  const auto plots = data_of(page).at("plots");
  REQUIRE(!plots.empty());
  CHECK(plots[0].at("title").get<std::string>().find(evil) != std::string::npos);
}

TEST_CASE("html: ranges, options and percentages stay in one line, longer words may break") {
  Report r;
  r.headline = "0-5880 Hz, 97 %; give its file with --machine, see https://a.example/a-1-2-3-4-5-6";
  const std::string page = to_html(r);
  CHECK(page.find("<span class=\"whole\">0-5880</span> Hz, 97\u00a0%; give its file with "
                  "<span class=\"whole\">--machine,</span> see https://a.example/") !=
        std::string::npos);
}

TEST_CASE("html: control characters and broken UTF-8 do not reach the page") {
  Report r;
  r.title =
      "a\x01"
      "b\xff"
      "c";
  CHECK(to_html(r).find("a\\x01b\\xffc</h1>") != std::string::npos);
}

TEST_CASE(
    "html: the policy allows nothing but the page's own script and style [src:csp3 8.2, from "
    "memory]") {
  const std::string page = to_html(diagnosis_report(test::made_diagnosis()));
  const std::string policy =
      between(page, "http-equiv=\"Content-Security-Policy\" content=\"", "\"");
  CHECK(policy.find("default-src 'none'; img-src data:; ") == 0);
  CHECK(policy.find("unsafe") == std::string::npos);
  CHECK(policy.find("http") == std::string::npos);
  CHECK(policy.find("base-uri 'none'; form-action 'none'") != std::string::npos);
  // Before anything that it has to govern.
  CHECK(page.find("Content-Security-Policy") < page.find("<style"));
  const std::string style = between(page, "<style>", "</style>");
  CHECK(hex(from_base64(between(policy, "style-src 'sha256-", "'"))) == sha256_of(style));
  if (!has_interactive_plots()) return test::skip(no_plots);
  const std::string script = between(page, "<script>", "</script>");
  CHECK(hex(from_base64(between(policy, "script-src 'sha256-", "'"))) == sha256_of(script));
  // Attributes that the policy would refuse.
  const std::string markup =
      page.substr(page.find("<body>"), page.find("<script") - page.find("<body>"));
  CHECK(count(markup, " style=") == 0);
  CHECK(count(markup, " onclick") == 0);
  CHECK(count(page, " src=") == 0);
}

TEST_CASE(
    "html: the page of a job card allows nothing but its own style [src:csp3 8.2, from memory]") {
  JobCard card;
  card.title = "Job card";
  const std::string page = job_card_html(card);
  const std::string policy =
      between(page, "http-equiv=\"Content-Security-Policy\" content=\"", "\"");
  CHECK(policy.find("default-src 'none'; ") == 0);
  CHECK(policy.find("script-src 'none'") != std::string::npos);
  CHECK(page.find("Content-Security-Policy") < page.find("<style"));
  const std::string style = between(page, "<style>", "</style>");
  CHECK(hex(from_base64(between(policy, "style-src 'sha256-", "'"))) == sha256_of(style));
  CHECK(count(page, " style=") == 0);
}

TEST_CASE("html: without the plotting code the page is static and says so") {
  const std::string page =
      to_html(diagnosis_report(test::made_diagnosis()), {}, {.interactive = false});
  CHECK(count(page, "<script") == 0);
  CHECK(page.find("script-src 'none'") != std::string::npos);
  CHECK(count(page, "<svg") == 2);
  CHECK(page.find("charts on this page are static") != std::string::npos);
}

TEST_CASE("html: answers stand before the evidence, details are folded") {
  const std::string page = to_html(diagnosis_report(test::made_diagnosis()));
  const auto at = [&](const char* what) { return page.find(what); };
  CHECK(at("<h1>") < at("id=\"advice\""));
  CHECK(at("id=\"advice\"") < at("id=\"summary\""));
  CHECK(at("id=\"summary\"") < at("id=\"why\""));
  CHECK(at("id=\"why\"") < at("id=\"plots\""));
  CHECK(at("id=\"plots\"") < at("id=\"evidence\""));
  CHECK(at("<details id=\"bands\"") != std::string::npos);
}

TEST_CASE("html: a row leads to its part") {
  Report list;
  list.title = "t";
  ReportSection s;
  s.id = "points";
  s.table = ReportTable{{{"Point", "", false}}, {{"fan <1>"}, {"pump"}}, {"point-1", ""}};
  list.sections.push_back(s);
  Report part;
  part.id = "point-1";
  part.title = "p";
  part.source = "fan <1>";
  const std::vector<Report> parts{part};
  const std::string page = to_html(list, parts);
  CHECK(page.find("<a href=\"#point-1\">fan &lt;1&gt;</a>") != std::string::npos);
  CHECK(count(page, "id=\"point-1\"") == 1);
  CHECK(page.find(">pump</th>") != std::string::npos);
}

TEST_CASE(
    "html data: short curves are floats, long ones within half a step of 16 bits [src:closed-form "
    "docs/report.md]") {
  if (!has_interactive_plots()) return test::skip(no_plots);
  std::vector<double> wave, levels;
  for (int i = 0; i < 5000; ++i) {
    wave.push_back(-3 + 10 * std::sin(0.37 * i));
    levels.push_back(i == 7 ? 0 : std::exp(-0.004 * i));
  }
  wave[9] = std::numeric_limits<double>::quiet_NaN();
  const auto w = data_of(to_html(with_curve(wave))).at("plots")[0];
  CHECK(w.at("values").at("as") == "lin16");
  CHECK(w.at("step").get<double>() == 0.5);
  CHECK(test::close_rel(w.at("values").at("step").get<double>(), 20 / 65533.0, 1e-4));
  const auto back = values_of(w.at("values"));
  REQUIRE(back.size() == wave.size());
  CHECK(std::isnan(back[9]));
  for (std::size_t i = 0; i < wave.size(); ++i)
    if (i != 9) CHECK(test::close_abs(back[i], wave[i], 0.5001 * 20 / 65533.0));

  const auto l = values_of(data_of(to_html(with_curve(levels))).at("plots")[0].at("values"));
  REQUIRE(l.size() == levels.size());
  CHECK(l[7] == 0);
  for (std::size_t i = 0; i < levels.size(); ++i)
    CHECK(test::close_rel(l[i], levels[i], 0.501 * 20 / 65533.0));

  wave.resize(100);
  const auto f = data_of(to_html(with_curve(wave))).at("plots")[0];
  CHECK(f.at("values").at("as") == "f32");
  CHECK(values_of(f.at("values"))[5] == static_cast<double>(static_cast<float>(wave[5])));
}

TEST_CASE("html data: thinning a curve that is too long loses no peak and stays even") {
  if (!has_interactive_plots()) return test::skip(no_plots);
  std::vector<double> y((std::size_t{1} << 21U) + 1001);
  for (std::size_t i = 0; i < y.size(); ++i) y[i] = (i % 2 == 0) ? 1 : -1;
  y[1234567] = 50;
  y[7] = -40;
  y[8] = std::numeric_limits<double>::quiet_NaN();
  y.back() = 30;
  const auto plot = data_of(to_html(with_curve(y))).at("plots")[0];
  CHECK(plot.at("ofEach") == 3);
  const auto kept = values_of(plot.at("values"));
  CHECK(kept.size() <= std::size_t{1} << 21U);
  const double step = plot.at("step");
  CHECK(test::close_rel(step, 0.75, 1e-12));
  const double tolerance = 90 / 65533.0;
  std::size_t peaks = 0;
  for (std::size_t i = 0; i < kept.size(); ++i) {
    if (kept[i] < 2 && kept[i] > -2) continue;
    ++peaks;
    const double x = static_cast<double>(i) * step;
    const bool is_one =
        (test::close_abs(kept[i], 50, tolerance) && test::close_abs(x, 0.5 * 1234567, 1.5)) ||
        (test::close_abs(kept[i], -40, tolerance) && test::close_abs(x, 3.5, 1.5)) ||
        (test::close_abs(kept[i], 30, tolerance) &&
         test::close_abs(x, 0.5 * static_cast<double>(y.size() - 1), 1.5));
    CHECK(is_one);
  }
  CHECK(peaks >= 3);
  CHECK(peaks <= 4);  // a last group of one sample gives it twice
}

TEST_CASE(
    "html data: a small map is floats, a large one a byte a cell over 80 dB [src:closed-form]") {
  if (!has_interactive_plots()) return test::skip(no_plots);
  const auto small = data_of(to_html(diagnosis_report(test::made_diagnosis_with_maps())));
  const auto& bands = small.at("maps")[0];
  CHECK(bands.at("values").at("as") == "f32");
  CHECK(bands.at("rows")[1].at("count") == 2);
  CHECK(bands.at("rows")[1].at("notes")[0] == "inner ring, kurtosis 0.250");
  CHECK(bands.at("marks")[0].at("cell") == 1);
  const auto cells = values_of(bands.at("values"));
  REQUIRE(cells.size() == 4);
  CHECK(test::close_rel(cells[2], 0.9, 1e-6));
  CHECK(small.at("shades").size() == 34);
  CHECK(small.at("maps")[1].at("markers").size() == small.at("plots")[0].at("markers").size());

  Report r;
  r.title = "t";
  ReportMap m;
  m.x_end = 1;
  m.rows.resize(2);
  for (int i = 0; i < 5000; ++i)
    m.rows[i % 2 == 0 ? 0 : 1].y.push_back(3 * std::pow(10, -0.001 * i));
  m.rows[1].y[7] = std::numeric_limits<double>::quiet_NaN();
  m.rows[1].y[8] = 0;
  r.maps.push_back(m);
  const auto values = data_of(to_html(r)).at("maps")[0].at("values");
  CHECK(values.at("as") == "log8");
  const auto back = values_of(values);
  REQUIRE(back.size() == 5000);
  CHECK(std::isnan(back[2507]));
  CHECK(back[2508] == 0);
  const double half_step = std::pow(10, 0.5 * 4 / 253) - 1;
  for (std::size_t i = 0; i < 1900; ++i)
    CHECK(test::close_rel(back[i], m.rows[0].y[i], 1.01 * half_step));
  CHECK(back[2499] == 0);  // five decades down
}

TEST_CASE("html data: the curve behind and the chart of changes carry their numbers") {
  if (!has_interactive_plots()) return test::skip(no_plots);
  Report r = with_curve({0, 1, 2});
  r.plots[0].name = "after: b";
  r.plots[0].behind = PlotBackground{"before: <a>", {0, 0.25, 0.5}, {3, 4, 5}};
  r.changes =
      ReportChanges{"c", "change", "dB", {{"velocity", "2", "1", "mm/s", -6.02, 4.5, true}}};
  const auto data = data_of(to_html(r));
  const auto& behind = data.at("plots")[0].at("behind");
  CHECK(behind.at("name") == "before: <a>");
  CHECK(behind.at("step") == 0.25);
  CHECK(values_of(behind.at("values")) == std::vector<double>{3, 4, 5});
  CHECK(data.at("changes")[0].at("rows")[0][4] == -6.02);
}

TEST_CASE(
    "html: spectra and waveforms of several channels are printed in pairs, of one at full size") {
  Diagnosis d = test::made_diagnosis();
  CHECK(count(to_html(diagnosis_report(d)), "class=\"of-several\"") == 0);
  Curve second = d.curves.front();
  second.channel = "axial";
  for (double& y : second.y) y *= 2;  // the same curve twice would be drawn once
  d.curves.push_back(second);
  const std::string page = to_html(diagnosis_report(d));
  CHECK(count(page, "<figure data-plot=") == 3);
  CHECK(count(page, " class=\"of-several\">") == 2);  // not the envelope, which pools them
}

TEST_CASE("html: maps stand behind the plots they belong to, each with its words") {
  const std::string page = to_html(diagnosis_report(test::made_diagnosis_with_maps()));
  const auto at = [&](const char* what) { return page.find(what); };
  CHECK(at("data-plot=\"0\"") < at("data-map=\"0\""));
  CHECK(at("data-map=\"0\"") < at("data-map=\"1\""));
  CHECK(at("data-map=\"1\"") < at("data-plot=\"1\""));
  CHECK(at("Outlined: the strongest band") != std::string::npos);
}
