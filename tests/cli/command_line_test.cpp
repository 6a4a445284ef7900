#include <doctest/doctest.h>
#include <sys/stat.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "cli/run.hpp"
#include "paths.hpp"
#include "support/close.hpp"
#include "support/skip.hpp"
#include "terminal.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::run;

namespace {

/// One line, as "bearingdsp: where: what; what to do".
bool one_error(const std::string& err) {
  return err.rfind("bearingdsp: ", 0) == 0 && std::count(err.begin(), err.end(), '\n') == 1 &&
         err.back() == '\n';
}

}  // namespace

TEST_CASE("style: an explicit wish wins, else terminal, TERM and NO_COLOR decide") {
  using cli::use_colour;
  using cli::When;
  CHECK(use_colour(When::always, false, "1", "dumb"));
  CHECK_FALSE(use_colour(When::never, true, std::nullopt, "xterm"));
  CHECK(use_colour(When::automatic, true, std::nullopt, "xterm"));
  CHECK(use_colour(When::automatic, true, "", "xterm"));
  CHECK_FALSE(use_colour(When::automatic, true, "1", "xterm"));
  CHECK_FALSE(use_colour(When::automatic, true, std::nullopt, "dumb"));
  CHECK_FALSE(use_colour(When::automatic, false, std::nullopt, "xterm"));
  CHECK(cli::text_width(false, 200) == 80);
  CHECK(cli::text_width(true, 200) == 120);
  CHECK(cli::text_width(true, 20) == 40);
  CHECK(cli::text_width(true, 0) == 80);
}

TEST_CASE("exit: failed outranks fault, fault outranks cannot tell, that outranks no fault") {
  using cli::Exit;
  using cli::worse;
  const Exit ranked[] = {Exit::no_fault, Exit::cannot_tell, Exit::fault, Exit::failed};
  for (int a = 0; a < 4; ++a)
    for (int b = 0; b < 4; ++b) CHECK(worse(ranked[a], ranked[b]) == ranked[std::max(a, b)]);
}

TEST_CASE("help and version: stdout, exit 0, nothing on stderr") {
  for (const std::vector<std::string>& words : {std::vector<std::string>{"--help"},
                                                {"frequencies", "--help"},
                                                {"inspect", "-h"},
                                                {"simulate", "--help"}}) {
    const auto r = run(words);
    CHECK(r.code == 0);
    CHECK(has(r.out, "Example: bearingdsp "));
    CHECK(r.err.empty());
  }
  const auto version = run({"--version"});
  CHECK(version.code == 0);
  CHECK(version.out.rfind("bearingdsp ", 0) == 0);
  CHECK(version.err.empty());
}

TEST_CASE("a wrong command line: exit 2, one line on stderr, nothing on stdout") {
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{},
        {"nonsense"},
        {"--nonsense"},
        {"frequencies", "--nonsense"},
        {"frequencies", "--rpm", "fast", "--bearing", "6205"},
        {"inspect"},
        {"frequencies", "--rpm", "-5", "--bearing", "6205"},
        {"frequencies"},
        {"frequencies", "--geometry", "9,7.94"},
        {"frequencies", "--geometry", "9;7.94;39.04"},
        {"frequencies", "--geometry", "9.5,7.94,39.04"},
        {"frequencies", "--geometry", "9,50,39"},
        {"frequencies", "--orders", "5.4,3.6,2.4,0.4"},
        {"frequencies", "--bearing", "no such"},
        {"frequencies", "--bearing", "6205", "--elements", "2"},
        {"frequencies", "--bearing", "6205", "--sizes", "24,52,15"},
        {"frequencies", "--geometry", "9,7.94,39.04", "--elements", "9"},
        {"frequencies", "--catalogue", "x.csv"},
        {"simulate"},
        {"simulate", "--out", "x.ogg"},
        {"simulate", "--out", "x.wav", "--defect", "seal:3"}}) {
    const auto r = run(words);
    INFO(r.err);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(one_error(r.err));
  }
}

