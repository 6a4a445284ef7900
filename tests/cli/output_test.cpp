#include "output_file.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <chrono>
#include <filesystem>
#include <set>
#include <string>
#include <thread>
#include <vector>

#include "cli/run.hpp"
#include "command_tree.hpp"
#include "commands.hpp"

using test::Folder;
using test::has;
using test::Ran;
using test::run;
namespace fs = std::filesystem;

namespace {

/// A word of a command line: the option, or the name of the positional in the parser.
struct Word {
  std::string option, value;
  std::string file{};  ///< what must not be written: the value, or a recording in that folder
};
/// A command line to which an output can be added.
struct Row {
  std::string command;
  std::vector<Word> words;
  std::vector<std::string> also_read{};  ///< files that none of the words names
  bool works{true};                      ///< with another name as the output it does its work
};

/// What the rows read and keep.
void furnish(const Folder& f) {
  const std::vector<std::string> small{"--rpm",      "1480", "--rate",  "12800",
                                       "--duration", "2",    "--noise", "0.5"};
  (void)f.simulated("a.wav", small);
  (void)f.simulated("b.wav", small);
  fs::create_directory(f.file("rounds"));
  fs::create_directory(f.file("copies"));
  fs::copy_file(f.file("a.wav"), f.file("rounds/2026-02-10_saw.wav"));
  fs::copy_file(f.file("a.wav"), f.file("copies/kept.wav"));
  f.write("machines.toml",
          "[[machine]]\nname = \"saw\"\nrated_rpm = 1480\nframe = \"IEC 90L\"\n"
          "bearing.DE = { designation = \"6205\" }\n"
          "point = [{ name = \"DE\", end = \"DE\", unit = \"m/s2\" }]\n");
  f.write("route.toml",
          "machines = \"machines.toml\"\n"
          "point = [{ machine = \"saw\", point = \"DE\", files = \"{date}_saw.wav\" }]\n");
  f.write("catalogue.csv",
          "name,envelope,rolling_elements,element_diameter,pitch_diameter,contact_angle_deg,unit,"
          "bpfo,bpfi,bsf,ftf,status,source\nMINE,,9,7.94,39.04,0,mm,,,,,memory,measured here\n");
  f.write("plan.txt", "{\"duration_s\": 1}\n");
  f.write("tacho.json",
          "{\"duration_s\": 2, \"rate_hz\": 8192, \"speed_rpm\": 1480, \"tacho_pulses\": 1, "
          "\"shaft_harmonics_m_s2\": [1]}\n");
  REQUIRE(run({"simulate", "--plan", f.file("tacho.json"), "--out", f.file("tacho.csv")}).code ==
          0);
  f.write("job.toml",
          "sensors = [\"acceleration\"]\n[[run]]\nrecording = \"tacho.csv\"\n"
          "[[run]]\nweight = \"20@0\"\nvibration = \"9@40\"\n");
  f.write("model.csv", "name,value\nslip.reach,0.021\n");
  f.write("manifest.csv",
          "dataset,file,signal,unit,rate_hz,rpm,bearing,fault\nmade,a.wav,,m/s2,,1480,B,none\n");
  f.write("bearings.csv",
          "name,rolling_elements,element_diameter,pitch_diameter\nB,9,7.94,39.04\n");
  REQUIRE(run({"route", "run", f.file("rounds"), "--route", f.file("route.toml"), "--store",
               f.file("h.db")})
              .code != 2);
  REQUIRE(run({"validate", f.file("manifest.csv"), "--out", f.file("old.csv")}).code == 0);
  f.write("d.json", run({"diagnose", f.file("a.wav"), "--elements", "9", "--json"}).out);
}

std::vector<Row> rows(const Folder& f) {
  const std::string a = f.file("a.wav");
  const std::string b = f.file("b.wav");
  const std::string d = f.file("d.json");
  const Word machine{"--machine", f.file("machines.toml") + "#saw", f.file("machines.toml")};
  const Word catalogue{"--catalogue", f.file("catalogue.csv"), f.file("catalogue.csv")};
  const Word name{"--bearing", "MINE"};
  const Word rpm{"--rpm", "1480"};
  const Word model{"--model", f.file("model.csv"), f.file("model.csv")};
  const Word store{"--store", f.file("h.db"), f.file("h.db")};
  return {
      {"triage", {{"--heard", "growl"}, {"--recording", a, a}, machine, name, catalogue}},
      {"cause", {{"--seen", "rust"}, {"--diagnosis", d, d}, machine, {"--end", "DE"}}},
      {"diagnose", {{"files", a, a}, machine, model}},
      {"diagnose", {{"files", a, a}, {"--channels-from", b, b}, name, catalogue, rpm}},
      {"route run",
       {{"folder", f.file("rounds"), f.file("rounds/2026-02-10_saw.wav")},
        {"--route", f.file("route.toml"), f.file("route.toml")},
        {"--keep-copies", f.file("copies"), f.file("copies/kept.wav")},
        store},
       {f.file("machines.toml")}},
      {"trend", {{"machine", "saw"}, store}},
      {"summary", {store}},
      {"calendar", {store}},
      {"export", {store}},
      {"export", {{"files", a, a}, machine, name, catalogue}},
      {"compare", {{"recordings", a, a}, {"recordings", b, b}, machine}},
      {"compare", {{"recordings", "saw"}, store}, {}, false},
      {"compare", {{"--before", a, a}, {"--after", b, b}, name, catalogue, rpm}},
      {"compare",
       {{"--before", a, a},
        {"--before-channels-from", b, b},
        {"--after", b, b},
        {"--after-channels-from", a, a},
        name,
        catalogue,
        rpm}},
      {"acceptance", {{"files", a, a}, machine, store, name, catalogue}},
      {"acceptance",
       {{"files", a, a},
        {"--channels-from", b, b},
        name,
        catalogue,
        rpm,
        {"--shaft-height", "90"}}},
      {"balance plan", {{"--mass", "120"}, {"--rpm", "1480"}, {"--grade", "6.3"}, machine}},
      {"balance solve", {{"job", f.file("job.toml"), f.file("job.toml")}}, {f.file("tacho.csv")}},
      {"balance four-run",
       {{"--found", "6.00"},
        {"--trial", "15"},
        {"--run", "3.34@0"},
        {"--run", "7.16@120"},
        {"--run", "8.52@240"}}},
      {"balance split", {{"weight", "19.5@43.5"}, {"--positions", "8"}}},
      {"record", {machine, name, catalogue}, {}, false},
      {"replacement", {{"number", "6205"}, machine, {"--end", "DE"}}},
      {"checks", {machine, {"--end", "DE"}}},
      {"grease", {{"--machines", f.file("machines.toml"), f.file("machines.toml")}, store}},
      {"grease", {{"number", "6205"}, machine, {"--end", "DE"}}, {}, false},
      {"simulate", {{"--plan", f.file("plan.txt"), f.file("plan.txt")}, name, catalogue}},
      {"validate",
       {{"manifest", f.file("manifest.csv"), f.file("manifest.csv")},
        {"--against", f.file("old.csv"), f.file("old.csv")},
        model},
       {a, f.file("bearings.csv")}},
  };
}

/// The commands of the parser and their options.
struct Command {
  std::string path;
  std::vector<std::string> outputs;  ///< options that name a file to be written
  std::vector<std::string> inputs;   ///< other options that name a file or folder
};

void collect(CLI::App& app, const std::string& path, std::vector<Command>& out) {
  Command command{path, {}, {}};
  for (CLI::Option* option : app.get_options([](CLI::Option*) { return true; })) {
    const std::string type = option->get_type_name();
    bool file = false;
    for (const char* word : {"FILE", "FOLDER", "MANIFEST", "WHAT"})
      file = file || type.find(word) != std::string::npos;
    if (cli::is_output(*option))
      command.outputs.push_back(option->get_name());
    else if (file)
      command.inputs.push_back(option->get_name());
  }
  out.push_back(command);
  for (CLI::App* child : app.get_subcommands([](CLI::App*) { return true; }))
    collect(*child, path.empty() ? child->get_name() : path + " " + child->get_name(), out);
}

/// Those that write files.
std::vector<Command> writers() {
  CLI::App app;
  cli::Run nothing;
  cli::add_commands(app, nothing);
  std::vector<Command> all;
  collect(app, "", all);
  std::erase_if(all, [](const Command& c) { return c.outputs.empty(); });
  return all;
}

std::vector<std::string> line(const Row& row, const std::string& output, const std::string& path,
                              bool force) {
  std::vector<std::string> words;
  for (std::size_t at = 0; at < row.command.size();) {
    const std::size_t end = std::min(row.command.find(' ', at), row.command.size());
    words.push_back(row.command.substr(at, end - at));
    at = end + 1;
  }
  for (const Word& w : row.words) {
    if (w.option.starts_with("-")) words.push_back(w.option);
    words.push_back(w.value);
  }
  words.insert(words.end(), {output, path});
  // The one output that has to be given.
  if (force) words.emplace_back("--force");
  return words;
}

bool one_error(const std::string& err) {
  return err.rfind("bearingdsp: ", 0) == 0 && std::count(err.begin(), err.end(), '\n') == 1;
}

/// Everything that lies in the folder. What is replaced gets another inode, what is written another
/// time, to the nanosecond.
std::set<std::string> contents(const Folder& f) {
  std::set<std::string> all;
  for (const auto& entry : fs::recursive_directory_iterator{f.file("")}) {
    struct stat s {};
    if (!entry.is_regular_file() || ::stat(entry.path().c_str(), &s) != 0) continue;
    std::string line = entry.path().string();
    for (const auto number : {static_cast<long>(s.st_ino), static_cast<long>(s.st_size),
                              static_cast<long>(s.st_mtim.tv_sec), s.st_mtim.tv_nsec})
      line += " " + std::to_string(number);
    all.insert(line);
  }
  return all;
}

void expect_refused(const Folder& f, const std::vector<std::string>& words) {
  const auto before = contents(f);
  const Ran r = run(words);
  std::string shown;
  for (const auto& word : words) shown += word + " ";
  INFO(shown << "\n" << r.err);
  CHECK(r.code == 2);
  CHECK(r.out.empty());
  CHECK(one_error(r.err));
  CHECK(contents(f) == before);
}

}  // namespace

