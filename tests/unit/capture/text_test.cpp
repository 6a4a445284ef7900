// Delimited text: the variants that recorders and spreadsheets write, and what goes wrong.
#include <charconv>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <zlib.h>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/read.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

namespace {

using namespace bearingdsp;

Result<Capture> parse(std::string_view text, const ReadOptions& options = {}) {
  return read_capture_bytes(std::as_bytes(std::span{text}), "a.csv", options);
}
Capture good(std::string_view text, const ReadOptions& options = {}) {
  auto r = parse(text, options);
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  return *std::move(r);
}
/// The message is one line, tells the place and what to do.
void bad(std::string_view text, Errc code, std::string_view where, std::string_view what,
         const ReadOptions& options = {}) {
  const auto r = parse(text, options);
  REQUIRE_FALSE(r.has_value());
  const Error& e = r.error();
  INFO(e.message());
  CHECK(token(e.code) == token(code));
  CHECK(e.where == where);
  CHECK(e.what.find(what) != std::string::npos);
  CHECK_FALSE(e.advice.empty());
  CHECK(e.message().find('\n') == std::string::npos);
}
bool has(const Capture& c, FindingKind kind) {
  for (const Finding& f : c.findings) {
    if (f.kind == kind) return true;
  }
  return false;
}
std::string rows(std::size_t n, std::string_view form = "{:.4f},{}\n") {
  std::string text;
  for (std::size_t i = 0; i < n; ++i) {
    text += fmt::format(fmt::runtime(form), static_cast<double>(i) * 1e-3, (i * 7) % 11);
  }
  return text;
}
const ReadOptions at_1k{.rate = Hz{1000}};

}  // namespace

TEST_CASE("delimiters and decimal signs are distinguished [src:the numbers written]") {
  for (const std::string_view text :
       {"1.5,2.5\n-3.25,4\n5,6e-1\n", "1.5;2.5\n-3.25;4\n5;6e-1\n", "1.5\t2.5\n-3.25\t4\n5\t6e-1\n",
        "1.5 2.5\n-3.25 4\n5 6e-1\n", "  1.5   2.5\n -3.25  4 \n 5     6e-1\n",
        "1,5;2,5\n-3,25;4\n5;6e-1\n", "1,5\t2,5\n-3,25\t4\n5\t6e-1\n", "1,5 2,5\n-3,25 4\n5 6e-1\n",
        "1.5, 2.5\r\n-3.25, 4\r\n5, 6e-1\r\n", "1.5,2.5,\n-3.25,4,\n5,6e-1,\n",
        "\xef\xbb\xbf"
        "1.5,2.5\n-3.25,4\n5,6e-1",
        "\"1.5\",\"2.5\"\n\"-3.25\",\"4\"\n\"5\",\"6e-1\"\n", "+1.5,2.5\n-3.25,+4\n5,6E-1\n",
        "1.5,2.5\r-3.25,4\r5,6e-1\r", "# made\n1.5,2.5\n% note\n-3.25,4\n\n; more\n5,6e-1\n"}) {
    CAPTURE(text);
    const Capture c = good(text, at_1k);
    REQUIRE(c.channels.size() == 2);
    CHECK(c.channels[0].samples == std::vector<double>{1.5, -3.25, 5});
    CHECK(c.channels[1].samples == std::vector<double>{2.5, 4, 0.6});
    CHECK(c.findings.empty());
  }
}

TEST_CASE(
    "one column with a decimal comma is read when zeros tell, else asked for [src:contract]") {
  CHECK(good("1,05\n2,5\n3,25\n", at_1k).channels[0].samples ==
        std::vector<double>{1.05, 2.5, 3.25});
  bad("1,5\n2,25\n4,75\n", Errc::bad_argument, "a.csv:1", "decimal comma", at_1k);
  ReadOptions comma = at_1k;
  comma.decimal = ',';
  CHECK(good("1,5\n2,25\n4,75\n", comma).channels[0].samples ==
        std::vector<double>{1.5, 2.25, 4.75});
  ReadOptions two = at_1k;
  two.delimiter = ',';
  CHECK(good("1,5\n2,25\n4,75\n", two).channels.size() == 2);
}

