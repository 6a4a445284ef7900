#include "cli/run.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <vector>

extern char** environ;

namespace test {

Folder::Folder() {
  std::string pattern = (std::filesystem::temp_directory_path() / "bearingdsp_cli_XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error{"no temporary folder"};
  path_ = pattern;
}

Folder::~Folder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

void Folder::write(const std::string& name, const std::string& text) const {
  std::ofstream{path_ / name, std::ios::binary} << text;
}

std::string Folder::read(const std::string& name) const {
  std::ifstream in{path_ / name, std::ios::binary};
  return {std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
}

std::size_t Folder::count() const {
  std::size_t n = 0;
  for (auto at = std::filesystem::directory_iterator{path_};
       at != std::filesystem::directory_iterator{}; ++at)
    ++n;
  return n;
}

std::string binary() { return BEARINGDSP_BINARY; }

Ran run(const std::vector<std::string>& arguments, const std::string& out_path) {
  // Both streams go to files, so that neither can fill a pipe while the other is read.
  const Folder folder;
  const std::string out = out_path.empty() ? folder.file("out") : out_path;
  const std::string err = folder.file("err");
  std::vector<std::string> words{BEARINGDSP_BINARY};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, out.c_str(), O_WRONLY | O_CREAT, 0600);
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, err.c_str(), O_WRONLY | O_CREAT, 0600);
  pid_t child = 0;
  const int failed =
      posix_spawn(&child, BEARINGDSP_BINARY, &actions, nullptr, argv.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  if (failed != 0) throw std::runtime_error{"cannot run " BEARINGDSP_BINARY};
  int status = 0;
  waitpid(child, &status, 0);
  Ran ran;
  ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  if (out_path.empty()) ran.out = folder.read("out");
  ran.err = folder.read("err");
  return ran;
}

std::string Folder::simulated(const std::string& name,
                              const std::vector<std::string>& options) const {
  std::vector<std::string> words{"simulate", "--out", file(name), "--geometry", "9,7.94,39.04"};
  words.insert(words.end(), options.begin(), options.end());
  if (const Ran made = run(words); made.code != 0) throw std::runtime_error{made.err};
  return file(name);
}

namespace {

/// A test has nothing to go on with where the system refuses a terminal.
void require(bool done) {
  if (!done) throw std::runtime_error{"no terminal"};
}

}  // namespace

Ran run_on_terminal(const std::vector<std::string>& arguments, const std::string& answers,
                    const std::string& out) {
  const int master = posix_openpt(O_RDWR | O_NOCTTY);
  require(master >= 0);
  require(grantpt(master) == 0);
  require(unlockpt(master) == 0);
  const std::string slave = ptsname(master);
  require(::write(master, answers.data(), answers.size()) == static_cast<ssize_t>(answers.size()));
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 0, slave.c_str(), O_RDWR | O_NOCTTY, 0);
  posix_spawn_file_actions_addopen(&actions, 1, out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  posix_spawn_file_actions_adddup2(&actions, 0, 2);
  std::vector<std::string> words{binary()};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> argv;
  for (std::string& w : words) argv.push_back(w.data());
  argv.push_back(nullptr);
  pid_t pid = 0;
  require(posix_spawn(&pid, words[0].c_str(), &actions, nullptr, argv.data(), environ) == 0);
  posix_spawn_file_actions_destroy(&actions);
  int status = 0;
  require(waitpid(pid, &status, 0) == pid);
  Ran ran;
  ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : 128;
  std::vector<char> seen(4096);
  for (ssize_t n = 0; (n = ::read(master, seen.data(), seen.size())) > 0;)
    ran.err.append(seen.data(), static_cast<std::size_t>(n));
  ::close(master);
  return ran;
}

}  // namespace test
