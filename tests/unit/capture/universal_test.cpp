// Universal files, dataset 58 and 58b: references from tests/reference/gen_formats.py, and files
// that are damaged.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/unit.hpp"
#include "support/close.hpp"
#include "support/reference_signal.hpp"

using namespace bearingdsp;
using test::reference_bytes;
using test::reference_file;
using test::reference_sample;

namespace {

Result<Capture> parse(const std::string& bytes, const ReadOptions& options = {}) {
  return read_capture_bytes(std::as_bytes(std::span{bytes}), "a.uff", options);
}
double worst(const Channel& channel, std::size_t k, double scale = 1, std::size_t from = 0) {
  double most = 0;
  for (std::size_t i = from; i < channel.samples.size(); ++i)
    most = std::max(most, std::abs(channel.samples[i] - scale * reference_sample(i, k)));
  return most;
}
const Finding* truncated(const Capture& c) {
  for (const Finding& f : c.findings)
    if (f.kind == FindingKind::truncated) return &f;
  return nullptr;
}

}  // namespace

TEST_CASE(
    "universal file: two channels in text, behind datasets that are passed over "
    "[src:uff58, tests/reference/gen_formats.py]") {
  const auto r = read_capture(reference_file("uff58_single.uff"));
  REQUIRE_MESSAGE(r.has_value(), r.error().message());
  CHECK(r->format == "universal file 58");
  CHECK(test::close_rel(r->rate.value(), 25600, 1e-5));  // six digits of the increment
  REQUIRE(r->channels.size() == 2);
  CHECK(r->channels[0].name == "DE 1 X");
  CHECK(r->channels[1].name == "DE 2 -Z");
  for (std::size_t k = 0; k < 2; ++k) {
    CHECK(r->channels[k].unit == SampleUnit::acceleration);
    REQUIRE(r->channels[k].samples.size() == 100);
    CHECK(worst(r->channels[k], k) < 1e-12);
  }
  const auto one = read_capture(reference_file("uff58_single.uff"), {.select = {"DE 2 -Z"}});
  REQUIRE(one.has_value());
  REQUIRE(one->channels.size() == 1);
  CHECK(worst(one->channels[0], 1) < 1e-12);
  const auto contents = list_contents(reference_file("uff58_single.uff"));
  REQUIRE(contents.has_value());
  CHECK(contents->items[0].type == "complex function 4");  // a frequency response, no signal
  CHECK_FALSE(contents->items[0].is_signal);
}

TEST_CASE(
    "universal file: double precision, ends of lines, units and uneven abscissa "
    "[src:uff58, tests/reference/gen_formats.py]") {
  const auto g = read_capture(reference_file("uff58_double_crlf.uff"));
  REQUIRE_MESSAGE(g.has_value(), g.error().message());
  CHECK(worst(g->channels[0], 0, standard_gravity) < 1e-11);
  for (const char* name :
       {"uff58_double_uneven.uff", "uff58b_uneven_single_x.uff", "uff58b_uneven_double_x.uff"}) {
    CAPTURE(name);
    const auto u = read_capture(reference_file(name));
    REQUIRE_MESSAGE(u.has_value(), u.error().message());
    CHECK(test::close_rel(u->rate.value(), 25600, 1e-3));
    REQUIRE(u->channels.size() == 1);
    REQUIRE(u->channels[0].samples.size() == 100);
    CHECK(worst(u->channels[0], 0) < 1e-9);
  }
  const auto b = read_capture(reference_file("uff58b_double.uff"));
  REQUIRE_MESSAGE(b.has_value(), b.error().message());
  CHECK(b->format == "universal file 58b");
  CHECK(worst(b->channels[0], 0) == 0);
  const auto big = read_capture(reference_file("uff58b_single_big.uff"));
  REQUIRE_MESSAGE(big.has_value(), big.error().message());
  CHECK(worst(big->channels[0], 0) < 1e-7);  // single precision
}

TEST_CASE("universal file: numbers that touch and the exponents of Fortran [src:uff58]") {
  const auto r = read_capture(reference_file("uff58_odd_numbers.uff"));
  REQUIRE_MESSAGE(r.has_value(), r.error().message());
  const auto& x = r->channels[0].samples;
  REQUIRE(x.size() == 100);
  CHECK(x[0] == -1.23456);
  CHECK(test::close_rel(x[1], -0.234567, 1e-12));
  CHECK(x[2] == 1e-105);
  CHECK(x[3] == -1);
  CHECK(worst(r->channels[0], 0, 1, 4) < 1e-12);
}