TEST_CASE("names and units come from the header, samples to SI [src:ISO 80000-3 factors]") {
  const std::string body = "0,1,2,3\n0.5,1,2,3\n1.0,1,2,3\n1.5,1,2,4\n";
  for (const std::string head :
       {"Time (s),x [g],speed (mm/s),gap [um]\n", "time,x,speed,gap\n(s),(g),(mm/s),(um)\n",
        "\"Time (s)\",\"x [g]\",\"speed mm/s\",\"gap um\"\n",
        "# t [s],x [g],speed [mm/s],gap [\xc2\xb5m]\n"}) {
    CAPTURE(head);
    const Capture c = good(head + body);
    REQUIRE(c.channels.size() == 3);
    CHECK(c.rate == Hz{2});
    CHECK(c.channels[0].name == "x");
    CHECK(c.channels[1].name == "speed");
    CHECK(c.channels[0].samples[0] == 9.80665);
    CHECK(c.channels[0].unit == SampleUnit::acceleration);
    CHECK(test::close_rel(c.channels[1].samples[0], 0.002, 1e-15));
    CHECK(c.channels[1].unit == SampleUnit::velocity);
    CHECK(test::close_rel(c.channels[2].samples[0], 3e-6, 1e-15));
    CHECK(c.channels[2].unit == SampleUnit::displacement);
  }
  const Capture blank = good("Time (s) accel (m/s^2)\n0 1\n0.1 2\n0.2 3\n0.3 4\n");
  CHECK(blank.rate == Hz{10});
  CHECK(blank.channels.at(0).name == "accel");
  CHECK(blank.channels.at(0).unit == SampleUnit::acceleration);
}

TEST_CASE("the time unit of the header counts, and clock stamps are read [src:1 ms, ISO 8601]") {
  CHECK(good("t [ms],x\n0,1\n2,2\n4,3\n6,5\n").rate == Hz{500});
  const Capture c = good(
      "when,x\n2026-02-28T23:59:59.500Z,1\n2026-03-01T00:00:00.000Z,2\n2026-03-01T00:00:00.500Z,3\n"
      "2026-03-01T00:00:01.000Z,4\n",
      {.time_column = "1"});
  CHECK(test::close_rel(c.rate.value(), 2, 1e-9));
  REQUIRE(c.start_utc);
  CHECK(*c.start_utc == "2026-02-28T23:59:59.500Z");
}

TEST_CASE("names with their units as people write them [src:ISO 80000-1 7.1.4, and habits]") {
  struct Header {
    std::string_view text, name;
    SampleUnit unit;
    double step;  // ms of a step of 1 in the first column
  };
  using enum SampleUnit;
  for (const Header& h :
       {Header{"t/ms,a/(m/s^2)", "a", acceleration, 1},
        Header{"time / ms,acceleration in g", "acceleration", acceleration, 1},
        Header{"ms,g", "g", acceleration, 1}, Header{"us,mm/s", "mm/s", velocity, 1e-3},
        Header{"Time_ms,acc_ms2", "acc", acceleration, 1},
        Header{"Zeit,Weg\nms,mm", "Weg", displacement, 1},
        Header{"Zeit;x;n\nms;g;-", "x", acceleration, 1},
        Header{"unit,mm/s\nms,v1", "v1", velocity, 1},
        Header{"Einheit;g\nZeit [ms];Wert", "Wert", acceleration, 1},
        // A rate of turning is no time in seconds.
        Header{"t [ms],gyro deg/s", "gyro deg/s", uncalibrated, 1}}) {
    CAPTURE(h.text);
    const bool semicolon = h.text.find(';') != std::string_view::npos;
    const bool three = h.text.find(";n") != std::string_view::npos;
    std::string text{h.text};
    for (const int i : {0, 1, 2, 3, 4, 5})
      text += fmt::format("\n{}{}{}{}", i, semicolon ? ';' : ',', (i * 7) % 5, three ? ";4" : "");
    const Capture c = good(text);
    REQUIRE(c.channels.size() == (three ? 2U : 1U));
    CHECK(c.channels[0].name == h.name);
    CHECK(c.channels[0].unit == h.unit);
    CHECK(test::close_rel(c.rate.value(), 1000 / h.step, 1e-9));
  }
}

