#include "cli/run.hpp"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <thread>

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

Terminal::Terminal(const std::vector<std::string>& arguments, const std::string& out_path) {
  master_ = ::posix_openpt(O_RDWR | O_NOCTTY);
  if (master_ < 0 || ::grantpt(master_) != 0 || ::unlockpt(master_) != 0)
    throw std::runtime_error{"no terminal"};
  const std::string name = ::ptsname(master_);
  std::vector<std::string> words{BEARINGDSP_BINARY};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, name.c_str(), O_RDWR | O_NOCTTY, 0);
  if (out_path.empty())
    posix_spawn_file_actions_adddup2(&actions, STDIN_FILENO, STDOUT_FILENO);
  else
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, out_path.c_str(),
                                     O_WRONLY | O_CREAT | O_TRUNC, 0600);
  posix_spawn_file_actions_adddup2(&actions, STDIN_FILENO, STDERR_FILENO);
  const int failed =
      posix_spawn(&child_, BEARINGDSP_BINARY, &actions, nullptr, argv.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  if (failed != 0) throw std::runtime_error{"the tool does not start"};
}

Terminal::~Terminal() {
  if (child_ > 0) {
    ::kill(child_, SIGKILL);
    waitpid(child_, nullptr, 0);
  }
  ::close(master_);
}

void Terminal::type(const std::string& text) const {
  if (::write(master_, text.data(), text.size()) != static_cast<ssize_t>(text.size()))
    throw std::runtime_error{"cannot type on the terminal"};
}

void Terminal::take() {
  pollfd in{master_, POLLIN, 0};
  std::array<char, 4096> part{};
  while (::poll(&in, 1, 10) > 0 && (in.revents & POLLIN) != 0) {
    const ssize_t n = ::read(master_, part.data(), part.size());
    if (n <= 0) return;
    text_.append(part.data(), static_cast<std::size_t>(n));
  }
}

bool Terminal::shows(const std::string& part) {
  const auto last = std::chrono::steady_clock::now() + std::chrono::minutes{1};
  while (!has(text_, part) && std::chrono::steady_clock::now() < last) take();
  return has(text_, part);
}

int Terminal::end() {
  int status = 0;
  while (waitpid(child_, &status, WNOHANG) == 0) {
    take();
    std::this_thread::sleep_for(std::chrono::milliseconds{10});
  }
  child_ = 0;
  take();
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

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

Ran run_on_terminal(const std::vector<std::string>& arguments, const std::string& answers,
                    const std::string& out) {
  Terminal terminal{arguments, out};
  terminal.type(answers);
  const int code = terminal.end();
  return {code, "", terminal.text()};
}

}  // namespace test
