#include "bearingdsp/history/hash.hpp"

#include <doctest/doctest.h>

#include <span>
#include <string>

#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {
std::string of(const std::string& text) {
  return sha256(std::as_bytes(std::span{text.data(), text.size()}));
}
}  // namespace

TEST_CASE(
    "sha256: the published examples [src:fips180-4 examples of the standard's authors, from "
    "memory]") {
  CHECK(of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(of("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(of("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(of(std::string(1'000'000, 'a')) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("sha256: a file has the hash of its bytes, whatever the length about a piece") {
  const test::Scratch scratch;
  for (const std::size_t n : {0U, 1U, 55U, 56U, 63U, 64U, 65U, 65535U, 65536U, 65537U, 200000U}) {
    const std::string text(n, 'q');
    CHECK(sha256_of_file(scratch.file("f", text)).value() == of(text));
  }
  const auto gone = sha256_of_file(scratch.path("none"));
  REQUIRE_FALSE(gone);
  CHECK(gone.error().code == Errc::io);
}

TEST_CASE("hash: a file is known again by its beginning, whichever is longer") {
  const test::Scratch scratch;
  std::string whole(20'000, 'x');
  for (std::size_t i = 0; i < whole.size(); ++i) whole[i] = static_cast<char>(i * i % 251);
  const auto content = [&](const std::string& text) {
    const auto c = content_of_file(scratch.file("f", text));
    REQUIRE(c);
    CHECK(c->hash == sha256(std::as_bytes(std::span{text})));
    CHECK(c->size_bytes == text.size());
    return c->beginnings;
  };
  const std::string all = content(whole);
  CHECK(begin_alike(all, all));
  CHECK(begin_alike(all, content(whole.substr(0, 12'000))));
  CHECK(begin_alike(content(whole.substr(0, 6'000)), all));
  // The length in the header of a recording that goes on is another one.
  std::string header = whole.substr(0, 12'000);
  header[4] = 'L';
  CHECK(begin_alike(content(header), all));
  std::string other = whole;
  other[700] = '!';
  CHECK_FALSE(begin_alike(content(other), all));
  CHECK_FALSE(begin_alike(content(other), content(whole.substr(0, 12'000))));
  // Too short to hold a recording: nothing is known.
  CHECK(content(whole.substr(0, 4'000)).empty());
  CHECK_FALSE(begin_alike("", all));
  CHECK_FALSE(begin_alike("", ""));
  CHECK_FALSE(content_of_file(scratch.path("none")));
}