TEST_CASE("what goes along with a vibration is no channel [src:contract]") {
  const auto file = [](std::string_view header, std::string_view rest) {
    std::string text = std::string{header} + "\n";
    for (int i = 0; i < 200; ++i)
      text += fmt::format("{:.4f},{},{}\n", i * 1e-3, (i * 7) % 11,
                          fmt::format(fmt::runtime(rest), i % 20 == 0 ? 5 : 0));
    return text;
  };
  for (const std::string_view header :
       {"t [s],x [g],Speed (rpm)", "t [s],x [g],RPM", "t [s],x [g],n_rpm", "t,x,n\ns,g,1/min"}) {
    CAPTURE(header);
    const Capture c = good(file(header, "1480"));
    REQUIRE(c.channels.size() == 1);
    CHECK(c.channels[0].name == "x");
    REQUIRE(c.noted_speed);
    CHECK(*c.noted_speed == Rpm{1480});
  }
  const Capture warm = good(file("t [s],x [g],Temperature", "31.5"));
  CHECK(warm.channels.size() == 1);
  CHECK_FALSE(warm.noted_speed);
  // Pulses of a shaft marker stay, however they are called; so does what is asked for.
  CHECK(good(file("t [s],x [g],RPM", "{}")).channels.size() == 2);
  CHECK(good(file("t [s],x [g],RPM", "1480"), {.select = {"RPM"}}).channels[0].name == "RPM");
  // A log of a slow quantity has empty cells, which are no harm to the vibration.
  CHECK(good(file("t [s],x [g],Temp (C)", "")).findings.empty());
}

TEST_CASE("days and clocks in the forms of recorders and spreadsheets [src:written stamps]") {
  const std::vector<std::string_view> forms{
      "2026-05-11T09:30:{:06.3f}Z", "2026-05-11 09:30:{:06.3f}",       "2026/05/11 09:30:{:06.3f}",
      "11.05.2026 09:30:{:06.3f}",  "05/11/2026 9:30:{:06.3f} AM",     "09:30:{:06.3f}",
      "9:30:{:06.3f} PM",           "2026-05-11T09:30:{:06.3f}+02:00", "30:{:06.3f}",
      "2026-05-11;09:30:{:06.3f}",  "11.05.2026;09:30:{:06.3f}"};
  for (const std::string_view form : forms) {
    CAPTURE(form);
    std::string text;
    for (int i = 0; i < 100; ++i)
      text += fmt::format(fmt::runtime(form), 12 + i * 0.004) + fmt::format(";{}.5\n", i % 7);
    const Capture c = good(text);
    REQUIRE(c.channels.size() == 1);
    CHECK(c.channels[0].samples[3] == 3.5);
    CHECK(test::close_rel(c.rate.value(), 250, 1e-6));
    CHECK(c.findings.empty());
  }
  // A clock alone goes on past midnight.
  const Capture night =
      good("t;x\n23:59:59.0;1\n23:59:59.5;2\n00:00:00.0;3\n00:00:00.5;4\n00:00:01.0;1\n");
  CHECK(night.findings.empty());
  CHECK(night.rate == Hz{2});
  bad("2026-13-11 09:30:00;1\n2026-13-11 09:30:01;2\n", Errc::unsupported_format, "a.csv:1",
      "no row");
  bad("25:30:00;1\n25:30:01;2\n", Errc::unsupported_format, "a.csv:1", "no row");
}

