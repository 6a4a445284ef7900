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
