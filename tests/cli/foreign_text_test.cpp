#include <doctest/doctest.h>
#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::Ran;
using test::run;
namespace fs = std::filesystem;

namespace {

// Colour, CSI as one C1 character, an override of direction, an isolate; a formula; a tag.
const std::string evil =
    "=cmd\x1b[31m\xc2\x9b"
    "2J\xe2\x80\xae\xe2\x81\xa6<b onclick=x>*z*";

/// Whether a terminal that shows the text is steered: a control character other than a line break,
/// C1 in UTF-8, or a directional formatting character.
bool steers(const std::string& text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto at = [&](std::size_t k) {
      return i + k < text.size() ? static_cast<unsigned char>(text[i + k]) : 0U;
    };
    if ((at(0) < 0x20 && at(0) != '\n' && at(0) != '\r' && at(0) != '\t') || at(0) == 0x7f)
      return true;
    if (at(0) == 0xc2 && at(1) >= 0x80 && at(1) < 0xa0) return true;
    if (at(0) == 0xe2 && at(1) == 0x80 && at(2) >= 0xa8 && at(2) <= 0xae) return true;
    if (at(0) == 0xe2 && at(1) == 0x81 && at(2) >= 0xa6 && at(2) <= 0xa9) return true;
  }
  return false;
}

Ran quiet(const std::vector<std::string>& words) {
  const Ran r = run(words);
  INFO(words.front() << ": " << r.out << r.err);
  CHECK_FALSE(steers(r.out));
  CHECK_FALSE(steers(r.err));
  return r;
}

/// A survey of one machine whose name, point and recording are foreign text.
void furnish(const Folder& f) {
  fs::create_directory(f.file("rounds"));
  const std::string wav = f.simulated(
      "a.wav", {"--rpm", "1480", "--rate", "12800", "--duration", "2", "--noise", "0.5"});
  fs::copy_file(wav, f.file("rounds/2026-02-10_" + evil.substr(0, 20) + ".wav"));
  f.write("rounds/nobody" + std::string{"\x1b[2J"} + ".wav", "none");
  f.write("machines.toml",
          "[[machine]]\nname = \"=1+1\\u001b[31m\\u009b2J\\u202e<b onclick=x>*z*\"\n"
          "rated_rpm = 1480\n"
          "bearing.DE = { designation = \"6205\" }\n"
          "point = [{ name = \"@DE\\u202e\", end = \"DE\", unit = \"m/s2\" }]\n");
  f.write("route.toml",
          "machines = \"machines.toml\"\n"
          "point = [{ machine = \"=1+1\\u001b[31m\\u009b2J\\u202e<b onclick=x>*z*\", point = "
          "\"@DE\\u202e\", files = \"{date}_*.wav\" }]\n");
}

}  // namespace

TEST_CASE("foreign text: names of files, machines and points steer no terminal in any command") {
  const Folder f;
  furnish(f);
  const std::string machine =
      "=1+1\x1b[31m\xc2\x9b"
      "2J\xe2\x80\xae<b onclick=x>*z*";
  const std::vector<std::string> store{"--store", f.file("h.db")};
  const auto with_store = [&](std::vector<std::string> words) {
    words.insert(words.end(), store.begin(), store.end());
    return quiet(words);
  };
  for (const std::vector<std::string>& how :
       {std::vector<std::string>{}, {"--json"}, {"--ndjson"}}) {
    std::vector<std::string> words{"route", "run", f.file("rounds"), "--route",
                                   f.file("route.toml")};
    words.insert(words.end(), how.begin(), how.end());
    CHECK(has(with_store(words).out, "=1+1"));
  }
  for (const char* how : {"", "--json"}) {
    std::vector<std::string> more;
    if (*how != 0) more.emplace_back(how);
    const auto with = [&](std::vector<std::string> words) {
      words.insert(words.end(), more.begin(), more.end());
      return words;
    };
    with_store(with({"trend", machine}));
    with_store(with({"history", "list"}));
    quiet(with({"machine", "check", f.file("machines.toml")}));
    const std::string odd = f.file(evil.substr(0, 20) + ".csv");
    fs::copy_file(f.file("a.wav"), odd, fs::copy_options::overwrite_existing);
    quiet(with({"inspect", odd}));
    quiet(with({"diagnose", odd, "--bearing", "6205", "--rpm", "1480", "--unit", "m/s2"}));
    quiet(with({"diagnose", f.file("none" + evil.substr(0, 20))}));
    quiet(with({"frequencies", "--bearing", evil}));
    quiet(with({"bearing", evil}));
    quiet(with({"cause", "--seen", evil}));
  }
  quiet({evil});
  quiet({"simulate", "--duration", "1", "--out", f.file(evil.substr(0, 20) + "x.wav")});
  with_store({"history", "event", machine, "note", "--time", "2026-02-20", "--note", evil});
  CHECK(has(with_store({"history", "check", "--files"}).out, "DATABASE OK"));

  // A table that a spreadsheet opens; documents that keep what was in them.
  const Ran csv = with_store({"history", "export"});
  CHECK(has(csv.out, "\n'=1+1"));
  CHECK(has(csv.out, ",'@DE"));
  const Ran lines = with_store({"history", "export", "--json"});
  std::vector<json> documents;
  for (std::size_t at = 0, end = 0; (end = lines.out.find('\n', at)) != std::string::npos;
       at = end + 1)
    documents.push_back(json::parse(lines.out.substr(at, end - at)));
  REQUIRE(documents.size() == 2);
  CHECK(documents.front()["machine"] == machine);
  CHECK(documents.back()["note"] == evil);
}