TEST_CASE("UTF-16 of both orders and Latin-1 say the same as UTF-8 [src:RFC 2781, ISO 8859-1]") {
  const std::u16string wide =
      u"Zeit [ms];Geh\u00e4use \U0001F529 [m/s\u00b2]\n0;1,5\n2;-2,5\n4;3\n";
  for (const bool low_first : {true, false}) {
    std::string text = low_first ? "\xff\xfe" : "\xfe\xff";
    for (const char16_t c : wide) {
      const char low = static_cast<char>(c & 0xffU);
      const char high = static_cast<char>(c >> 8U);
      text += low_first ? low : high;
      text += low_first ? high : low;
    }
    const Capture c = good(text);
    REQUIRE(c.channels.size() == 1);
    CHECK(c.format == "delimited text, UTF-16");
    CHECK(c.channels[0].name == "Geh\xc3\xa4use \xf0\x9f\x94\xa9");
    CHECK(c.channels[0].unit == SampleUnit::acceleration);
    CHECK(c.channels[0].samples == std::vector<double>{1.5, -2.5, 3});
    CHECK(c.rate == Hz{500});
  }
  const Capture latin = good("t [s];Geh\xe4use [m/s\xb2]\n0;1\n1;2\n2;3\n");
  CHECK(latin.channels[0].name == "Geh\xc3\xa4use");
  CHECK(latin.channels[0].unit == SampleUnit::acceleration);
  // Half a pair, and a byte too many at the end.
  const std::string torn{
      "\xff\xfe"
      "1\0\n\0"
      "2\0\n\0"
      "\x00\xd8"
      "3",
      13};
  CHECK(good(torn, at_1k).channels[0].samples == std::vector<double>{1, 2});
}

TEST_CASE("thousands in groups are read where the decimal sign tells [src:the numbers written]") {
  std::string text = "t [s];x\n";
  for (int i = 0; i < 300; ++i)
    text += fmt::format("{:.3f};{}\n", i * 1e-3, i == 200 ? "-1,234,567.25" : "12.5");
  const Capture c = good(text);
  CHECK(c.channels[0].samples[200] == -1234567.25);
  CHECK(c.findings.empty());
  for (const char* odd : {"1,23.5", "1,2345.5", ",234.5", "1,,234.5", "12,34"}) {
    CAPTURE(odd);
    std::string other = text;
    other.replace(other.find("-1,234,567.25"), 13, odd);
    CHECK(has(good(other), FindingKind::repaired));
  }
}

TEST_CASE("quoted decimal commas, columns of words, clocks since 1970 [src:the numbers written]") {
  const Capture quoted =
      good("\"t [s]\",\"x\"\n\"0,000\",\"1,5\"\n\"0,002\",\"-2,25\"\n\"0,004\",\"3\"\n0,\"4,5\"\n",
           {.rate = Hz{500}, .select = {"x"}, .time_column = "none"});
  CHECK(quoted.channels[0].samples == std::vector<double>{1.5, -2.25, 3, 4.5});
  std::string status = "time;x [g];state\n";
  for (int i = 0; i < 40; ++i)
    status += fmt::format("{:.3f};{};{}\n", i * 1e-3, (i * 7) % 5, i % 3 == 0 ? "OK" : "high");
  const Capture c = good(status);
  REQUIRE(c.channels.size() == 1);
  CHECK(c.channels[0].name == "x");
  CHECK(c.rate == Hz{1000});
  CHECK(c.findings.empty());
  bad("1 word and 2 more, 3\nor 4 words, 5\n", Errc::unsupported_format, "a.csv:1", "no row");
  for (const double unit : {1e-3, 1e-6, 1e-9}) {
    std::string since = "timestamp,x\n";
    for (int i = 0; i < 1000; ++i)
      since += fmt::format("{:.0f},{}\n", (1778400000 + i * 0.02) / unit, i % 7);
    CHECK(test::close_rel(good(since).rate.value(), 50, 1e-4));
  }
}

