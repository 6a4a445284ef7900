#include "chromium.hpp"

#include <fmt/format.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <system_error>
#include <thread>
#include <utility>
#include <vector>

#include "cleanup.hpp"
#include "output_file.hpp"

namespace cli {
using namespace bearingdsp;
namespace fs = std::filesystem;

namespace {

/// A start takes seconds; on a busy computer a minute.
constexpr std::chrono::minutes longest{5};

/// A folder that only we can read, with all that Chromium leaves in it; gone with this object.
class OwnFolder {
 public:
  OwnFolder() {
    std::error_code code;
    std::string pattern = (fs::temp_directory_path(code) / "bearingdsp-XXXXXX").string();
    if (!code && ::mkdtemp(pattern.data()) != nullptr) path_ = pattern;
  }
  ~OwnFolder() {
    std::error_code code;
    if (!path_.empty()) fs::remove_all(path_, code);
  }
  OwnFolder(const OwnFolder&) = delete;
  OwnFolder& operator=(const OwnFolder&) = delete;
  [[nodiscard]] bool there() const { return !path_.empty(); }
  [[nodiscard]] std::string file(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

/// Starts a program that says nothing and that a signal still ends. 0 where it cannot be started.
pid_t start(std::vector<std::string> words) {
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  posix_spawn_file_actions_t quiet;
  posix_spawn_file_actions_init(&quiet);
  for (const int descriptor : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
    posix_spawn_file_actions_addopen(&quiet, descriptor, "/dev/null",
                                     descriptor == STDIN_FILENO ? 0 : 1, 0);
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  sigset_t none{};
  sigemptyset(&none);
  posix_spawnattr_setsigmask(&attributes, &none);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK);
  pid_t child = 0;
  const int failed = ::posix_spawn(&child, argv.front(), &quiet, &attributes, argv.data(), environ);
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&quiet);
  return failed == 0 ? child : 0;
}

/// A signal that is held back for us.
bool interrupted() {
  sigset_t waiting{};
  if (::sigpending(&waiting) != 0) return false;
  for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGQUIT})
    if (sigismember(&waiting, signal) == 1) return true;
  return false;
}

/// Whether the program ended well, in time.
bool runs(std::vector<std::string> words) {
  const pid_t child = start(std::move(words));
  if (child == 0) return false;
  const auto end = std::chrono::steady_clock::now() + longest;
  int status = 0;
  while (::waitpid(child, &status, WNOHANG) == 0) {
    if (std::chrono::steady_clock::now() > end || interrupted()) {
      ::kill(child, SIGKILL);
      ::waitpid(child, &status, 0);
      return false;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds{20});
  }
  return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

/// What Chromium makes of a file `in` when asked with `wishes` and --ASK=FILE.
Result<std::string> made_of(const std::string& chromium, std::string_view text,
                            const std::string& in, const std::string& ask,
                            const std::vector<std::string>& wishes) {
  // Held until the folder is gone.
  const SignalsHeld held;
  const Error failed{Errc::io, chromium, "did not make the file",
                     "write HTML or SVG instead, and print it from a browser"};
  const OwnFolder folder;
  if (!folder.there()) return failed;
  auto page = OutputFiles{OutputRules{}}.open(folder.file(in));
  if (!page) return page.error();
  if (auto done = page->write(text); !done) return done.error();
  if (auto done = page->commit(); !done) return done.error();
  std::vector<std::string> words{chromium,
                                 "--headless",
                                 "--disable-gpu",
                                 "--disable-dev-shm-usage",
                                 "--no-first-run",
                                 "--disable-background-networking",
                                 "--disable-component-update",
                                 "--hide-scrollbars",
                                 "--user-data-dir=" + folder.file("profile")};
  // It refuses to work for root otherwise; the page is our own.
  if (::geteuid() == 0) words.emplace_back("--no-sandbox");
  words.insert(words.end(), wishes.begin(), wishes.end());
  // Chromium tells the format of a picture by the ending.
  const std::string made_file = folder.file("made.png");
  words.push_back(ask + "=" + made_file);
  words.push_back("file://" + folder.file(in));
  if (!runs(std::move(words))) return failed;
  std::ifstream made{made_file, std::ios::binary};
  std::string bytes{std::istreambuf_iterator<char>{made}, {}};
  if (bytes.empty()) return failed;
  return bytes;
}

/// The number in NAME="123" of the drawing's first element.
int size_in(std::string_view svg, std::string_view name) {
  int value = 0;
  if (const auto at = svg.find(name); at != std::string_view::npos)
    std::from_chars(svg.data() + at + name.size(), svg.data() + svg.size(), value);
  return value;
}

}  // namespace

Result<std::string> find_chromium(const std::string& path) {
  if (const char* named = std::getenv("CHROMIUM"); named != nullptr && *named != '\0')
    return std::string{named};
  const char* variable = std::getenv("PATH");
  std::string_view places = variable == nullptr ? "" : variable;
  while (!places.empty()) {
    const auto end = std::min(places.find(':'), places.size());
    for (const char* name : {"chromium", "chromium-browser"}) {
      const std::string program = std::string{places.substr(0, end)} + "/" + name;
      if (::access(program.c_str(), X_OK) == 0) return program;
    }
    places.remove_prefix(std::min(end + 1, places.size()));
  }
  return Error{Errc::not_found, path, "needs Chromium, which is not installed",
               "install the package chromium, or write HTML or SVG instead"};
}

Result<std::string> pdf_of(const std::string& chromium, std::string_view html) {
  return made_of(chromium, html, "page.html", "--print-to-pdf",
                 {"--no-pdf-header-footer", "--print-to-pdf-no-header"});
}

Result<std::string> png_of(const std::string& chromium, std::string_view svg) {
  return made_of(
      chromium, svg, "drawing.svg", "--screenshot",
      {"--force-device-scale-factor=2",
       fmt::format("--window-size={},{}", size_in(svg, " width=\""), size_in(svg, " height=\""))});
}

}  // namespace cli