TEST_CASE("outputs: every command that writes a file is tried below, with every file it reads") {
  const Folder f;
  const auto table = rows(f);
  const auto commands = writers();
  CHECK(commands.size() >= 8);
  for (const Command& command : commands) {
    INFO(command.path << ": add a row above for what it reads");
    std::set<std::string> tried;
    for (const Row& row : table)
      if (row.command == command.path)
        for (const Word& w : row.words)
          if (!w.file.empty()) tried.insert(w.option);
    for (const std::string& input : command.inputs) {
      INFO(input);
      CHECK(tried.contains(input));
    }
  }
}

TEST_CASE("outputs: what a command reads or keeps is never written over, by no name or link") {
  const Folder f;
  furnish(f);
  for (const Row& row : rows(f)) {
    std::vector<std::string> files = row.also_read;
    for (const Word& w : row.words)
      if (!w.file.empty()) files.push_back(w.file);
    // A store is a store, whether or not it is used.
    if (std::find(files.begin(), files.end(), f.file("h.db")) == files.end())
      files.push_back(f.file("h.db"));
    for (const Command& command : writers())
      if (command.path == row.command)
        for (const std::string& output : command.outputs)
          for (const std::string& file : files) {
            const std::string soft = f.file("soft.txt");
            const std::string hard = f.file("hard.txt");
            const std::string spelled =
                (fs::path{file}.parent_path() / ".." / fs::path{file}.parent_path().filename() /
                 fs::path{file}.filename())
                    .string();
            fs::create_symlink(file, soft);
            fs::create_hard_link(file, hard);
            for (const std::string& path : {file, spelled, soft, hard})
              expect_refused(f, line(row, output, path, true));
            expect_refused(f, line(row, output, file, false));
            fs::remove(soft);
            fs::remove(hard);
          }
  }
}