TEST_CASE("notes behind the last row are left out, however many [src:contract]") {
  const Capture c = good(rows(100) + "\nEnd of record\nBy hand\nTemperature: warm\n");
  CHECK(c.size() == 100);
  REQUIRE(c.findings.size() == 1);
  CHECK(c.findings[0].where == "a.csv:102");
  CHECK(c.findings[0].consequence.find("none") == 0);
}

TEST_CASE("metadata lines give rate and speed [src:the numbers written]") {
  const Capture c = good(
      "Sample rate: 25600 Hz\nSpeed (rpm): 1480\nMade by hand\n\nx;y\n1,5;2,5\n3,5;4,5\n5,5;6,5\n");
  CHECK(c.rate == Hz{25600});
  REQUIRE(c.noted_speed);
  CHECK(*c.noted_speed == Rpm{1480});
  CHECK(good("# fs = 12.8 kHz\n1 2\n3 4\n").rate == Hz{12800});
  const Capture german = good("Abtastrate;25600 Hz\nDrehzahl;1480 1/min\n\nWert\n1,5\n2,5\n");
  CHECK(german.rate == Hz{25600});
  CHECK(german.noted_speed.value() == Rpm{1480});
}

TEST_CASE("columns are chosen by name, number, range and pattern [src:contract]") {
  const std::string text = "n,x,y,z\n1,10,20,30\n2,11,21,31\n3,12,22,33\n4,13,23,34\n";
  const auto first = [&](std::vector<std::string> select) {
    ReadOptions o = at_1k;
    o.select = std::move(select);
    std::vector<double> v;
    for (const Channel& c : good(text, o).channels) v.push_back(c.samples[0]);
    return v;
  };
  CHECK(first({}) == std::vector<double>{10, 20, 30});  // n only counts the rows
  CHECK(first({"z", "x"}) == std::vector<double>{30, 10});
  CHECK(first({"2-4"}) == std::vector<double>{10, 20, 30});
  CHECK(first({"3"}) == std::vector<double>{20});
  CHECK(first({"?"}) == std::vector<double>{1, 10, 20, 30});
  ReadOptions o = at_1k;
  o.select = {"w"};
  bad(text, Errc::not_found, "a.csv", "no column 'w'", o);
  o.select = {"7"};
  bad(text, Errc::not_found, "a.csv", "the file has 4", o);
  o.select = {"x", "2"};
  bad(text, Errc::bad_argument, "a.csv", "chosen twice", o);
  o.select = {"2-3"};
  o.names = {"radial", "axial"};
  CHECK(good(text, o).channels[1].name == "axial");
  o.names = {"a", "b", "c"};
  bad(text, Errc::bad_argument, "a.csv", "3 names given for 2", o);
}

TEST_CASE("a first row with extra fields is read, with a finding [src:known trap of an open set]") {
  const Capture c = good(
      "0;1.5 ;2.5 ;3.5 ;4.5 ;5.5 ;6.5\r\n5e-005;1.25 ;2.25 ;3.25 \r\n0.0001;1 ;2 ;3 \r\n"
      "0.00015;0.75 ;1.75 ;2.75 \r\n0.0002;0.5 ;1.5 ;2.5 \r\n0.00025;0.25 ;1.25 ;2.25 \r\n",
      {.select = {"2-4"}, .names = {"x", "y", "z"}, .time_column = "1"});
  CHECK(c.rate == Hz{20000});
  CHECK(c.size() == 6);
  CHECK(c.channels[0].samples[0] == 1.5);
  CHECK(c.channels[2].name == "z");
  REQUIRE(c.findings.size() == 1);
  CHECK(c.findings[0].kind == FindingKind::header_mismatch);
  CHECK(c.findings[0].where == "a.csv:1");
}

TEST_CASE("rows of clock fields are read by giving columns and rate [src:known open set]") {
  const Capture c =
      good("6,12,30,2.5e+05,1.5,-0.25\n6,12,30,2.5004e+05,1.25,-0.5\n6,12,30,2.5008e+05,1,0.75\n",
           {.rate = Hz{25600}, .units = {"g"}, .select = {"5", "6"}});
  CHECK(c.rate == Hz{25600});
  CHECK(test::close_rel(c.channels[1].samples[0], -0.25 * 9.80665, 1e-15));
}

