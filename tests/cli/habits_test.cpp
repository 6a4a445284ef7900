// What every command has in common: short options, exit codes, help, suggestions, formats, numbers,
// and what the shell completes.
#include <doctest/doctest.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "bearingdsp/capture/file_unit.hpp"
#include "bearingdsp/history/trend.hpp"
#include "cli/run.hpp"
#include "command_tree.hpp"
#include "commands.hpp"
#include "exit_codes.hpp"
#include "paths.hpp"
#include "support/skip.hpp"

using test::Folder;
using test::has;
using test::run;

namespace {

std::vector<cli::CommandText> commands() {
  CLI::App app;
  cli::Run nothing;
  cli::add_commands(app, nothing);
  return cli::command_tree(app);
}

bool one_error(const std::string& err) {
  return err.rfind("bearingdsp: ", 0) == 0 && std::count(err.begin(), err.end(), '\n') == 1;
}

/// Names of the options of all commands that are written with this one.
std::set<std::string> written_with(const std::string& name) {
  std::set<std::string> all;
  for (const auto& command : commands())
    for (const auto& option : command.options)
      if (std::find(option.names.begin(), option.names.end(), name) != option.names.end())
        for (const auto& other : option.names)
          if (other != name) all.insert(other);
  return all;
}

std::vector<std::string> split(const std::string& path) {
  std::vector<std::string> words;
  for (std::size_t at = 0; at < path.size();) {
    const std::size_t end = std::min(path.find(' ', at), path.size());
    words.push_back(path.substr(at, end - at));
    at = end + 1;
  }
  return words;
}

}  // namespace

TEST_CASE("habits: a short option has one long form, and a long one its short form, everywhere") {
  const std::map<std::string, std::string> pairs{{"-b", "--bearing"}, {"-n", "--rpm"},
                                                 {"-u", "--unit"},    {"-q", "--quiet"},
                                                 {"-v", "--verbose"}, {"-c", "--channel"}};
  for (const auto& [brief, full] : pairs) {
    CHECK(written_with(brief) == std::set<std::string>{full});
    CHECK(written_with(full) == std::set<std::string>{brief});
  }
  const auto all = commands();
  for (const auto& command : all)
    for (const auto& option : command.options) {
      INFO(command.path);
      if (option.names == std::vector<std::string>{"--json"}) CHECK(option.value.empty());
      // What prints a report in colour can also print one line.
      if (option.names == std::vector<std::string>{"--colour"})
        CHECK(std::any_of(command.options.begin(), command.options.end(), [](const auto& other) {
          return other.names == std::vector<std::string>{"-q", "--quiet"};
        }));
    }
}

TEST_CASE("habits: -u, -n and -q do what the long forms do") {
  const Folder f;
  const std::string wav = f.simulated("a.wav", {"-n", "1480"});
  const auto same = [&](const std::vector<std::string>& a, const std::vector<std::string>& b) {
    const auto one = run(a);
    const auto two = run(b);
    CHECK(one.code != 2);
    CHECK(one.code == two.code);
    CHECK(one.out == two.out);
    return one.out;
  };
  same({"inspect", wav, "-u", "m/s2"}, {"inspect", wav, "--unit", "m/s2"});
  same({"frequencies", "--elements", "9", "-n", "1480"},
       {"frequencies", "--elements", "9", "--rpm", "1480"});
  const std::vector<std::vector<std::string>> quiet{
      {"diagnose", wav, "-u", "m/s2", "--elements", "9", "-n", "1480"},
      {"inspect", wav, "-u", "m/s2"},
      {"acceptance", wav, "-u", "m/s2", "--elements", "9", "-n", "1480", "--shaft-height", "90",
       "--mounting", "rigid"},
      {"frequencies", "--elements", "9", "-n", "1480"},
      {"bearing", "6205", "-n", "1480"},
      {"cause", "--seen", "fluting"},
      {"triage", "--heard", "growl"},
      {"replacement", "6205", "-n", "1480"}};
  for (auto words : quiet) {
    INFO(words.front());
    const auto full = run(words);
    words.emplace_back("-q");
    const auto line = run(words);
    CHECK(line.code == full.code);
    CHECK(std::count(line.out.begin(), line.out.end(), '\n') == 1);
    CHECK(line.out.size() > 10);
    CHECK_FALSE(has(line.out, "?."));
    CHECK(full.out.size() > line.out.size());
  }
}