TEST_CASE("outputs: another file needs --force, which keeps its mode, and nothing else is left") {
  const Folder f;
  furnish(f);
  for (const Row& row : rows(f))
    for (const Command& command : writers())
      if (command.path == row.command)
        for (const std::string& output : command.outputs) {
          const bool table =
              row.command == "validate" && (output == "--out" || output == "--features");
          const std::string ending = output == "--report"    ? ".html"
                                     : output == "--show"    ? ".html"
                                     : output == "--picture" ? ".svg"
                                     : table                 ? ".csv"
                                                             : ".txt";
          const std::string name = "other" + ending;
          const std::string other = f.file(name);
          f.write(name, "old");
          REQUIRE(::chmod(other.c_str(), 0604) == 0);
          expect_refused(f, line(row, output, other, false));
          // A link to nothing is there too.
          fs::create_symlink(f.file("nothing.txt"), f.file("soft.txt"));
          expect_refused(f, line(row, output, f.file("soft.txt"), false));
          fs::remove(f.file("soft.txt"));
          expect_refused(f, line(row, output, f.file("no such folder/a.txt"), false));
          if (row.works) {
            const Ran r = run(line(row, output, other, true));
            INFO(row.command << " " << output << ": " << r.err);
            CHECK(r.code != 2);
            CHECK(f.read(name) != "old");
            struct stat now {};
            REQUIRE(::stat(other.c_str(), &now) == 0);
            CHECK((now.st_mode & 0777U) == 0604U);
          }
          fs::remove(other);
          fs::remove(f.file("other.truth.json"));
          for (const auto& entry : fs::recursive_directory_iterator{f.file("")})
            CHECK_FALSE(has(entry.path().string(), ".part"));
        }
}

