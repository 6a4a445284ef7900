#pragma once
/// Runs the command as a user would.
#include <filesystem>
#include <string>
#include <vector>

namespace test {

struct Ran {
  int code{-1};  ///< exit code; 128 + signal if it was killed
  std::string out, err;
};

/// Path of the tool, for tests that start it themselves.
[[nodiscard]] std::string binary();
/// Runs bearingdsp with the arguments. `out_path` sends stdout to a file instead of a pipe.
Ran run(const std::vector<std::string>& arguments, const std::string& out_path = "");

/// The tool on a terminal of its own: stdin, stderr and, where no file is named for it, stdout.
class Terminal {
 public:
  explicit Terminal(const std::vector<std::string>& arguments, const std::string& out_path = "");
  ~Terminal();
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;

  void type(const std::string& text) const;
  /// Waits until it has shown this, for a minute at most.
  bool shows(const std::string& part);
  /// Waits for its end; the exit code.
  int end();
  [[nodiscard]] const std::string& text() const { return text_; }  ///< what it showed so far

 private:
  void take();
  int master_{-1};
  int child_{0};
  std::string text_;
};

/// Runs with a terminal as stdin and stderr, where the answers were typed before; stdout goes to
/// the file `out`.
Ran run_on_terminal(const std::vector<std::string>& arguments, const std::string& answers,
                    const std::string& out);

inline bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// A folder that goes away with the test.
class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }
  void write(const std::string& name, const std::string& text) const;
  [[nodiscard]] std::string read(const std::string& name) const;
  [[nodiscard]] std::size_t count() const;  ///< of entries
  /// A recording that the command simulates, of a bearing with nine elements; returns its path.
  [[nodiscard]] std::string simulated(const std::string& name,
                                      const std::vector<std::string>& options) const;

 private:
  std::filesystem::path path_;
};

}  // namespace test
