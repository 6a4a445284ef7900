#pragma once
/// The files that a command writes: declared with the parser, opened in one place, each whole or
/// not at all.
#include <CLI/CLI.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/capture/whole_file.hpp"
#include "bearingdsp/core/result.hpp"

namespace cli {

/// What a command's options say of its outputs.
struct OutputRules {
  CLI::App* command{nullptr};  ///< its other options name what is read or kept
  bool force{false};
};

/// Declares an option that names a file to be written, and --force beside the first.
CLI::Option* add_output_option(CLI::App& command, OutputRules& rules, const std::string& name,
                               std::string& path, const std::string& meaning,
                               const std::string& group = "");
/// Whether the option was declared so.
[[nodiscard]] bool is_output(CLI::Option& option);

/// A file being written. Making one before the work starts finds out early that it cannot be;
/// dropping it leaves nothing, and so does the end by a signal.
class OutputFile {
 public:
  [[nodiscard]] bearingdsp::Result<void> write(std::string_view text) { return file_.write(text); }
  /// For writers of the library.
  [[nodiscard]] bearingdsp::WholeFile& file() { return file_; }
  /// Moves what was written to its name.
  [[nodiscard]] bearingdsp::Result<void> commit();

 private:
  friend class OutputFiles;
  OutputFile(bearingdsp::WholeFile file, bool replace)
      : file_{std::move(file)}, replace_{replace} {}
  bearingdsp::WholeFile file_;
  bool replace_;
};

/// The one way by which a command opens what it writes. Refused always: a file that the command
/// reads or keeps, by whatever name or link, and any history store; without --force: any other file
/// that is there.
class OutputFiles {
 public:
  /// `also_read`: files that no option names, such as the machine files of a route.
  explicit OutputFiles(const OutputRules& rules, const std::vector<std::string>& also_read = {});
  /// Errors: bad_argument for what is refused; those of WholeFile::start
  [[nodiscard]] bearingdsp::Result<OutputFile> open(const std::string& path);

 private:
  struct Named {
    std::string path, by;  ///< " (--machine)": the option that names it
  };
  [[nodiscard]] bearingdsp::Result<void> check(const std::string& path,
                                               const std::string& target) const;
  std::vector<Named> read_, written_;
  bool force_;
};

/// A text file of the user that a command adds to. What is in it is never lost: the new text is
/// written beside it and moved to its name, and not where someone else changed it meanwhile.
class EditedFile {
 public:
  /// Reads it; an empty text if it is not there yet.
  /// Errors: io
  [[nodiscard]] static bearingdsp::Result<EditedFile> open(const std::string& path);
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] const std::string& text() const { return text_; }
  [[nodiscard]] bool is_new() const { return is_new_; }
  /// Errors: io; bad_argument where the file changed since open()
  [[nodiscard]] bearingdsp::Result<void> save(const std::string& text);

 private:
  std::string path_, text_;
  bool is_new_{false};
};

}  // namespace cli
