#pragma once
/// --report of every command: the same answer as a page.
#include <CLI/CLI.hpp>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/report/model.hpp"
#include "output_file.hpp"

namespace cli {

CLI::Option* add_report_option(CLI::App& command, std::string& path);

/// A page that may have been asked for. Opened before the work, so that one that cannot be written
/// costs none.
class PageFile {
 public:
  /// Errors: those of OutputFile::create
  [[nodiscard]] static bearingdsp::Result<PageFile> create(const std::string& path);
  [[nodiscard]] bool wanted() const { return file_.has_value(); }
  /// Writes it; nothing where none was asked for.
  [[nodiscard]] bearingdsp::Result<void> write(const bearingdsp::Report& report,
                                               std::span<const bearingdsp::Report> chapters = {});
  /// The list with a chapter for each of its points. Errors: those of the store and of writing
  [[nodiscard]] bearingdsp::Result<void> write(bearingdsp::Report list,
                                               bearingdsp::History& history,
                                               const std::vector<bearingdsp::Standing>& standings);

 private:
  std::optional<OutputFile> file_;
};

}  // namespace cli