TEST_CASE("help is text, and a wrong value is reported in plain words") {
  for (const char* command : {"diagnose", "acceptance", "replacement", "compare", "frequencies"}) {
    const auto help = run({command, "--help"}).out;
    CHECK_FALSE(has(help, "->"));
    CHECK(std::none_of(help.begin(), help.end(),
                       [](char c) { return c >= 0 && c < ' ' && c != '\n'; }));
  }
  const auto said = [](std::vector<std::string> words) {
    const auto r = run(words);
    CHECK(r.code == 2);
    CHECK(one_error(r.err));
    return r.err;
  };
  CHECK(has(said({"diagnose", "x.wav", "--rpm", "1480,5"}),
            "--rpm: '1480,5' is not a number (write 1480.5)"));
  CHECK(has(said({"diagnose", "x.wav", "--rpm", "0"}), "--rpm: 0 is not between 1 and 1000000"));
  CHECK(has(said({"diagnose", "x.wav", "--rate", "fast"}), "--rate: 'fast' is not a number"));
  CHECK(has(said({"inspect", "x.wav", "--colour", "red"}), "'red' is not always, never or auto"));
  CHECK(has(said({"inspect", "x.csv", "--decimal", "dot"}), "'dot' is none of point, comma"));
  CHECK(has(said({"validate", "m.csv", "--jobs", "1.5"}), "'1.5' is not a whole number"));
  CHECK(has(said({"diagnose", "x.wav", "--rpm-range", "1480"}), "1 number given"));
  CHECK(has(said({"diagnose", "x.wav", "--rpm-range", "1400-1500"}), "separate them with commas"));
  CHECK(has(said({"diagnose", "x.wav", "--bearing", "99205"}), "--elements"));
}

TEST_CASE("what a file does not say is asked for by the option that gives it") {
  const Folder f;
  std::string one = "x\n";
  for (int i = 0; i < 50; ++i) one += std::to_string(i % 7) + ".5\n";
  f.write("no_rate.csv", one);
  const auto no_rate = run({"diagnose", f.file("no_rate.csv"), "--rpm", "1480"});
  CHECK(has(no_rate.err, "(--rate, --time-column)"));
  f.write("two_ways.csv", "1,5\n2,25\n4,75\n");
  const auto two_ways = run({"inspect", f.file("two_ways.csv"), "--rate", "1000"});
  CHECK(has(two_ways.err, "(--delimiter, --decimal)"));
  CHECK(has(run({"inspect", f.file("two_ways.csv"), "--rate", "1000", "--decimal", "comma"}).out,
            "3 samples per channel"));
  CHECK(has(run({"inspect", f.file("two_ways.csv"), "--rate", "1000", "--delimiter", ","}).out,
            "column 2"));
}

TEST_CASE("a full disk at stdout: exit 2 and said so") {
  if (!std::filesystem::exists("/dev/full")) return test::skip("there is no /dev/full here");
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"--help"}, {"frequencies", "--bearing", "6205"}}) {
    const auto r = run(words, "/dev/full");
    CHECK(r.code == 2);
    CHECK(has(r.err, "standard output: cannot be written"));
  }
}

TEST_CASE(
    "frequencies: the published multiples of the 6205 geometry [src:smith2015, the dataset's "
    "page: confirmed]") {
  const auto r = run({"frequencies", "--geometry", "9,0.3126,1.537", "--rpm", "1797", "--json"});
  REQUIRE(r.code == 0);
  CHECK(r.err.empty());
  const json j = json::parse(r.out);
  CHECK(j["schema"] == "bearingdsp.frequencies/1");
  const json& v = j["variants"].at(0);
  CHECK(test::close_abs(v["bpfo_orders"].get<double>(), 3.5848, 5e-5));
  CHECK(test::close_abs(v["bpfi_orders"].get<double>(), 5.4152, 5e-5));
  CHECK(test::close_abs(v["ftf_orders"].get<double>(), 0.39828, 5e-5));
  CHECK(test::close_abs(2 * v["bsf_orders"].get<double>(), 4.7135, 5e-4));
  // At 1797 rpm: BPFI 162.2, BPFO 107.4, BSF 70.6, FTF 11.9 Hz.
  CHECK(test::close_abs(v["bpfi_hz"].get<double>(), 162.2, 0.05));
  CHECK(test::close_abs(v["bpfo_hz"].get<double>(), 107.4, 0.05));
  CHECK(test::close_abs(v["bsf_hz"].get<double>(), 70.6, 0.05));
  CHECK(test::close_abs(v["ftf_hz"].get<double>(), 11.9, 0.05));
  const auto text = run({"frequencies", "--geometry", "9,0.3126,1.537", "--rpm", "1797"});
  CHECK(text.code == 0);
  CHECK(has(text.out, "BPFO"));
  CHECK(has(text.out, "3.5848"));
  CHECK_FALSE(has(text.out, "\x1b"));
}