TEST_CASE("few missing values are filled by straight lines, many are refused [src:interpolation]") {
  std::string text = rows(400);
  text.replace(text.find("0.1000,"), 9, "0.1000,NaN");
  text.insert(text.find("0.1010,"), 1, '\n');
  const std::size_t at = text.find("0.2000,");
  text.replace(at, text.find('\n', at) - at, "0.2000,abc");
  const Capture c = good(text);
  CHECK(c.size() == 400);
  CHECK(has(c, FindingKind::repaired));
  // Neighbours 99*7 % 11 = 0 and 101*7 % 11 = 3.
  CHECK(c.channels[0].samples[100] == 1.5);
  for (const double v : c.channels[0].samples) CHECK(std::isfinite(v));
  std::string much = rows(50);
  for (const char* t : {"0.0100,", "0.0200,", "0.0300,"}) {
    const std::size_t p = much.find(t);
    much.replace(p, much.find('\n', p) - p, fmt::format("{}xyz", t));
  }
  bad(much, Errc::corrupt_file, "a.csv:11", "'xyz' instead of a number");
}

TEST_CASE("ragged rows: a few are reported, many are refused with the line [src:contract]") {
  std::string text = rows(300, "{0:.4f},{1},{1}\n");
  const std::size_t at = text.find("0.1000,");
  text.replace(at, text.find('\n', at) - at, "0.1000,4");
  CHECK(has(good(text), FindingKind::repaired));
  bad("t,x,y\n0,1,2\n1,1,2\n2,1,2\n3,1\n4,1,2\n5,1\n6,1,2\n", Errc::corrupt_file, "a.csv:5",
      "fewer than 3 fields");
}

TEST_CASE("every form of a number is the nearest double [src:the standard library's from_chars]") {
  std::vector<std::string> numbers{"0",
                                   "-0",
                                   "-0.000",
                                   ".5",
                                   "-.25",
                                   "7.",
                                   "9007199254740993",
                                   "9007199254740992",
                                   "-9007199254740991.0",
                                   "0.1",
                                   "0.3",
                                   "123456789012345678",
                                   "0.123456789012345678",
                                   "1234567890123456789",
                                   "0.000000000000000001",
                                   "1e-5",
                                   "-2.5E+3",
                                   "1.7976931348623157e29",
                                   "4.9e-324"};
  std::uint64_t state = 88172645463325252U;
  const auto next = [&] {
    state ^= state << 13U;
    state ^= state >> 7U;
    state ^= state << 17U;
    return state;
  };
  for (int i = 0; i < 20000; ++i) {
    std::string digits = std::to_string(next()).substr(0, 1 + next() % 19);
    digits.insert(next() % (digits.size() + 1), ".");
    numbers.push_back((next() % 2 == 0 ? "-" : "") + digits);
  }
  std::string text;
  for (const std::string& n : numbers) text += n + "\n";
  const Capture c = good(text, at_1k);
  REQUIRE(c.size() == numbers.size());
  CHECK(c.findings.empty());
  std::size_t same = 0;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    double want = 0;
    const char* const from = numbers[i].data();
    REQUIRE(std::from_chars(from, from + numbers[i].size(), want).ec == std::errc{});
    const double got = c.channels[0].samples[i];
    INFO(numbers[i]);
    CHECK_MESSAGE((got == want && std::signbit(got) == std::signbit(want)), got);
    same += got == want ? 1U : 0U;
  }
  CHECK(same == numbers.size());
}

