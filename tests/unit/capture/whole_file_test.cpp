#include "bearingdsp/capture/whole_file.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <utility>

#include "support/scratch.hpp"

using namespace bearingdsp;
namespace fs = std::filesystem;

namespace {

std::string text_of(const std::string& path) {
  std::ifstream in{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
}
std::size_t entries(const std::string& folder) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator{folder}, fs::directory_iterator{}));
}

}  // namespace

TEST_CASE("whole file: nothing is there until all is, and nothing stays of what was dropped") {
  const test::Scratch s;
  const std::string path = s.path("a.wav");
  {
    auto dropped = WholeFile::start(path);
    REQUIRE(dropped);
    REQUIRE(dropped->write("half"));
    CHECK_FALSE(fs::exists(path));
    CHECK(entries(s.path("")) == 1);
    // A watcher of recordings must not take it for one.
    CHECK(dropped->temporary().ends_with(".part"));
  }
  CHECK(entries(s.path("")) == 0);
  auto file = WholeFile::start(path);
  REQUIRE(file);
  REQUIRE(file->write("one "));
  REQUIRE(file->write("two"));
  REQUIRE(file->commit());
  CHECK(text_of(path) == "one two");
  CHECK(entries(s.path("")) == 1);
}

TEST_CASE("whole file: no name of the temporary can be foreseen") {
  const test::Scratch s;
  std::set<std::string> names;
  for (int i = 0; i < 50; ++i) {
    const auto file = WholeFile::start(s.path("a.txt"));
    REQUIRE(file);
    names.insert(file->temporary());
  }
  CHECK(names.size() == 50);
}

TEST_CASE("whole file: the mode of what is replaced is kept") {
  const test::Scratch s;
  const std::string path = s.file("a.txt", "old");
  REQUIRE(::chmod(path.c_str(), 0604) == 0);
  auto file = WholeFile::start(path);
  REQUIRE(file);
  REQUIRE(file->commit());
  struct stat now {};
  REQUIRE(::stat(path.c_str(), &now) == 0);
  CHECK((now.st_mode & 0777U) == 0604U);
}

TEST_CASE("whole file: a link stays, what it names is written, also where nothing is yet") {
  const test::Scratch s;
  fs::create_directory(s.path("there"));
  fs::create_symlink("there/b.txt", s.path("second"));
  fs::create_symlink("second", s.path("first"));
  auto file = WholeFile::start(s.path("first"));
  REQUIRE(file);
  REQUIRE(file->write("x"));
  REQUIRE(file->commit());
  CHECK(text_of(s.path("there/b.txt")) == "x");
  CHECK(fs::is_symlink(s.path("first")));
  CHECK(fs::is_symlink(s.path("second")));
  fs::create_symlink("round", s.path("round"));
  CHECK_FALSE(WholeFile::start(s.path("round")));
}

TEST_CASE("whole file: what came to be meanwhile is kept where that is asked for") {
  const test::Scratch s;
  auto file = WholeFile::start(s.path("a.txt"));
  REQUIRE(file);
  (void)s.file("a.txt", "of another");
  const auto done = file->commit(Existing::keep);
  REQUIRE_FALSE(done);
  CHECK(done.error().code == Errc::bad_argument);
  CHECK(text_of(s.path("a.txt")) == "of another");
}

TEST_CASE("whole file: a folder, a pipe, a place that is not there are errors with their path") {
  const test::Scratch s;
  REQUIRE(::mkfifo(s.path("pipe").c_str(), 0600) == 0);
  for (const std::string& path : {s.path(""), s.path("pipe"), s.path("no/a.txt"), std::string{}}) {
    const auto file = WholeFile::start(path);
    REQUIRE_FALSE(file);
    CHECK(file.error().code == Errc::io);
  }
  CHECK(entries(s.path("")) == 1);
}

TEST_CASE("whole file: reserved room is used by what is written, and the rest given back") {
  const test::Scratch s;
  auto file = WholeFile::start(s.path("a.toml"));
  REQUIRE(file);
  REQUIRE(file->reserve(4096));
  CHECK(fs::file_size(file->temporary()) == 4096);
  REQUIRE(file->write("x = 1\n"));
  auto moved = std::move(*file);
  REQUIRE(moved.commit());
  CHECK(text_of(s.path("a.toml")) == "x = 1\n");
}