TEST_CASE("habits: each command prints its own exit codes, and docs/exit-codes.md the same") {
  std::ifstream in{std::string{TESTS_SOURCE_DIR} + "/../docs/exit-codes.md"};
  const std::string page{std::istreambuf_iterator<char>{in}, {}};
  const auto manual = run({"manual"}).out;
  std::size_t rows = 0;
  for (const auto& command : commands()) {
    if (command.path.empty() || (!command.subcommands.empty() && command.path != "help")) continue;
    INFO(command.path);
    const std::string codes = cli::exit_codes_of(command.path);
    REQUIRE_FALSE(codes.empty());
    ++rows;
    auto words = split(command.path);
    words.emplace_back("--help");
    const auto help = run(words).out;
    CHECK(help.ends_with("Exit code: " + codes + ".\n"));
    words.pop_back();
    words.insert(words.begin(), "help");
    CHECK(run(words).out == help);
  }
  CHECK(rows + 1 == cli::exit_codes().size());  // no row of a command that is none
  for (const auto& row : cli::exit_codes()) {
    if (row.command.empty()) continue;
    std::string line = "| `" + std::string{row.command} + "` |";
    for (const auto meaning : row.meaning)
      line += " " + (meaning.empty() ? "not used" : std::string{meaning}) + " |";
    CHECK(has(page, line + "\n"));
  }
  CHECK(has(run({"help", "simulate"}).out, "Exit code: 0 done; 2 failed.\n"));
  CHECK(has(manual, "Exit code: 0 pass, and nothing is to be done; 1 fail, or"));
  CHECK(run({"help"}).out == run({"--help"}).out);
}

TEST_CASE("habits: the nearest is suggested for an unknown command or option") {
  const auto said = [](const std::vector<std::string>& words) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(one_error(r.err));
    return r.err;
  };
  CHECK(has(said({"diagnos", "a.wav"}), "'diagnos' is an unknown command; did you mean diagnose?"));
  CHECK(has(said({"route", "rum"}), "'rum' is an unknown command; did you mean run?"));
  CHECK(has(said({"help", "tend"}), "'tend' is an unknown command; did you mean trend?"));
  CHECK(has(said({"diagnose", "a.wav", "--repot", "x"}),
            "'--repot' is an unknown option; did you mean --report?"));
  CHECK(has(said({"diagnose", "a.wav", "--repot=x"}), "did you mean --report?"));
  CHECK(has(said({"trend", "--pont", "DE"}), "did you mean --point?"));
  CHECK(has(said({"route", "run", "f", "--sotre", "h.db"}), "did you mean --store?"));
  CHECK(has(said({"xyzzy"}), "see 'bearingdsp --help'"));
  CHECK(has(said({"frequencies", "6205"}), "'6205' was not expected; see 'bearingdsp frequencies"));
}

TEST_CASE("habits: numbers with thousands get the remedy, and rates in k are understood") {
  const auto said = [](const std::vector<std::string>& words) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(one_error(r.err));
    return r.err;
  };
  CHECK(has(said({"diagnose", "a.wav", "-n", "1,466"}), "'1,466' is not a number (write 1466)"));
  CHECK(has(said({"replacement", "6205", "-n", "1,466"}), "(write 1466)"));
  CHECK(has(said({"diagnose", "a.wav", "-n", "1.5k"}), "(write 1500)"));
  CHECK(has(said({"diagnose", "a.wav", "-n", "1466,5"}), "(write 1466.5)"));
  CHECK(has(said({"diagnose", "a.wav", "--rate", "48,000"}), "(write 48000)"));
  const Folder f;
  std::string text = "x\n";
  for (int i = 0; i < 50; ++i) text += std::to_string(i % 7) + ".5\n";
  f.write("a.csv", text);
  const auto plain = run({"inspect", f.file("a.csv"), "--rate", "48000"});
  CHECK(plain.code == 0);
  for (const char* rate : {"48k", "48kHz", "48 kHz", "48K"})
    CHECK(run({"inspect", f.file("a.csv"), "--rate", rate}).out == plain.out);
  CHECK(run({"inspect", f.file("a.csv"), "--rate", "25.6k"}).out ==
        run({"inspect", f.file("a.csv"), "--rate", "25600"}).out);
}

TEST_CASE("habits: an ending that is no format is refused before the work, and leaves nothing") {
  const Folder f;
  const std::string wav = f.simulated("a.wav", {});
  const std::size_t before = f.count();
  const auto refused = [&](std::vector<std::string> words, const std::string& why) {
    const auto r = run(words);
    INFO(r.err);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(one_error(r.err));
    CHECK(has(r.err, why));
    CHECK(f.count() == before);
  };
  const std::string unit = "m/s2";
  refused({"diagnose", wav, "-u", unit, "--report", f.file("a.docx")},
          "write to a name that ends in .html or .pdf");
  refused({"diagnose", wav, "-u", unit, "--picture", f.file("a.jpg")},
          "write to a name that ends in .svg or .png");
  refused({"diagnose", wav, "-u", unit, "--report", f.file("page")}, ".html or .pdf");
  refused({"replacement", "6205", "--job-card", f.file("card.pdf")}, "ends in .md or .html");
  // Without Chromium the error says so.
  const std::string path = std::getenv("PATH");
  const char* named = std::getenv("CHROMIUM");
  const std::string chromium = named == nullptr ? "" : named;
  setenv("PATH", "/nonexistent", 1);
  unsetenv("CHROMIUM");
  refused({"diagnose", wav, "-u", unit, "--report", f.file("a.pdf")},
          "needs Chromium, which is not installed; install the package chromium");
  refused({"diagnose", wav, "-u", unit, "--picture", f.file("a.png")}, "needs Chromium");
  // A program that fails leaves nothing either.
  setenv("CHROMIUM", "/bin/false", 1);
  const auto failed = run({"diagnose", wav, "-u", unit, "--report", f.file("a.pdf")});
  CHECK(failed.code == 2);
  CHECK(has(failed.err, "/bin/false: did not make the file"));
  CHECK(f.count() == before);
  setenv("PATH", path.c_str(), 1);
  unsetenv("CHROMIUM");
  if (!chromium.empty()) setenv("CHROMIUM", chromium.c_str(), 1);
}