TEST_CASE("odd lines in a file of several blocks: every other row is kept [src:written values]") {
  std::string text = "t [s],x,y\n";
  std::vector<double> x;
  const std::size_t n = 180000;  // some 4 MB: several of the reader's blocks of 1 MiB
  for (std::size_t i = 0; i < n; ++i) {
    if (i % 5000 == 4999) text += "# a remark within the data\n";
    x.push_back(static_cast<double>((i * 7919) % 100003) / 64 - 700);
    text += fmt::format("{:.4f},{},{}\n", static_cast<double>(i) * 1e-4, x.back(),
                        i == 150000 ? "gone" : "1");
  }
  REQUIRE(text.size() > (std::size_t{3} << 20U));
  const Capture c = good(text);
  CHECK(c.rate == Hz{10000});
  REQUIRE(c.channels.size() == 2);
  CHECK(c.channels[0].samples == x);
  CHECK(c.channels[1].samples == std::vector<double>(n, 1.0));
  REQUIRE(c.findings.size() == 1);
  // The header, 150000 rows, 30 remarks.
  CHECK(c.findings[0].what.find("a.csv:150032") != std::string::npos);
  CHECK(c.findings[0].what.find("'gone'") != std::string::npos);
}

TEST_CASE("gaps, jitter and clocks running back in the stamps [src:made stamps]") {
  std::string gap = "t [s],x\n";
  for (int i = 0; i < 1000; ++i)
    gap += fmt::format("{:.3f},{}\n", (i + (i >= 500 ? 40 : 0)) * 1e-3, i % 9);
  const Capture g = good(gap);
  CHECK(g.rate == Hz{1000});
  REQUIRE(g.findings.size() == 1);
  CHECK(g.findings[0].kind == FindingKind::gap);
  CHECK(g.findings[0].where == "a.csv:502");  // row 501 behind the header
  CHECK(g.findings[0].what.find("0.04 s missing") != std::string::npos);

  std::string jitter = "t [s],x\n";
  for (int i = 0; i < 1000; ++i) {
    jitter += fmt::format("{:.7f},{}\n", i * 1e-3 + ((i * 37) % 11 - 5) * 1e-5, i % 9);
  }
  const Capture j = good(jitter);
  REQUIRE(j.findings.size() == 1);
  CHECK(j.findings[0].kind == FindingKind::time_jitter);
  CHECK(test::close_rel(j.rate.value(), 1000, 1e-4));

  // Stamps printed coarser than the step are no jitter: 25600 Hz with 0.1 ms digits.
  std::string coarse = "t [s],x\n";
  for (int i = 0; i < 25600; ++i) coarse += fmt::format("{:.4f},{}\n", i / 25600.0, i % 9);
  const Capture c = good(coarse);
  CHECK(c.findings.empty());
  CHECK(test::close_rel(c.rate.value(), 25600, 2e-4));
  // Cut to whole milliseconds, so that the ends are off: a line through all stamps is not.
  std::string cut = "t [s],x\n";
  for (int i = 0; i < 25600; ++i)
    cut += fmt::format("{:.3f},{}\n", i * 1000 / 25600 / 1000.0, i % 9);
  CHECK(good(cut).rate == Hz{25600});

  bad("t,x\n0,1\n1,2\n2,3\n3,4\n4,5\n1.5,6\n2.5,7\n3.5,8\n4.5,9\n5.5,8\n6.5,8\n7.5,8\n",
      Errc::corrupt_file, "a.csv:7", "time goes back");
  bad("t,x\n1,1\n1,2\n1,3\n1,4\n", Errc::corrupt_file, "a.csv:3", "do not increase");
}

TEST_CASE("a given rate wins over the stamps and says so when they differ [src:contract]") {
  const Capture c = good(rows(100), {.rate = Hz{2000}});
  CHECK(c.rate == Hz{2000});
  CHECK(has(c, FindingKind::header_mismatch));
  CHECK_FALSE(has(good(rows(100), {.rate = Hz{1000}}), FindingKind::header_mismatch));
}