TEST_CASE(
    "foreign text: a job card holds no tag, and its page forbids itself what it does not use") {
  const Folder f;
  const std::vector<std::string> words{"replacement", "6205",       "--name",
                                       evil,          "--job-card", f.file("card.html")};
  REQUIRE(quiet(words).code == 0);
  const std::string page = f.read("card.html");
  CHECK_FALSE(steers(page));
  CHECK_FALSE(has(page, "<b onclick"));
  CHECK(has(page, "http-equiv=\"Content-Security-Policy\""));
  CHECK(has(page, "default-src 'none'"));
  CHECK(has(page, "script-src 'none'"));
  CHECK(has(page, "style-src 'sha256-"));
  const Ran card = quiet({"replacement", "6205", "--name", evil, "--job-card", "-"});
  CHECK_FALSE(has(card.out, "<b onclick"));
  CHECK(has(card.out, "&lt;b onclick=x&gt;\\*z\\*"));
}

TEST_CASE("foreign text: libraries beneath keep their words for themselves") {
  const Folder f;
  const std::string mpeg = "\xff\xfb\x90\x64";  // the header of a frame of MPEG layer III
  std::string rubbish;
  for (int i = 0; i < 20000; ++i) rubbish += static_cast<char>((i * 7919 + i / 251) & 0xff);
  for (const std::string& bytes :
       {mpeg + rubbish, std::string{"ID3\x03\x00\x00\x00\x00\x0f\x76", 10} + rubbish + mpeg,
        mpeg + std::string(413, '\0') + mpeg + rubbish, mpeg + std::string(5000, '\0') + rubbish,
        std::string{"RIFF\xff\xff\xff\x7fWAVE"} + rubbish, std::string{"fLaC"} + rubbish,
        std::string{"OggS"} + rubbish, std::string{"caff"} + rubbish}) {
    f.write("a.bin", bytes);
    const Ran r = run({"inspect", f.file("a.bin")});
    INFO(r.err);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') <= 1);
    CHECK((r.err.empty() || r.err.starts_with("bearingdsp: ")));
    for (const char* word : {"libsndfile", "mpg123", "internal error", "Error :", "src/"})
      CHECK_FALSE(has(r.err, word));
  }
}

TEST_CASE("history check: what is wrong is also said in one line on stderr") {
  const Folder f;
  furnish(f);
  REQUIRE(run({"route", "run", f.file("rounds"), "--route", f.file("route.toml"), "--store",
               f.file("h.db")})
              .code != 2);
  const std::string whole = f.read("h.db");
  int damaged = 0;
  for (std::size_t page = 1; page * 4096 < whole.size(); ++page) {
    std::string bytes = whole;
    for (std::size_t i = 0; i < 64; ++i) bytes[page * 4096 + 8 + i] = '\x55';
    f.write("h.db", bytes);
    const Ran r = run({"history", "check", "--store", f.file("h.db")});
    if (r.code == 0) continue;
    CHECK(r.code == 2);
    CHECK(r.err.starts_with("bearingdsp: " + f.file("h.db") + ": "));
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
    damaged += has(r.out, "DATABASE DAMAGED") && has(r.err, "is damaged: ") ? 1 : 0;
  }
  CHECK(damaged > 0);
}