TEST_CASE("habits: Chromium makes a PDF report and a PNG picture") {
  if (std::getenv("CHROMIUM") == nullptr && std::system("command -v chromium >/dev/null 2>&1") != 0)
    return test::skip("there is no Chromium here");
  const Folder f;
  const std::string wav = f.simulated("a.wav", {"--duration", "1"});
  const auto r = run({"diagnose", wav, "-u", "m/s2", "--elements", "9", "-n", "1480", "--report",
                      f.file("a.PDF"), "--picture", f.file("a.png")});
  INFO(r.err);
  CHECK(r.code != 2);
  CHECK(f.read("a.PDF").starts_with("%PDF-"));
  const std::string png = f.read("a.png");
  REQUIRE(png.size() > 24);
  CHECK(png.starts_with("\x89PNG\r\n"));
  // The header chunk's width: twice the 1040 of the drawing [PNG specification, 11.2.2].
  CHECK(static_cast<unsigned char>(png[18]) * 256 + static_cast<unsigned char>(png[19]) == 2080);
  CHECK(f.count() == 4);  // nothing else is left
}

TEST_CASE("habits: bash completes units, facts, levels and the machines in a file") {
  const Folder folder;
  folder.write("rules", run({"manual", "--for", "bash"}).out);
  folder.write("m.toml",
               "[[machine]]\nname = \"saw\"\nrated_rpm = 1480\n"
               "[[machine]]\nname = \"big fan\"\nrated_rpm = 1480\n");
  const auto completed = [&](const std::string& words, int cursor) {
    folder.write("ask", "source " + folder.file("rules") + "; COMP_WORDS=(" + words +
                            "); COMP_CWORD=" + std::to_string(cursor) +
                            "; _bearingdsp; printf '%s\\n' \"${COMPREPLY[@]}\" > " +
                            folder.file("answer"));
    REQUIRE(std::system(("bash " + folder.file("ask")).c_str()) == 0);
    return folder.read("answer");
  };
  CHECK(completed("bearingdsp diagnose x.wav -u m", 4) ==
        "mg\nm/s2\nmm/s2\nm/s\nmm/s\nmm\nmil\nmV\n");
  CHECK(completed("bearingdsp inspect x.wav --unit mm", 4) == "mm/s2\nmm/s\nmm\n");
  CHECK(completed("bearingdsp cause --seen flu", 3) == "fluting\n");
  CHECK(completed("bearingdsp cause --fact variable-f", 3) == "variable-frequency\\ drive\n");
  CHECK(completed("bearingdsp trend saw --level BP", 4) == "BPFO\nBPFI\n");
  CHECK(completed("bearingdsp help ro", 2) == "route\n");
  const std::string at = folder.file("m.toml") + "#";
  const std::string tool = test::binary();
  CHECK(completed(tool + " diagnose x.wav --machine '" + at + "'", 4) ==
        at + "saw\n" + at + "big\\ fan\n");
  CHECK(completed(tool + " diagnose x.wav --machine '" + at + "s'", 4) == at + "saw\n");
  CHECK(completed(tool + " diagnose x.wav --machine fan", 4) == "\n");  // files: left to the shell
}

TEST_CASE("habits: what completion offers is accepted") {
  // Options of triage, by the kind of their word or by name.
  const std::set<std::string> noticed{"SOUND", "FEEL",        "SMELL",       "SIGHT",
                                      "KNOWN", "--power-off", "--with-load", "--grease-shot"};
  for (const auto& command : commands())
    for (const auto& option : command.options)
      for (const auto& word : option.words) {
        INFO(command.path << " " << option.value << " " << word);
        if (option.value == "UNIT") CHECK(bearingdsp::parse_file_unit(word));
        if (option.value == "LEVEL") CHECK(bearingdsp::followed_named(word));
        if (option.value == "MODE") CHECK(run({"cause", "--seen", word}).code == 0);
        if (command.path == "triage" && !option.names.empty() &&
            (noticed.contains(option.value) || noticed.contains(option.names.back())))
          CHECK(run({"triage", option.names.back(), word}).code != 2);
        if (option.value == "FACT")
          CHECK(run({"cause", "--seen", "fluting", "--fact", word}).code == 0);
      }
}
