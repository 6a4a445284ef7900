// What is not a file of text is refused in one line, and never waited for.
#include "bearingdsp/machine/text_file.hpp"

#include <doctest/doctest.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <string>

#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

void refused(const std::string& path, std::string_view what) {
  for (const Error& e : {read_text_file(path).error(), check_regular_file(path).error()}) {
    INFO(e.message());
    CHECK(e.code == Errc::io);
    CHECK(e.what.find(what) != std::string::npos);
    CHECK_FALSE(e.advice.empty());
    CHECK(e.message().find('\n') == std::string::npos);
  }
}

}  // namespace

TEST_CASE("text file: devices, pipes, sockets and folders are refused, not waited for") {
  const test::Scratch scratch;
  refused("/dev/zero", "is a device");
  refused("/dev/null", "is a device");
  refused(scratch.path(""), "is a folder");
  refused(scratch.path("nothing"), "does not exist");
  // Nobody writes to it: opening it would wait forever.
  REQUIRE(mkfifo(scratch.path("pipe").c_str(), 0600) == 0);
  refused(scratch.path("pipe"), "is a pipe");
  std::filesystem::create_symlink("pipe", scratch.path("link"));
  refused(scratch.path("link"), "is a pipe");
  const int fd = socket(AF_UNIX, SOCK_STREAM, 0);
  REQUIRE(fd >= 0);
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  const std::string path = scratch.path("socket");
  REQUIRE(path.size() < sizeof address.sun_path);
  std::copy(path.begin(), path.end(), address.sun_path);
  REQUIRE(bind(fd, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
  refused(path, "is a socket");
  close(fd);
}

TEST_CASE("text file: read up to the limit, refused one byte above it") {
  const test::Scratch scratch;
  const std::string text(100000, 'x');
  const std::string path = scratch.file("a.txt", text);
  CHECK(read_text_file(path).value() == text);
  CHECK(read_text_file(path, 100000).value() == text);
  const auto over = read_text_file(path, 99999);
  REQUIRE_FALSE(over);
  CHECK(over.error().code == Errc::io);
  CHECK(over.error().what == "is larger than 99999 bytes");
  CHECK(read_text_file(scratch.file("empty", "")).value().empty());
  // A link to a file is a file.
  std::filesystem::create_symlink("a.txt", scratch.path("link"));
  CHECK(read_text_file(scratch.path("link")).value() == text);
}