TEST_CASE("what cannot be read is refused in one line with advice [src:contract]") {
  bad("", Errc::too_short, "a.csv", "empty");
  bad("\n\n  \n", Errc::unsupported_format, "a.csv", "no text");
  bad("hello world\nthis is prose\n", Errc::unsupported_format, "a.csv:1", "no row of numbers");
  bad("1.5\n2.5\n3.5\n", Errc::missing_metadata, "a.csv", "sample rate");
  bad("t,x\n0,1\n", Errc::too_short, "a.csv:2", "a single sample");
  bad("1.5\n2.5\n", Errc::bad_argument, "a.csv", "sample rate of 0", {.rate = Hz{0}});
  bad("1.5\n2.5\n", Errc::bad_argument, "unit", "'furlong'", {.rate = Hz{1}, .units = {"furlong"}});
  bad("1.5\n2.5\n", Errc::bad_argument, "a.csv", "2 units given for 1",
      {.rate = Hz{1}, .units = {"g", "g"}});
  bad("x [g]\n1.5\n2.5\n", Errc::bad_argument, "a.csv", "turns volts",
      {.rate = Hz{1}, .sensitivity_mv_per_g = {100}});
  bad("1.5\n2.5\n3.5\n", Errc::bad_argument, "a.csv", "more than 2 samples",
      {.rate = Hz{1}, .max_samples = 2});
  bad("PK\x03\x04zzzz", Errc::unsupported_format, "a.csv", "zip archive");
  bad("t,x\n0,1\n1,\n", Errc::corrupt_file, "a.csv:3", "1 of 2 samples");
  bad(std::string_view{"\x01\x02\0\0\0zz", 7}, Errc::unsupported_format, "a.csv", "binary");
}

TEST_CASE("volts become acceleration by the sensitivity [src:100 mV/g, 1 g = 9.80665 m/s2]") {
  const Capture c = good("x [V]\n0.1\n-0.2\n", {.rate = Hz{1}, .sensitivity_mv_per_g = {100}});
  CHECK(c.channels[0].unit == SampleUnit::acceleration);
  CHECK(test::close_rel(c.channels[0].samples[0], 9.80665, 1e-14));
  const Capture mv = good("x [mV]\n100\n-200\n", {.rate = Hz{1}, .sensitivity_mv_per_g = {100}});
  CHECK(test::close_rel(mv.channels[0].samples[1], -2 * 9.80665, 1e-14));
  CHECK(good("x [mV]\n100\n-200\n", at_1k).channels[0].samples[0] == 0.1);
}

TEST_CASE("gzip text is read, a cut one as far as it goes [src:same samples]") {
  const test::Scratch scratch;
  const std::string text = rows(20000);
  const std::string path = scratch.path("a.csv.gz");
  gzFile z = gzopen(path.c_str(), "wb");
  REQUIRE(gzwrite(z, text.data(), static_cast<unsigned>(text.size())) ==
          static_cast<int>(text.size()));
  gzclose(z);
  auto r = read_capture(path);
  REQUIRE(r.has_value());
  CHECK(r->channels[0].samples == good(text).channels[0].samples);
  std::filesystem::resize_file(path, std::filesystem::file_size(path) / 2);
  auto half = read_capture(path);
  REQUIRE_MESSAGE(half.has_value(), (half ? std::string{} : half.error().message()));
  CHECK(has(*half, FindingKind::truncated));
  CHECK(half->size() > 1000);
  CHECK(half->size() < 20000);
}

TEST_CASE("contents of text: columns, units, time and rate before reading [src:contract]") {
  const std::string_view text = "# rpm = 1480\nTime (s),x [g]\n0,1\n0.001,2\n0.002,3\n0.003,4\n";
  const auto c = list_contents_bytes(std::as_bytes(std::span{text}), "a.csv");
  REQUIRE(c.has_value());
  REQUIRE(c->items.size() == 2);
  CHECK(c->items[0].is_time);
  CHECK(c->items[1].is_signal);
  CHECK(c->items[1].unit == "g");
  CHECK(test::close_rel(c->rate.value().value(), 1000, 1e-9));
  CHECK(c->noted_speed.value() == Rpm{1480});
}
