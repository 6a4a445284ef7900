// NumPy files and generic HDF5, written by numpy and h5py: tests/reference/gen_formats.py.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <utility>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/unit.hpp"
#include "support/close.hpp"
#include "support/reference_signal.hpp"

using namespace bearingdsp;
using test::reference_bytes;
using test::reference_file;
using test::reference_sample;

namespace {

double worst(const Channel& channel, std::size_t k, double scale = 1) {
  double most = channel.samples.size() == 100 ? 0 : 1e9;
  for (std::size_t i = 0; i < channel.samples.size(); ++i)
    most = std::max(most, std::abs(channel.samples[i] - scale * reference_sample(i, k)));
  return most;
}

}  // namespace

TEST_CASE("npy: types, byte order and both orders of the sides [src:numpy, gen_formats.py]") {
  const ReadOptions rate{.rate = Hz{25600}, .units = {"m/s2"}};
  const auto one = read_capture(reference_file("one.npy"), rate);
  REQUIRE_MESSAGE(one.has_value(), one.error().message());
  CHECK(one->format == "NumPy npy");
  CHECK(worst(one->channels[0], 0) == 0);
  const auto ints = read_capture(reference_file("two_big_int.npy"), rate);
  REQUIRE_MESSAGE(ints.has_value(), ints.error().message());
  REQUIRE(ints->channels.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) CHECK(worst(ints->channels[k], k, 1000) < 1e-9);
  const auto fortran = read_capture(reference_file("two_fortran.npy"), rate);
  REQUIRE_MESSAGE(fortran.has_value(), fortran.error().message());
  REQUIRE(fortran->channels.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) CHECK(worst(fortran->channels[k], k) < 1e-7);
  const auto no_rate = read_capture(reference_file("one.npy"));
  REQUIRE_FALSE(no_rate.has_value());
  CHECK(no_rate.error().code == Errc::missing_metadata);
  const auto fields = read_capture(reference_file("fields.npy"), rate);
  REQUIRE_FALSE(fields.has_value());
  CHECK_FALSE(fields.error().advice.empty());
}

TEST_CASE(
    "npz: stored and packed, with rate, speed and unit beside the signal "
    "[src:numpy, gen_formats.py]") {
  const auto named = read_capture(reference_file("named.npz"));
  REQUIRE_MESSAGE(named.has_value(), named.error().message());
  CHECK(named->rate.value() == 25600);
  CHECK(named->noted_speed.value().value() == 1480);
  CHECK(named->channels[0].name == "x");
  CHECK(named->channels[0].unit == SampleUnit::acceleration);
  CHECK(worst(named->channels[0], 0) == 0);
  const auto which = read_capture(reference_file("packed.npz"));
  REQUIRE_FALSE(which.has_value());
  CHECK(which.error().message().find("contains 2 signals: x (100), y (100)") != std::string::npos);
  const auto y = read_capture(reference_file("packed.npz"), {.select = {"y"}});
  REQUIRE_MESSAGE(y.has_value(), y.error().message());
  CHECK(y->rate.value() == 25600);
  CHECK(worst(y->channels[0], 1) == 0);
  // Cut off: the directory is at the end of a zip archive.
  const std::string bytes = reference_bytes("named.npz");
  const std::string part = bytes.substr(0, bytes.size() - 60);
  const auto cut = read_capture_bytes(std::as_bytes(std::span{part}), "a.npz");
  REQUIRE_FALSE(cut.has_value());
  CHECK(cut.error().code == Errc::corrupt_file);
  CHECK(cut.error().message().find("directory of the archive") != std::string::npos);
}

TEST_CASE("HDF5: rate, unit and speed from attributes [src:h5py, gen_formats.py]") {
  const auto r = read_capture(reference_file("attributes.h5"));
  REQUIRE_MESSAGE(r.has_value(), r.error().message());
  CHECK(r->format == "HDF5");
  CHECK(r->rate.value() == 25600);
  CHECK(r->noted_speed.value().value() == 1480);
  CHECK(r->channels[0].name == "bearing.vibration");
  CHECK(r->channels[0].unit == SampleUnit::acceleration);  // a text of any length, in a heap
  CHECK(worst(r->channels[0], 0) < 1e-7);
  const auto two = read_capture(reference_file("fixed_text.h5"));
  REQUIRE_MESSAGE(two.has_value(), two.error().message());
  REQUIRE(two->channels.size() == 2);
  CHECK(two->rate.value() == 25600);
  for (std::size_t k = 0; k < 2; ++k) CHECK(worst(two->channels[k], k, standard_gravity) < 1e-12);
}

TEST_CASE("a spreadsheet is refused with the way to CSV [src:contract]") {
  // The first entry of an Office Open XML file, and of an OpenDocument one.
  std::string local{"PK\x03\x04", 4};
  local += std::string(22, '\0');
  const auto with = [&](const std::string& name, const std::string& content) {
    std::string file =
        local + std::string{static_cast<char>(name.size()), '\0', '\0', '\0'} + name + content;
    return read_capture_bytes(std::as_bytes(std::span{file}), "a.xlsx");
  };
  for (const auto& [name, content] :
       {std::pair{"[Content_Types].xml", ""},
        std::pair{"mimetype", "application/vnd.oasis.opendocument.spreadsheet"}}) {
    const auto r = with(name, content);
    REQUIRE_FALSE(r.has_value());
    CHECK(r.error().what == "is a spreadsheet");
    CHECK(r.error().advice.find("CSV") != std::string::npos);
  }
  CHECK(with("a.txt", "").error().what == "is a zip archive");
}
