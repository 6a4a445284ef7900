#pragma once
/// --report and --picture of every command: the same answer as a page or a drawing.
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

/// Where to; empty: not asked for.
struct PageOptions {
  std::string report, picture;
  OutputRules outputs;
  [[nodiscard]] bool wanted() const { return !report.empty() || !picture.empty(); }
};
void add_report_option(CLI::App& command, PageOptions& options, const std::string& group = "");
void add_picture_option(CLI::App& command, PageOptions& options, const std::string& group = "");

/// One of them. The ending of its name decides the format.
struct ShownFile {
  OutputFile file;
  std::string chromium{};  ///< program that makes PDF or PNG out of it; empty for HTML and SVG
  bool pdf{false};         ///< not PNG
  /// Writes the text (HTML or SVG) in its format.
  /// Errors: io
  [[nodiscard]] bearingdsp::Result<void> write(const std::string& text);
};
/// Errors: bad_argument for an ending other than .html, .htm and .pdf; those of find_chromium() and
/// OutputFiles
[[nodiscard]] bearingdsp::Result<ShownFile> open_page(OutputFiles& files, const std::string& path);
/// As open_page, for .svg and .png.
[[nodiscard]] bearingdsp::Result<ShownFile> open_picture(OutputFiles& files,
                                                         const std::string& path);

/// What may have been asked for. Opened before the work, so that a file that cannot be written
/// costs none.
class PageFile {
 public:
  /// Errors: those of OutputFiles, which also takes `also_read`
  [[nodiscard]] static bearingdsp::Result<PageFile> create(
      const PageOptions& options, const std::vector<std::string>& also_read = {});
  [[nodiscard]] bool wanted() const { return page_.has_value() || picture_.has_value(); }
  /// Writes what was asked for; the drawing is of the first report alone.
  [[nodiscard]] bearingdsp::Result<void> write(const bearingdsp::Report& report,
                                               std::span<const bearingdsp::Report> chapters = {});
  /// A whole page that was laid out for print.
  [[nodiscard]] bearingdsp::Result<void> write_sheet(const std::string& html);
  /// The list with a chapter for each of its points.
  /// Errors: those of the store and of writing
  [[nodiscard]] bearingdsp::Result<void> write(bearingdsp::Report list,
                                               bearingdsp::History& history,
                                               const std::vector<bearingdsp::Standing>& standings);

 private:
  std::optional<ShownFile> page_, picture_;
};

}  // namespace cli