TEST_CASE("outputs: one name for two of them, the truth over the plan, a store that is not yet") {
  const Folder f;
  furnish(f);
  expect_refused(f, {"diagnose", f.file("a.wav"), "--report", f.file("x"), "--picture", f.file("x"),
                     "--force"});
  f.write("c.truth.json", "{}");
  expect_refused(
      f, {"simulate", "--plan", f.file("c.truth.json"), "--out", f.file("c.wav"), "--force"});
  expect_refused(f, {"route", "run", f.file("rounds"), "--route", f.file("route.toml"), "--store",
                     f.file("new.db"), "--report", f.file("new.db"), "--force"});
  expect_refused(f, {"trend", "saw", "--store", f.file("h.db"), "--report", f.file("h.db-wal")});
  // A page among the recordings is no recording.
  const std::vector<std::string> page{"route",
                                      "run",
                                      f.file("rounds"),
                                      "--route",
                                      f.file("route.toml"),
                                      "--store",
                                      f.file("h.db"),
                                      "--report",
                                      f.file("rounds/page.html")};
  CHECK(run(page).code != 2);
  expect_refused(f, page);
  auto forced = page;
  forced.emplace_back("--force");
  CHECK(run(forced).code != 2);
}

TEST_CASE("outputs: a signal leaves nothing behind") {
  for (const int signal : {SIGTERM, SIGINT, SIGHUP}) {
    const Folder f;
    const std::string out = f.file("long.wav");
    std::vector<std::string> words{test::binary(), "simulate", "--duration", "1000", "--out", out};
    std::vector<char*> argv;
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    pid_t child = 0;
    REQUIRE(posix_spawn(&child, words.front().c_str(), nullptr, nullptr, argv.data(), environ) ==
            0);
    // Both files have been started; how long that takes does not matter.
    while (f.count() < 2 && waitpid(child, nullptr, WNOHANG) == 0)
      std::this_thread::sleep_for(std::chrono::milliseconds{1});
    REQUIRE(::kill(child, signal) == 0);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(WIFSIGNALED(status));
    CHECK(WTERMSIG(status) == signal);
    CHECK(f.count() == 0);
  }
}