TEST_CASE("frequencies: a catalogue of the user's own, every variant of a name is shown") {
  const Folder f;
  f.write("mine.csv",
          "name,rolling_elements,element_diameter,pitch_diameter\nX1,8,10,40\nX1,10,10,40\n");
  const auto both = run({"frequencies", "--bearing", "X1", "--catalogue", f.file("mine.csv")});
  INFO(both.err);
  CHECK(both.code == 0);
  CHECK(has(both.out, "8 rolling elements"));
  CHECK(has(both.out, "10 rolling elements"));
  CHECK(has(both.out, "X1 may have 8 or 10 rolling elements"));
  const auto one = run({"frequencies", "--bearing", "X1", "--catalogue", f.file("mine.csv"),
                        "--elements", "8", "--json"});
  CHECK(one.code == 0);
  // d/D = 1/4, 8 elements: BPFO 3, BPFI 5, BSF 1.875, FTF 0.375 exactly [src:closed-form]
  const json v = json::parse(one.out)["variants"];
  REQUIRE(v.size() == 1);
  CHECK(v[0]["bpfo_orders"] == 3.0);
  CHECK(v[0]["bsf_orders"] == 1.875);
  CHECK(run({"frequencies", "--bearing", "X1", "--catalogue", f.file("none.csv")}).code == 2);
}

TEST_CASE(
    "inspect: missing file, directory, garbage: exit 2, one line, the good file still shown") {
  const Folder f;
  f.write("garbage.bin", std::string(500, '\x01') + "not a recording");
  f.write("good.csv", "x [g]\n1\n2\n3\n2\n1\n0\n1\n2\n");
  for (const std::string& bad : {f.file("none.wav"), f.file(""), f.file("garbage.bin")}) {
    const auto r = run({"inspect", bad});
    INFO(r.err);
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(one_error(r.err));
  }
  const auto mixed =
      run({"inspect", f.file("none.wav"), f.file("good.csv"), "--rate", "1000", "--json"});
  CHECK(mixed.code == 2);
  CHECK(one_error(mixed.err));
  // JSON Lines: a document a file, in order.
  const auto end = mixed.out.find('\n');
  REQUIRE(end != std::string::npos);
  CHECK(json::parse(mixed.out.substr(0, end))["schema"] == "bearingdsp.error/1");
  const json good = json::parse(mixed.out.substr(end + 1));
  CHECK(good["schema"] == "bearingdsp.contents/1");
  CHECK(good["samples_per_channel"] == 8);
  CHECK(good["channels"][0]["unit"] == "m/s2");
}

TEST_CASE(
    "simulate: samples and truth appear, nothing is overwritten without --force, inspect reads "
    "them") {
  const Folder f;
  const std::string wav = f.file("made.wav");
  const std::vector<std::string> make{
      "simulate", "--out",      wav,     "--geometry", "9,7.94,39.04",
      "--defect", "outer:10",   "--rpm", "1480",       "--rate",
      "25600",    "--duration", "1",     "--seed",     "7"};
  const auto first = run(make);
  INFO(first.err);
  REQUIRE(first.code == 0);
  CHECK(first.out == wav + "\n" + f.file("made.truth.json") + "\n");
  CHECK(f.count() == 2);  // no temporary file is left
  const json truth = json::parse(f.read("made.truth.json"));
  CHECK(truth["schema"] == 1);
  CHECK(truth["damaged"][0] == "outer ring");
  CHECK(truth["plan"]["seed"] == 7);

  const std::string before = f.read("made.wav");
  const auto again = run(make);
  CHECK(again.code == 2);
  CHECK(has(again.err, "exists already"));
  CHECK(f.read("made.wav") == before);
  std::vector<std::string> forced = make;
  forced.push_back("--force");
  CHECK(run(forced).code == 0);
  CHECK(f.read("made.wav") == before);  // the same plan gives the same samples

  const auto held = run({"inspect", wav, "--unit", "m/s2", "--json"});
  REQUIRE(held.code == 0);
  const json j = json::parse(held.out);
  CHECK(j["rate_hz"] == 25600.0);
  CHECK(j["samples_per_channel"] == 25600);

  // The truth's plan is a plan: the same recording comes out of it.
  f.write("plan.json", truth["plan"].dump());
  CHECK(run({"simulate", "--plan", f.file("plan.json"), "--out", f.file("copy.wav")}).code == 0);
  CHECK(f.read("copy.wav") == before);
}

TEST_CASE("simulate: an unwritable folder fails before the work and leaves nothing") {
  const Folder f;
  const auto r = run({"simulate", "--out", f.file("no/such/folder.wav")});
  CHECK(r.code == 2);
  CHECK(one_error(r.err));
  CHECK(f.count() == 0);
  f.write("bad.json", "{\"nois\": 1}");
  const auto plan = run({"simulate", "--plan", f.file("bad.json"), "--out", f.file("x.wav")});
  CHECK(plan.code == 2);
  CHECK(has(plan.err, "nois"));
  CHECK(one_error(plan.err));
  CHECK(f.count() == 1);
}