TEST_CASE("universal file: what is cut off, too long or of another kind is said [src:contract]") {
  const std::string text = reference_bytes("uff58_double_crlf.uff");
  const auto cut = parse(text.substr(0, text.size() / 2));
  REQUIRE_MESSAGE(cut.has_value(), cut.error().message());
  CHECK(truncated(*cut) != nullptr);
  CHECK(cut->size() < 100);
  const std::string binary = reference_bytes("uff58b_double.uff");
  const auto half = parse(binary.substr(0, binary.size() - 400));
  REQUIRE_MESSAGE(half.has_value(), half.error().message());
  CHECK(truncated(*half) != nullptr);
  CHECK(worst(half->channels[0], 0) == 0);

  std::string lie = text;
  lie.replace(lie.find("         4       100"), 20, "         4 999999999");
  const auto more = parse(lie);
  REQUIRE(more.has_value());
  CHECK(more->size() == 100);
  CHECK(truncated(*more) != nullptr);

  const std::string single = reference_bytes("uff58_single.uff");
  const std::string only_spectrum = single.substr(0, single.find("    -1\n    58", 700));
  const auto none = parse(only_spectrum);
  REQUIRE_FALSE(none.has_value());
  CHECK(none.error().code == Errc::unsupported_format);
  const auto empty = parse("    -1\n   151\nmodel\n    -1\n");
  REQUIRE_FALSE(empty.has_value());
  CHECK(empty.error().message().find("without a dataset 58") != std::string::npos);

  std::string rates = single;
  const auto last = rates.rfind("3.90625E-05");
  rates.replace(last, 11, "7.81250E-05");
  const auto differ = parse(rates);
  REQUIRE_FALSE(differ.has_value());
  CHECK(differ.error().message().find("different sample rates") != std::string::npos);
  CHECK(parse(rates, {.select = {"DE 1 X"}}).has_value());

  std::string other = reference_bytes("uff58b_double.uff");
  other.replace(7, 20, "    58b     1     1 ");
  const auto format = parse(other);
  REQUIRE_FALSE(format.has_value());
  CHECK(format.error().code == Errc::unsupported_format);
}

TEST_CASE("universal file: cut off between a time stamp and its value [src:contract]") {
  const std::string even = reference_bytes("uff58_double_uneven.uff");
  std::string text = even.substr(0, even.find("  0.00000E+00 -1.0000"));
  REQUIRE(text.size() < even.size());
  const std::size_t head = text.size();
  // Stamps that leave an even axis by up to 0.3 steps, so that the values are resampled.
  for (int i = 0; i < 100; ++i)
    text += fmt::format("{:13.5E}{:20.12E}{}", (i + 0.3 * std::sin(3.0 * i)) / 25600,
                        std::sin(1.0 * i), i % 2 == 1 ? "\n" : "");
  const auto whole = parse(text + "    -1\n");
  REQUIRE_MESSAGE(whole.has_value(), whole.error().message());
  CHECK(whole->channels[0].samples.size() == 100);
  const std::size_t row = 2 * (13 + 20) + 1;
  for (std::size_t cut = 0; cut <= row; ++cut) {
    CAPTURE(cut);
    const auto some = parse(text.substr(0, head + 40 * row + cut));
    // Within a number what is left of it may be none, such as a sign; between numbers all are read.
    if (cut % 33 == 0 || cut % 33 == 13) REQUIRE_MESSAGE(some.has_value(), some.error().message());
    if (!some) {
      CHECK(some.error().message().find("are missing or not numbers") != std::string::npos);
      continue;
    }
    CHECK(truncated(*some) != nullptr);
    CHECK(some->channels[0].samples.size() >= 79);
    CHECK(some->channels[0].samples.size() <= 83);
  }
}

TEST_CASE("universal file: pieces are the whole [src:contract]") {
  std::string text = reference_bytes("uff58_single.uff");
  text = text.substr(text.rfind("    -1\n    58"));
  const auto data = text.find("\n", text.rfind("NONE                \n")) + 1;
  constexpr std::size_t n = 10000;
  std::string values;
  for (std::size_t i = 0; i < n; ++i) {
    char field[32];
    const auto size = std::to_chars(field, field + sizeof field, reference_sample(i),
                                    std::chars_format::scientific, 5)
                          .ptr -
                      field;
    values += std::string(static_cast<std::size_t>(13 - size), ' ') +
              std::string(field, static_cast<std::size_t>(size));
    if (i % 6 == 5) values += '\n';
  }
  text = text.substr(0, data) + values + "\n    -1\n";
  text.replace(text.find("       100"), 10, "     10000");
  const auto whole = parse(text);
  REQUIRE_MESSAGE(whole.has_value(), whole.error().message());
  REQUIRE(whole->size() == n);
  const auto reader = open_pieces_bytes(std::as_bytes(std::span{text}), "a.uff");
  REQUIRE_MESSAGE(reader.has_value(), reader.error().message());
  CHECK((*reader)->expected() == n);
  std::size_t at = 0;
  while (true) {
    const auto piece = (*reader)->next(3000);
    REQUIRE(piece.has_value());
    if (!*piece) break;
    for (const double v : (*piece)->channels[0].samples)
      REQUIRE(v == whole->channels[0].samples[at++]);
  }
  CHECK(at == n);
}