TEST_CASE("what only begins like MAT v7.3 is refused in one line [src:contract]") {
  const Folder folder;
  // 116 bytes of text, 8 of zero, version 2.0, byte order; then no HDF5.
  std::string mat = "MATLAB 7.3 MAT-file";
  mat.resize(124, ' ');
  mat += std::string{"\0\2IM", 4} + std::string(900, '\0');
  folder.write("a.mat", mat);
  const auto ran = run({"inspect", folder.file("a.mat")});
  CHECK(ran.code == 2);
  CHECK(one_error(ran.err));
  CHECK(has(ran.err, "a.mat: not readable as MAT v7.3 (HDF5)"));
}

TEST_CASE(
    "machine check: the demo's file is shown whole, a misspelt key is one line with its place") {
  const auto good = run({"machine", "check", TESTDATA_DIR "/machines.toml"});
  CHECK(good.code == 0);
  CHECK(good.err.empty());
  CHECK(has(good.out, "dust-extraction-fan"));
  CHECK(has(good.out, "power-pack-2"));
  const Folder folder;
  folder.write("m.toml", "[[machine]]\nname = \"saw\"\nrated_rmp = 1480\n");
  const auto bad = run({"machine", "check", folder.file("m.toml")});
  CHECK(bad.code == 2);
  CHECK(one_error(bad.err));
  CHECK(has(bad.err, "m.toml:3"));
  CHECK(has(bad.err, "rated_rpm"));
}

TEST_CASE("manual: every command and option is in the page, and bash completes them") {
  const auto page = run({"manual"});
  REQUIRE(page.code == 0);
  CHECK(has(page.out, ".SS route run\n"));
  CHECK(has(page.out, "\\fB\\-b\\fR, \\fB\\-\\-bearing\\fR \\fINAME\\fR"));
  CHECK(has(page.out, "\\fB\\-\\-json\\fR\n"));  // a flag takes no value

  const Folder folder;
  folder.write("rules", run({"manual", "--for", "bash"}).out);
  const auto completed = [&](const std::string& words, int cursor) {
    folder.write("ask", "source " + folder.file("rules") + "; COMP_WORDS=(" + words +
                            "); COMP_CWORD=" + std::to_string(cursor) +
                            "; _bearingdsp; echo \"${COMPREPLY[@]}\" > " + folder.file("answer"));
    REQUIRE(std::system(("bash " + folder.file("ask")).c_str()) == 0);
    return folder.read("answer");
  };
  CHECK(completed("bearingdsp dia", 1) == "diagnose\n");
  CHECK(completed("bearingdsp route ru", 2) == "run\n");
  CHECK(completed("bearingdsp diagnose x.wav --bea", 3) == "--bearing\n");
  CHECK(completed("bearingdsp trend --sto", 2) == "--store\n");
  CHECK(completed("bearingdsp diagnose fan", 2) == "\n");  // a file: left to the shell
  const auto wrong = run({"manual", "--for", "sh"});
  CHECK(wrong.code == 2);
  CHECK(one_error(wrong.err));
}

TEST_CASE("devices and pipes: not waited for, not written over") {
  const auto zero = run({"inspect", "/dev/zero"});
  CHECK(zero.code == 2);
  CHECK(one_error(zero.err));
  const Folder folder;
  const std::string wav = folder.simulated("a.wav", {});
  REQUIRE(mkfifo(folder.file("pipe").c_str(), 0600) == 0);
  const auto pipe = run({"inspect", folder.file("pipe")});
  CHECK(pipe.code == 2);
  CHECK(has(pipe.err, "pipe"));
  REQUIRE(mkfifo(folder.file("pipe.svg").c_str(), 0600) == 0);
  // As an output: refused before the work, and still a pipe after it.
  const auto over = run({"diagnose", wav, "--bearing", "6205", "--elements", "9", "--rpm", "1480",
                         "--picture", folder.file("pipe.svg")});
  CHECK(over.code == 2);
  CHECK(one_error(over.err));
  CHECK(std::filesystem::is_fifo(folder.file("pipe.svg")));
  // A link is followed: the file it names is written, the link stays.
  folder.write("real.svg", "old");
  std::filesystem::create_symlink("real.svg", folder.file("link.svg"));
  const auto linked = run({"diagnose", wav, "--bearing", "6205", "--elements", "9", "--rpm", "1480",
                           "--picture", folder.file("link.svg"), "--force"});
  CHECK(linked.code != 2);
  CHECK(std::filesystem::is_symlink(folder.file("link.svg")));
  CHECK(has(folder.read("real.svg"), "<svg"));
}
